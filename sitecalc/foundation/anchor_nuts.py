"""Above the concrete: how far a bolt must stand out, and how far its upper nut is turned beyond snug."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.anchor_case import steels
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.tables import anchor_bolts, rows
from sitecalc.foundation.words import BoltSize, Grade
from sitecalc.inputs import quantity, require_valid

DOUBLE_NUT = "AISC Design Guide 1, 2nd edition, tables A1 and A2"
PROJECTION = Rule(
    "anchor-projection",
    "Projection of the anchor bolts",
    "in",
    "height of the stack; two threads beyond the nut",
    Known.PRACTICE,
)
PRETENSION = Rule("anchor-pretension", "Pretension of the double nuts", "kip", DOUBLE_NUT, Known.READ)
MAKERS_PRETENSION = PRETENSION.stated(source="tower's maker")
BEVEL = Rule("anchor-bevel", "Plate square to the bolts", "", f"{DOUBLE_NUT}, notes", Known.READ)

HEIGHT = Formula("P", "height of the stack", "sum(t)", "in", {"t": "its layers"})
YIELD = Formula("Fy Ase", "yield", "Fy*Ase", "kip")
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

    plate_in: float = same_as(FoundationFigures, "base_plate_in", required=True)
    size: BoltSize = same_as(FoundationFigures, "anchor_size")
    grade: Grade = same_as(FoundationFigures, "anchor_grade")
    gap_in: float = same_as(FoundationFigures, "anchor_gap_in")
    leveling_nut: bool = quantity("", "a nut under the plate", default=True, shown_at="anchor_seat")
    grout_in: float | None = quantity(
        "in", "grout under the plate, where it is given instead of gap and nut", low=0, high=6, default=None
    )
    washer_in: float = quantity("in", "thickness of each washer", low=0, high=1, default=F436_IN)
    top_nuts: int = quantity("", "nuts over the plate", low=1, high=2, default=1)
    slope: float = quantity(
        "", "slope of the plate on the nut, as rise over run", low=0, high=0.2, default=0.0
    )
    # also as measured on a bolt that was set wrong; not known is not checked
    projection_in: float | None = same_as(FoundationFigures, "projection_in", low=0, high=48, default=None)
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
    """A row of the tolerance table, in, by its name and the bolt's diameter in in; KeyError for none."""
    for row in rows("anchor_tolerances.csv"):
        if row["what"] == what and diameter_in <= float(row["upto_in"]) + 1e-9:
            return Tolerance(float(row["tolerance_in"]), row["source"], Known(row["known"]))
    raise KeyError(what)


def pretension_kip(size: BoltSize, grade: Grade) -> float | None:
    """Least pretension in kip of a double-nut joint; None for a size the table does not hold.

    AISC Design Guide 1, 2nd edition, tables A1 and A2.
    """
    found = next((row for row in rows("anchor_pretension.csv") if row["size"] == size), None)
    return None if found is None else float(found[f"grade_{grade}"])


def turn_deg(size: BoltSize, grade: Grade) -> float:
    """Turn of the upper nut beyond snug, degrees. AISC Design Guide 1, 2nd edition, tables A1 and A2."""
    diameter = anchor_bolts()[size].diameter_in
    found = next(
        row
        for row in rows("anchor_turn_of_nut.csv")
        if row["grade"] == grade and diameter <= float(row["upto_in"])
    )
    return float(found["degrees"])


def stack(case: StackCase) -> Stack:
    """The layers over the concrete, and how far the bolt must stand out for them, in, up to the next 1/8 in.

    Gap or grout, leveling nut, washers, plate, nuts, two threads. A heavy hex nut is taken as high as the
    bolt is thick. Pretension and turn by AISC Design Guide 1, 2nd edition; the rest is common practice,
    no source.
    """
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
    said = ", ".join(f"{layer.what} {layer.height_in:.3g}" for layer in layers)
    if case.projection_in is None:
        return PROJECTION.open(f"{total:.2f} in needed ({said} in); the projection is not given.")
    of = f"height of the stack: {', '.join(layer.what for layer in layers)}"
    height = HEIGHT.step_of(of, t=tuple(layer.height_in for layer in layers))
    return PROJECTION.compare(
        demand=height.value,
        capacity=case.projection_in,
        note=f"{total:.2f} in needed of {case.projection_in:g} in: {said} in.",
        steps=(height,),
    )


def _pretension(case: StackCase, tension: float | None) -> Check:
    """A pretension must not pull the bolt past its yield."""
    if tension is None:
        return PRETENSION.open(
            f"The table has no pretension for {case.size} in; the tower's maker must give it."
        )
    rule = PRETENSION if case.maker_pretension_kip is None else MAKERS_PRETENSION
    yields = YIELD.step(Fy=steels()[case.grade].yield_ksi, Ase=anchor_bolts()[case.size].stress_area_in2)
    return rule.compare(
        demand=tension,
        capacity=yields.value,
        note=f"{tension:g} kip, the bolt yields at {yields.value:.0f} kip.",
        steps=(
            *(
                (
                    looked_up(
                        "T",
                        "least pretension",
                        DOUBLE_NUT,
                        f"{case.size} in, grade {case.grade}",
                        tension,
                        "kip",
                    ),
                )
                if case.maker_pretension_kip is None
                else ()
            ),
            yields,
        ),
    )


def _slope(case: StackCase) -> Check:
    return BEVEL.compare(
        demand=case.slope,
        capacity=SLOPE_LIMIT,
        note=f"slope {case.slope:.3f}, up to 1 in 40 without a beveled washer.",
    )
