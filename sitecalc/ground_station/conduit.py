"""Conduit fill, burial cover, and the support of conductors that hang in a tower."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid

from .codes import CodeRule
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

FILL = CodeRule("fill", "conduit fill", "%", "", Known.READ, ("fill",))
COVER = CodeRule("cover", "cover", "in", "", Known.READ, ("cover",))
SUPPORT = CodeRule("support", "vertical support", "ft", "", Known.READ, ("vertical support",))

PERCENT = Formula("f", "conduit filled", "100*A_wires/A_conduit", "%")


@dataclass(frozen=True)
class Wire:
    """``size`` may be up to 750 kcmil here; ``area_in2`` for a cable with a cross section of its own."""

    count: int = quantity("", "how many", low=1, high=100)
    size: str = quantity("", "size", default="")
    insulation: Insulation = quantity("", "insulation type", default="THWN-2")
    area_in2: float | None = quantity("sq in", "cross section, if not by size", low=0, high=50, default=None)


@dataclass(frozen=True, kw_only=True)
class Fill:
    """Areas in sq in."""

    wires_in2: float
    conduit_in2: float
    percent: float
    allowed_pct: float
    wires: int
    steps: tuple[Step, ...]


def allowed_pct(wires: int, nipple: bool = False) -> float:
    """Most that conductors may fill of a conduit, %.

    53 % for one, 31 % for two, 40 % for more; 60 % in a nipple of at most 24 in. NEC Chapter 9 Table 1.
    """
    if nipple:
        return 60.0
    return {1: 53.0, 2: 31.0}.get(wires, 40.0)


def wires_area_in2(wires: Sequence[Wire]) -> float:
    """Cross section of all conductors with their insulation, sq in. NEC Chapter 9 Table 5."""
    return sum(
        w.count * (w.area_in2 if w.area_in2 is not None else wire_area_in2(w.size, w.insulation))
        for w in wires
    )


def conduit_fill(kind: str, trade_size: str, wires: Sequence[Wire], nipple: bool = False) -> Fill:
    """How full the conductors make a conduit: 100 A_wires / A_conduit, % of its whole area.

    InputError for a conduit or wire the tables do not hold. NEC Chapter 9 Tables 1, 4 and 5.
    """
    inside, total = conduit_area_in2(kind, trade_size), wires_area_in2(wires)
    count = sum(w.count for w in wires)
    filled = PERCENT.step_of(f"{count} conductors in {trade_size} in {kind}", A_wires=total, A_conduit=inside)
    return Fill(
        wires_in2=total,
        conduit_in2=inside,
        percent=filled.value,
        allowed_pct=allowed_pct(count, nipple),
        wires=count,
        steps=(filled,),
    )


def smallest_trade_size(kind: str, wires: Sequence[Wire], nipple: bool = False) -> str:
    """Trade size (in) of the smallest conduit of this kind that the wires may fill; InputError beyond 4 in.

    NEC Chapter 9 Tables 1, 4 and 5.
    """
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
    """Fill of one conduit in %: as of :func:`conduit_fill` and :func:`smallest_trade_size`."""
    require_valid(case)
    if not case.wires:
        raise InputError("wires", "is empty; at least one conductor.")
    found = conduit_fill(case.kind, case.trade_size, case.wires, case.nipple)
    check = _fill_check(FILL.of("2017"), case.kind, case.trade_size, found)
    return FillResult(found.percent, smallest_trade_size(case.kind, case.wires, case.nipple), check)


def _fill_check(rule: Rule, kind: str, trade_size: str, found: Fill) -> Check:
    return rule.compare(
        demand=found.percent,
        capacity=found.allowed_pct,
        note=f"{found.percent:.1f} of {found.allowed_pct:g} %, {found.wires} conductors in "
        f"{trade_size} in {kind}.",
        steps=found.steps,
    )


def run_wires(run: Run) -> tuple[Wire, ...]:
    """Conductors of one set in one conduit, the equipment ground insulated like the others."""
    wires = [Wire(count=run.wires, size=run.size, insulation=run.insulation)]
    if run.ground_size is not None:
        wires.append(Wire(count=1, size=run.ground_size, insulation=run.insulation))
    return tuple(wires)


def fill_check(run: Run, edition: str, key: str) -> Check | None:
    """None for direct burial; other conductors in the same conduit are not known here and said so."""
    if run.conduit == "direct burial" or run.trade_size is None:
        return None
    rule = FILL.of(edition, key, run.name)
    if run.carrying is not None and run.carrying > run.lines:
        return rule.open(
            f"{run.carrying} current-carrying conductors share the conduit; add them up by their sizes."
        )
    found = conduit_fill(run.conduit, run.trade_size, run_wires(run))
    return _fill_check(rule, run.conduit, run.trade_size, found)


def cover_check(run: Run, edition: str, key: str) -> Check | None:
    """Cover in inches over the top of conduit or cable; None for what is not buried.

    Circuits to 1,000 V. NEC Table 300.5(A).
    """
    if run.location == "not buried":
        return None
    rule = COVER.of(edition, key, run.name)
    column = {"direct burial": "direct_burial", "RMC": "rmc", "PVC 40": "pvc", "PVC 80": "pvc"}.get(
        run.conduit
    )
    row = next(r for r in rows("burial_cover") if r["location"] == run.location)
    if column is None or not row[column]:
        return rule.open(f"the table gives no cover for {run.conduit}, {run.location}.")
    if run.cover_in is None:
        return rule.open("cover is not given.")
    return rule.compare(
        demand=float(row[column]),
        capacity=run.cover_in,
        note=f"{run.cover_in:g} in over {run.conduit}, {run.location}; at least {row[column]} in.",
    )


def longest_hang_ft(size: str, metal: str) -> float:
    """Longest vertical run without a support, ft; InputError beyond the table. NEC Table 300.19(A)."""
    for row in rows("vertical_support"):
        if area_cmil(size) <= area_cmil(row["up_to_size"]):
            return float(row[f"{metal}_ft"])
    raise InputError("size", f"{named(size)} is beyond the table of vertical supports.")


def support_check(run: Run, edition: str, key: str) -> Check | None:
    """Length in ft that conductors hang in the tower's riser; None where nothing hangs.

    NEC Table 300.19(A).
    """
    if not run.vertical_ft:
        return None
    limit = longest_hang_ft(run.size, run.metal)
    free = run.vertical_ft if run.support_ft is None else min(run.support_ft, run.vertical_ft)
    return SUPPORT.of(edition, key, run.name).compare(
        demand=free,
        capacity=limit,
        note=f"{free:g} of {limit:g} ft between supports, {named(run.size)} {run.metal}, "
        f"{run.vertical_ft:g} ft in the tower.",
    )
