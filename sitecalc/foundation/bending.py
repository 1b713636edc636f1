"""Shapes of bent bars: what is measured on the bent bar, and how long a straight bar it is cut from.

Dimensions are out to out. A bar keeps its length along its middle line when it is bent, so a cut length is
the straight parts from bend to bend and the arcs between them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

from sitecalc.foundation.tables import bars, rows
from sitecalc.foundation.words import BarSize
from sitecalc.inputs import InputError, quantity, require_valid

Shape = Literal[
    "straight",
    "one 90 degree end",
    "two 90 degree ends",
    "one 180 degree end",
    "two 180 degree ends",
    "closed tie",
    "round tie",
]
Use = Literal["bar", "tie"]

HOOK_RULE = "ACI 318-19, tables 25.3.1 and 25.3.2"
CUT_STEP_IN = 0.25  # bars are cut to the next quarter inch: common practice, no source


@dataclass(frozen=True, kw_only=True)
class Hook:
    """A standard hook. ``end_in`` is the straight end past the bend; both lengths are needed to bend it.

    ``leg_in`` is out to out: back of the bend to the tip of a 90 degree end, across a 180 degree one.
    """

    angle_deg: int
    bend_in: float
    end_in: float
    leg_in: float


@dataclass(frozen=True)
class Dimension:
    """``letter`` stands on the sketch: A the first leg, B the back, C the second leg."""

    letter: str
    words: str
    length_in: float


@dataclass(frozen=True, kw_only=True)
class BendCase:
    """A bar to bend. Legs are for 90 degree ends; without them the standard hook is taken."""

    size: BarSize = quantity("", "bar size")
    shape: Shape = quantity("", "shape")
    length_in: float = quantity("in", "out to out; a tie's width or outside diameter", low=1, high=1_440)
    leg_in: float | None = quantity("in", "first leg out to out", low=1, high=240, default=None)
    other_leg_in: float | None = quantity("in", "second leg out to out", low=1, high=240, default=None)
    depth_in: float | None = quantity(
        "in", "a tie's other side, if not square", low=1, high=240, default=None
    )


@dataclass(frozen=True, kw_only=True)
class Bent:
    """``cut_in`` is exact; ``order_in`` rounds up to what is cut."""

    shape: Shape
    dimensions: tuple[Dimension, ...]
    bend_in: float
    cut_in: float
    order_in: float


@cache
def hook(size: BarSize, angle_deg: int, use: Use = "bar") -> Hook:
    """The standard hook of a size; InputError for a tie of #9 or more."""
    number, db = int(size[1:]), bars()[size].diameter_in
    for row in rows("bar_bends.csv"):
        same = row["use"] == use and int(row["angle_deg"]) == angle_deg
        if same and int(row["from_size"]) <= number <= int(row["to_size"]):
            bend = float(row["bend_diameters"]) * db
            end = max(float(row["end_diameters"]) * db, float(row["end_in"]))
            leg = bend + 2 * db if angle_deg == 180 else bend / 2 + db + end
            return Hook(angle_deg=angle_deg, bend_in=bend, end_in=end, leg_in=leg)
    raise InputError("size", f"{size} has no standard {angle_deg} degree hook for a {use}.")


def arc_in(bend_in: float, bar_in: float, angle_deg: float) -> float:
    """Along the middle line of the bar."""
    return math.radians(angle_deg) * (bend_in + bar_in) / 2


def deduction_in(bend_in: float, bar_in: float) -> float:
    """What a 90 degree bend takes off the sum of its two outside legs: 2 (D/2 + db) - pi/2 (D + db)/2."""
    return 2 * (bend_in / 2 + bar_in) - arc_in(bend_in, bar_in, 90)


def end_in(found: Hook, bar_in: float) -> float:
    """What a hook adds to the out to out length of the bar it ends: arc and straight end, less D/2 + db."""
    return arc_in(found.bend_in, bar_in, found.angle_deg) + found.end_in - (found.bend_in / 2 + bar_in)


