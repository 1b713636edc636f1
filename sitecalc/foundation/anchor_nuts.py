"""Above the concrete: how far a bolt must stand out, and how far its upper nut is turned beyond snug."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.foundation.anchor_case import steels
from sitecalc.foundation.tables import anchor_bolts, rows
from sitecalc.foundation.words import BoltSize, Grade
from sitecalc.inputs import quantity, require_valid

DOUBLE_NUT = "AISC Design Guide 1, 2nd edition, tables A1 and A2"
SLOPE_LIMIT = 1 / 40
THREADS_BEYOND = 2  # full threads past the nut: common practice, no source
F436_IN = 0.177  # thickest hardened washer to 1-1/2 in (ASTM F436, from memory)


@dataclass(frozen=True)
class Tolerance:
    tolerance_in: float
    source: str
    known: Known


@dataclass(frozen=True, kw_only=True)
class StackCase:
    """What stands on the concrete, from below. Without grout the gap is room to turn the leveling nut."""

    plate_in: float = quantity("in", "thickness of the base plate", low=0.25, high=6)
    size: BoltSize = quantity("", "bolt diameter in inches", default="1")
    grade: Grade = quantity("", "ASTM F1554 grade", default="55")
    gap_in: float = quantity(
        "in", "concrete to the underside of the leveling nut", low=0, high=6, default=0.75
    )
    leveling_nut: bool = quantity("", "a nut under the plate", default=True)
    grout_in: float | None = quantity(
        "in", "grout under the plate, where it is given instead of gap and nut", low=0, high=6, default=None
    )
    washer_in: float = quantity("in", "thickness of each washer", low=0, high=1, default=F436_IN)
    top_nuts: int = quantity("", "nuts over the plate", low=1, high=2, default=1)
    slope: float = quantity(
        "", "slope of the plate on the nut, as rise over run", low=0, high=0.2, default=0.0
    )
    projection_in: float | None = quantity(
        "in", "projection as drawn or measured", low=0, high=48, default=None
    )
    maker_pretension_kip: float | None = quantity(
        "kip", "pretension of the tower's maker", low=0.5, high=500, default=None
    )


@dataclass(frozen=True)
class Layer:
    what: str
    height_in: float


@dataclass(frozen=True, kw_only=True)
class Stack:
    """``turn_deg`` is beyond snug; None where the maker's own pretension is asked for."""

    layers: tuple[Layer, ...]
    projection_in: float
    pretension_kip: float | None
    turn_deg: float | None
    turn_words: str
    checks: tuple[Check, ...]


def tolerance(what: str, diameter_in: float = 0.0) -> Tolerance:
    """A row of the tolerance table by its name and the bolt's diameter."""
    for row in rows("anchor_tolerances.csv"):
        if row["what"] == what and diameter_in <= float(row["upto_in"]) + 1e-9:
            return Tolerance(float(row["tolerance_in"]), row["source"], Known(row["known"]))
    raise KeyError(what)


def pretension_kip(size: BoltSize, grade: Grade) -> float | None:
    """Least pretension of a double-nut joint; None for a size the table does not hold."""
    found = next((row for row in rows("anchor_pretension.csv") if row["size"] == size), None)
    return None if found is None else float(found[f"grade_{grade}"])


def turn_deg(size: BoltSize, grade: Grade) -> float:
    """Turn of the upper nut beyond snug."""
    diameter = anchor_bolts()[size].diameter_in
    found = next(
        row
        for row in rows("anchor_turn_of_nut.csv")
        if row["grade"] == grade and diameter <= float(row["upto_in"])
    )
    return float(found["degrees"])


def stack(case: StackCase) -> Stack:
    """The layers over the concrete and what the bolt must stand out for them."""
    require_valid(case)
    bolt = anchor_bolts()[case.size]
    # a heavy hex nut is about as high as the bolt is thick
    nut = bolt.diameter_in
    layers = []
    if case.grout_in is not None:
        layers.append(Layer("grout", case.grout_in))
    else:
        layers.append(Layer("gap", case.gap_in))
        if case.leveling_nut:
            layers += [Layer("leveling nut", nut), Layer("washer", case.washer_in)]
    layers += [Layer("base plate", case.plate_in), Layer("washer", case.washer_in)]
    layers += [Layer("nut", nut)] * case.top_nuts
    layers.append(Layer("thread beyond", THREADS_BEYOND / bolt.threads_per_in))
    total = sum(layer.height_in for layer in layers)
    least = math.ceil(total * 8 - 1e-9) / 8
    turn = turn_deg(case.size, case.grade)
    tension = case.maker_pretension_kip or pretension_kip(case.size, case.grade)
    checks = [_projection(case, layers, total), _pretension(case, tension), _slope(case)]
    own = case.maker_pretension_kip is not None
    return Stack(
        layers=tuple(layers),
        projection_in=least,
        pretension_kip=tension,
        turn_deg=None if own else turn,
        turn_words="as the tower's maker says" if own else f"{_fraction(turn)} turn beyond snug, +20°, -0",
        checks=tuple(checks),
    )


def _fraction(degrees: float) -> str:
    return {30: "1/12", 60: "1/6", 120: "1/3"}[round(degrees)]


def _projection(case: StackCase, layers: list[Layer], total: float) -> Check:
    key, title = "anchor-projection", "Projection of the anchor bolts"
    said = ", ".join(f"{layer.what} {layer.height_in:.3g}" for layer in layers)
    source = "height of the stack; two threads beyond the nut"
    if case.projection_in is None:
        why = f"{total:.2f} in needed ({said} in); the projection is not given."
        return not_checked(key, title, why, source=source, known=Known.PRACTICE, unit="in")
    return compare(
        key,
        title,
        demand=total,
        capacity=case.projection_in,
        unit="in",
        source=source,
        known=Known.PRACTICE,
        note=f"{total:.2f} in needed of {case.projection_in:g} in: {said} in.",
        steps=[Step("", layer.what, "", "", layer.height_in, "in") for layer in layers],
    )


def _pretension(case: StackCase, tension: float | None) -> Check:
    """A pretension must not pull the bolt past its yield."""
    key, title = "anchor-pretension", "Pretension of the double nuts"
    if tension is None:
        why = f"The table has no pretension for {case.size} in; the tower's maker must give it."
        return not_checked(key, title, why, source=DOUBLE_NUT, known=Known.READ, unit="kip")
    area = anchor_bolts()[case.size].stress_area_in2
    yields = area * steels()[case.grade].yield_ksi
    return compare(
        key,
        title,
        demand=tension,
        capacity=yields,
        unit="kip",
        source="tower's maker" if case.maker_pretension_kip is not None else DOUBLE_NUT,
        known=Known.READ,
        note=f"{tension:g} kip, the bolt yields at {yields:.0f} kip.",
        steps=(Step("Fy Ase", "yield", "Fy Ase", f"Ase {area:g} in2", yields, "kip"),),
    )


def _slope(case: StackCase) -> Check:
    return compare(
        "anchor-bevel",
        "Plate square to the bolts",
        demand=case.slope,
        capacity=SLOPE_LIMIT,
        unit="",
        source=f"{DOUBLE_NUT}, notes",
        known=Known.READ,
        note=f"slope {case.slope:.3f}, up to 1 in 40 without a beveled washer.",
    )
