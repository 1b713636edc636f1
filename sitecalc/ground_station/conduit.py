"""Conduit fill, burial cover, and the support of conductors that hang in a tower."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitecalc.checks import Check, Step, compare, not_checked
from sitecalc.inputs import InputError, quantity, require_valid

from .codes import by
from .run import Run
from .tables import (
    TRADE_SIZES,
    Conduit,
    Insulation,
    TradeSize,
    area_cmil,
    conduit_area_in2,
    named,
    rows,
    wire_area_in2,
)


@dataclass(frozen=True)
class Wire:
    """``size`` may be up to 750 kcmil here; ``area_in2`` for a cable with a cross section of its own."""

    count: int = quantity("", "how many", low=1, high=100)
    size: str = quantity("", "size", default="")
    insulation: Insulation = quantity("", "insulation type", default="THWN-2")
    area_in2: float | None = quantity("sq in", "cross section, if not by size", low=0, high=50, default=None)


@dataclass(frozen=True)
class Fill:
    """Areas in sq in."""

    wires_in2: float
    conduit_in2: float
    percent: float
    allowed_pct: float
    wires: int
    steps: tuple[Step, ...]


def allowed_pct(wires: int, nipple: bool = False) -> float:
    """53 % for one, 31 % for two, 40 % for more; 60 % in a nipple of at most 24 in. NEC Chapter 9 Table 1."""
    if nipple:
        return 60.0
    return {1: 53.0, 2: 31.0}.get(wires, 40.0)


def wires_area_in2(wires: Sequence[Wire]) -> float:
    return sum(
        w.count * (w.area_in2 if w.area_in2 is not None else wire_area_in2(w.size, w.insulation))
        for w in wires
    )


def conduit_fill(kind: str, trade_size: str, wires: Sequence[Wire], nipple: bool = False) -> Fill:
    """InputError for a conduit or wire the tables do not hold."""
    inside, total = conduit_area_in2(kind, trade_size), wires_area_in2(wires)
    count = sum(w.count for w in wires)
    percent, limit = 100 * total / inside, allowed_pct(count, nipple)
    step = Step(
        "f",
        f"{count} conductors in {trade_size} in {kind}",
        "f = 100 A_wires / A_conduit",
        f"100 x {total:.4f} / {inside:.3f}",
        percent,
        "%",
    )
    return Fill(total, inside, percent, limit, count, (step,))


def smallest_trade_size(kind: str, wires: Sequence[Wire], nipple: bool = False) -> str:
    """The smallest conduit of this kind that the wires may fill; InputError beyond 4 in."""
    for trade_size in TRADE_SIZES:
        found = conduit_fill(kind, trade_size, wires, nipple)
        if found.percent <= found.allowed_pct:
            return trade_size
    raise InputError("trade_size", f"no {kind} up to {TRADE_SIZES[-1]} in holds these conductors.")


@dataclass(frozen=True)
class FillCase:
    kind: Conduit = quantity("", "kind of conduit")
    trade_size: TradeSize = quantity("in", "trade size")
    wires: tuple[Wire, ...] = quantity("", "conductors in it")
    nipple: bool = quantity("", "a nipple of at most 24 in", default=False)


@dataclass(frozen=True)
class FillResult:
    percent: float
    smallest: str
    check: Check


def check_fill(case: FillCase) -> FillResult:
    """The calculation ``ground_station.conduit_fill``."""
    require_valid(case)
    if not case.wires:
        raise InputError("wires", "is empty; at least one conductor.")
    found = conduit_fill(case.kind, case.trade_size, case.wires, case.nipple)
    check = _fill_check("fill", "Conduit fill", case.kind, case.trade_size, found, "2017")
    return FillResult(found.percent, smallest_trade_size(case.kind, case.wires, case.nipple), check)


def _fill_check(key: str, title: str, kind: str, trade_size: str, found: Fill, edition: str) -> Check:
    return compare(
        key,
        title,
        demand=found.percent,
        capacity=found.allowed_pct,
        unit="%",
        note=f"{found.percent:.1f} of {found.allowed_pct:g} %, {found.wires} conductors in "
        f"{trade_size} in {kind}.",
        **by(edition, "fill"),
        steps=found.steps,
    )


def run_wires(run: Run) -> tuple[Wire, ...]:
    """Conductors of one set in one conduit, the equipment ground insulated like the others."""
    wires = [Wire(run.wires, run.size, run.insulation)]
    if run.ground_size is not None:
        wires.append(Wire(1, run.ground_size, run.insulation))
    return tuple(wires)


def fill_check(run: Run, edition: str, key: str) -> Check | None:
    """None for direct burial; other conductors in the same conduit are not known here and said so."""
    if run.conduit == "direct burial" or run.trade_size is None:
        return None
    title = f"{run.name}: conduit fill"
    if run.carrying is not None and run.carrying > run.lines:
        return not_checked(
            f"{key}-fill",
            title,
            f"{run.carrying} current-carrying conductors share the conduit; add them up by their sizes.",
            **by(edition, "fill"),
        )
    found = conduit_fill(run.conduit, run.trade_size, run_wires(run))
    return _fill_check(f"{key}-fill", title, run.conduit, run.trade_size, found, edition)


def cover_check(run: Run, edition: str, key: str) -> Check | None:
    """Cover over the top of conduit or cable; None for what is not buried."""
    if run.location == "not buried":
        return None
    title, sourced = f"{run.name}: cover", by(edition, "cover")
    column = {"direct burial": "direct_burial", "RMC": "rmc", "PVC 40": "pvc", "PVC 80": "pvc"}.get(
        run.conduit
    )
    row = next(r for r in rows("burial_cover") if r["location"] == run.location)
    if column is None or not row[column]:
        why = f"the table gives no cover for {run.conduit}, {run.location}."
        return not_checked(f"{key}-cover", title, why, **sourced)
    if run.cover_in is None:
        return not_checked(f"{key}-cover", title, "cover is not given.", **sourced)
    return compare(
        f"{key}-cover",
        title,
        demand=float(row[column]),
        capacity=run.cover_in,
        unit="in",
        note=f"{run.cover_in:g} in over {run.conduit}, {run.location}; at least {row[column]} in.",
        **sourced,
    )


def longest_hang_ft(size: str, metal: str) -> float:
    """Longest vertical run without a support, ft. NEC Table 300.19(A)."""
    for row in rows("vertical_support"):
        if area_cmil(size) <= area_cmil(row["up_to_size"]):
            return float(row[f"{metal}_ft"])
    raise InputError("size", f"{named(size)} is beyond the table of vertical supports.")


def support_check(run: Run, edition: str, key: str) -> Check | None:
    """Conductors that hang in the tower's riser; None where nothing hangs."""
    if run.vertical_ft <= 0:
        return None
    limit = longest_hang_ft(run.size, run.metal)
    free = min(run.support_ft or run.vertical_ft, run.vertical_ft)
    return compare(
        f"{key}-support",
        f"{run.name}: vertical support",
        demand=free,
        capacity=limit,
        unit="ft",
        note=f"{free:g} of {limit:g} ft between supports, {named(run.size)} {run.metal}, "
        f"{run.vertical_ft:g} ft in the tower.",
        **by(edition, "vertical support"),
    )
