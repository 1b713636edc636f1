"""How straight a tower stands, and how long a crew takes to put it together on the ground."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.inputs import quantity, require_valid

PLUMB_RULE = "TIA-222-H, tolerance of plumb 0.25 % of the height"
STRAIGHT_RULE = "joints of the lying tower within 1/500 of the length between its supports"


@dataclass(frozen=True)
class Plumb:
    """The tower's lean, read in two directions square to each other; None is not read."""

    height_ft: float = quantity("ft", "height over which the lean was read", low=5, high=500)
    north_in: float | None = quantity("in", "lean toward north (south is negative)", low=-120, high=120)
    east_in: float | None = quantity("in", "lean toward east (west is negative)", low=-120, high=120)
    percent: float = quantity("%", "allowed lean in percent of height", low=0.01, high=2, default=0.25)


def plumb_limit_in(height_ft: float, percent: float = 0.25) -> float:
    """Allowed lean of the top, in."""
    return height_ft * 12 * percent / 100


def plumb_check(reading: Plumb) -> Check:
    """The lean of both readings together against the limit; a missing direction never passes."""
    require_valid(reading)
    limit = plumb_limit_in(reading.height_ft, reading.percent)
    if reading.north_in is None or reading.east_in is None:
        why = f"Read in two directions, at most {limit:.3g} in; one is missing."
        return not_checked("plumb", "Plumb", why, source=PLUMB_RULE, known=Known.MEMORY, unit="in")
    lean = math.hypot(reading.north_in, reading.east_in)
    return compare(
        "plumb",
        "Plumb",
        demand=lean,
        capacity=limit,
        unit="in",
        source=PLUMB_RULE,
        known=Known.MEMORY,
        case=f"{reading.percent:g} % of {reading.height_ft:g} ft",
        steps=(
            Step(
                "lean",
                "both directions together",
                "sqrt(n^2 + e^2)",
                f"sqrt({reading.north_in:g}^2 + {reading.east_in:g}^2)",
                lean,
                "in",
            ),
        ),
    )


def straight_limit_in(length_ft: float) -> float:
    """Allowed bow of the assembled tower between two supports, in: 1/500 of the length (from memory)."""
    return length_ft * 12 / 500


def assembly_hours(height_ft: float, people: int) -> float:
    """Hours a crew needs to put a lattice tower together on the ground.

    Four experienced people take about eight hours for 100 ft: 0.32 person-hours a foot. Common practice, no
    source; it forecasts, it proves nothing. Fewer than two people do not handle sections.
    """
    if people < 2 or height_ft <= 0:
        return math.inf
    return 0.32 * height_ft / people
