"""How straight a tower stands, and how long a crew takes to put it together on the ground."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula
from sitecalc.inputs import quantity, require_valid
from sitecalc.tower.figures import TowerFigures

PLUMB_RULE = "TIA-222-H, tolerance of plumb 0.25 % of the height"
STRAIGHT_RULE = "joints of the lying tower within 1/500 of the length between its supports"

# not read. EIA-222-D, 6.1.2.1, as quoted in the mail archive of TowerTalk (Mar 2003), let a self-supporting
# tower lean 1 in 250, 0.4 %, and a guyed one 1 in 400: what is asked here is the closer of the two
PLUMB = Rule("plumb", "Plumb", "in", PLUMB_RULE, Known.MEMORY)

LIMIT = Formula("limit", "allowed lean", "12*h*p/100", "in")
LEAN = Formula("lean", "both directions together", "sqrt(n**2+e**2)", "in")
BOW = Formula("bow", "allowed bow", "12*L/500", "in")
HOURS = Formula("t", "time to put it together", "0.32*h/people", "h")


@dataclass(frozen=True, kw_only=True)
class Plumb:
    """The tower's lean, read in two directions square to each other; None is not read."""

    height_ft: float = quantity("ft", "height over which the lean was read", low=5, high=500)
    north_in: float | None = quantity("in", "lean toward north (south is negative)", low=-120, high=120)
    east_in: float | None = quantity("in", "lean toward east (west is negative)", low=-120, high=120)
    percent: float = same_as(TowerFigures, "plumb_percent")


def plumb_limit_in(height_ft: float, percent: float = 0.25) -> float:
    """Allowed lean in in, over a height in ft, from the percent of height.

    12 h p / 100, p 0.25 unless the maker says less. TIA-222-H (from memory).
    """
    return LIMIT.value(h=height_ft, p=percent)


def plumb_check(reading: Plumb) -> Check:
    """The lean of both readings together, in in, against the limit; a missing direction never passes.

    sqrt(n^2 + e^2) at most 12 h p / 100. Small leans. TIA-222-H (from memory).
    """
    require_valid(reading)
    limit = LIMIT.step(h=reading.height_ft, p=reading.percent)
    if reading.north_in is None or reading.east_in is None:
        return PLUMB.open(f"Read in two directions, at most {limit.value:.3g} in; one is missing.")
    lean = LEAN.step(n=reading.north_in, e=reading.east_in)
    return PLUMB.compare(
        demand=lean.value,
        capacity=limit.value,
        case=f"{reading.percent:g} % of {reading.height_ft:g} ft",
        steps=(limit, lean),
    )


def straight_limit_in(length_ft: float) -> float:
    """Allowed bow in in of the lying tower between two supports, from their distance in ft.

    12 L / 500 (from memory).
    """
    return BOW.value(L=length_ft)


def assembly_hours(height_ft: float, people: int) -> float:
    """Hours a crew needs to put a lattice tower together on the ground, from its height in ft and the people.

    t = 0.32 h / people: four experienced people take about eight hours for 100 ft. Common practice, no
    source; it forecasts, it proves nothing. Fewer than two people do not handle sections: infinity.
    """
    if people < 2 or height_ft <= 0:
        return math.inf
    return HOURS.value(h=height_ft, people=people)
