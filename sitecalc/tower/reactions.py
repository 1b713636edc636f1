"""From base reactions to the pull of a leg, of a bolt in a circle, of a joint up the tower."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.inputs import InputError, quantity, require_valid

ReactionKind = Literal["ASCE strength level", "IEC extreme gust", "maker's service"]


@dataclass(frozen=True)
class LegForces:
    """Greatest pull and push in one leg over all wind directions, kip; pull 0 where none lifts."""

    pull_kip: float
    push_kip: float
    direction: str


@dataclass(frozen=True)
class Base:
    """Reactions at the foot of the tower, from its maker or engineer."""

    moment_kip_ft: float = quantity("kip-ft", "overturning moment", low=0, high=200_000)
    shear_kip: float = quantity("kip", "shear", low=0, high=5_000)
    dead_kip: float = quantity("kip", "least dead load of tower and turbine", low=0, high=5_000)
    legs: int = quantity("", "3 or 4 legs", low=3, high=4)
    spacing_ft: float = quantity("ft", "leg spacing center to center", low=0.25, high=60)


def leg_forces(base: Base) -> LegForces:
    """Pull M / lever - W / legs over the direction that pulls most.

    Four legs on a square: wind on the diagonal, lever sqrt(2) times the spacing, one leg a side. Three legs:
    0.866 times the spacing, one leg alone against two.
    """
    require_valid(base)
    lever = math.sqrt(2) * base.spacing_ft if base.legs == 4 else math.sqrt(3) / 2 * base.spacing_ft
    couple, share = base.moment_kip_ft / lever, base.dead_kip / base.legs
    direction = "wind on the diagonal" if base.legs == 4 else "wind toward or from one leg"
    return LegForces(max(0.0, couple - share), couple + share, direction)


def moment_bound_kip_ft(base_moment_kip_ft: float, height_ft: float, at_ft: float) -> float:
    """The most the moment can be at a height: a line from the base moment to nothing at the top load.

    Loads that all push one way give a moment curve bent inward, which lies under that line. ``height_ft`` is
    the height of the uppermost load (hub).
    """
    if height_ft <= 0:
        raise InputError("height_ft", "must be more than nothing.")
    return base_moment_kip_ft * max(0.0, 1 - at_ft / height_ft)


def circle_bolt_tension_kip(moment_kip_ft: float, dead_kip: float, bolts: int, circle_ft: float) -> float:
    """Greatest pull of a bolt on a circle under moment: 4 M / (N D) - W / N, turning about the middle.

    Sum of y squared is N r squared / 2 for any number from 3 and any clocking. No prying.
    """
    if bolts < 3:
        raise InputError("bolts", "are fewer than 3; a circle needs 3.")
    if circle_ft <= 0:
        raise InputError("circle_ft", "must be more than nothing.")
    return max(0.0, 4 * moment_kip_ft / (bolts * circle_ft) - dead_kip / bolts)


def strength_factor(kind: str) -> float | None:
    """What turns reactions of this kind into strength level; None where their maker must say.

    ASCE 7-10 and later winds are at strength level already: 1.0. The simple loads of IEC 61400-2 take
    3.0 on ultimate loads, others 1.35 or what tests allow, so that factor is the maker's word.
    """
    return 1.0 if kind == "ASCE strength level" else None