def bend(case: BendCase) -> Bent:
    """Dimensions out to out and cut length of a bar of that shape, in.

    A bar keeps its length along its middle line: straight parts and arcs pi/180 a (D + db) / 2. Standard
    bends of ACI 318-19, tables 25.3.1 and 25.3.2 (read in secondary copies). InputError where legs are
    shorter than bends.
    """
    require_valid(case)
    if case.shape == "closed tie":
        return _closed_tie(case)
    if case.shape == "round tie":
        return _round_tie(case)
    back = Dimension("B", "out to out", case.length_in)
    if case.shape == "straight":
        return _bent(case.shape, (back,), 0.0, case.length_in)
    ends = 2 if case.shape.startswith("two") else 1
    if "180" in case.shape:
        return _half_turned(case, back, ends)
    return _squared(case, back, ends)


def _squared(case: BendCase, back: Dimension, ends: int) -> Bent:
    db, standard = bars()[case.size].diameter_in, hook(case.size, 90)
    first = standard.leg_in if case.leg_in is None else case.leg_in
    other = first if case.other_leg_in is None else case.other_leg_in
    legs = [("leg_in", "A", first), ("other_leg_in", "C", other)][:ends]
    least = standard.bend_in / 2 + db
    for field, _letter, leg in legs:
        if leg < least:
            raise InputError(field, f"is {leg:g} in; the bend alone takes {least:.2f} in of {case.size}.")
    if case.length_in < ends * least:
        raise InputError("length_in", f"is too short for the bends of {case.size}.")
    cut = case.length_in + sum(leg - deduction_in(standard.bend_in, db) for _f, _l, leg in legs)
    said = [Dimension(letter, "leg, out to out", leg) for _f, letter, leg in legs]
    return _bent(case.shape, (*said[:1], back, *said[1:]), standard.bend_in, cut)


def _half_turned(case: BendCase, back: Dimension, ends: int) -> Bent:
    db, standard = bars()[case.size].diameter_in, hook(case.size, 180)
    if case.length_in < ends * (standard.bend_in / 2 + db):
        raise InputError("length_in", f"is too short for the bends of {case.size}.")
    cut = case.length_in + ends * end_in(standard, db)
    said = [Dimension("ACE"[i], "across the hook, out to out", standard.leg_in) for i in (0, 1)][:ends]
    return _bent(case.shape, (*said[:1], back, *said[1:]), standard.bend_in, cut)


def _closed_tie(case: BendCase) -> Bent:
    """Three square corners; at the fourth both ends turn 135 degrees round the bar into the core."""
    db, corner = bars()[case.size].diameter_in, hook(case.size, 135, "tie")
    depth = case.length_in if case.depth_in is None else case.depth_in
    for field, side in (("length_in", case.length_in), ("depth_in", depth)):
        if side < corner.bend_in + 2 * db:
            raise InputError(field, f"is {side:g} in; the bends alone take {corner.bend_in + 2 * db:.2f} in.")
    cut = 2 * (case.length_in + depth) - 3 * deduction_in(corner.bend_in, db) + 2 * end_in(corner, db)
    said = (
        Dimension("A", "out to out", case.length_in),
        Dimension("B", "out to out", depth),
        Dimension("H", "straight end past each 135 degree bend", corner.end_in),
    )
    return _bent(case.shape, said, corner.bend_in, cut)


def _round_tie(case: BendCase) -> Bent:
    """A ring whose ends overlap 6 in at least and turn 135 degrees into the core (ACI 318-19, 25.7.2.4.1)."""
    db, corner = bars()[case.size].diameter_in, hook(case.size, 135, "tie")
    if case.length_in <= corner.bend_in + 2 * db:
        raise InputError("length_in", "is too small a ring for the hooks at its ends.")
    ring = math.pi * (case.length_in - db)
    overlap = 6.0
    cut = ring + overlap + 2 * (arc_in(corner.bend_in, db, 135) + corner.end_in)
    said = (
        Dimension("A", "outside diameter", case.length_in),
        Dimension("L", "overlap of the ends", overlap),
        Dimension("H", "straight end past each 135 degree bend", corner.end_in),
    )
    return _bent(case.shape, said, corner.bend_in, cut)


def _bent(shape: Shape, dimensions: tuple[Dimension, ...], bend_in: float, cut: float) -> Bent:
    return Bent(
        shape=shape,
        dimensions=dimensions,
        bend_in=bend_in,
        cut_in=cut,
        order_in=math.ceil(cut / CUT_STEP_IN - 1e-6) * CUT_STEP_IN,
    )
