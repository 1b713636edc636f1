"""From base reactions to the pull of a leg, of a bolt in a circle, of a joint up the tower."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid

LEVER_OF_FOUR = Formula("a", "lever on the diagonal", "sqrt(2)*s", "ft")
LEVER_OF_THREE = Formula("a", "lever of one leg against two", "sqrt(3)/2*s", "ft")
COUPLE = Formula("C", "force of a leg by the moment", "M/a", "kip")
SHARE = Formula("W1", "a leg's share of the dead load", "W/n", "kip")
MOMENT_BOUND = Formula("M", "most the moment can be at a height", "M0*max(0,1-z/h)", "kip-ft")
CIRCLE = Formula("T", "greatest pull of a bolt on a circle", "max(0,4*M/(N*D)-W/N)", "kip")


@dataclass(frozen=True)
class LegForces:
    """Greatest pull and push in one leg over all wind directions, kip; pull 0 where none lifts."""

    pull_kip: float
    push_kip: float
    direction: str


@dataclass(frozen=True, kw_only=True)
class Base:
    """Reactions at the foot of the tower, from its maker or engineer."""

    moment_kip_ft: float = quantity("kip-ft", "overturning moment", low=0, high=200_000)
    shear_kip: float = quantity("kip", "shear", low=0, high=5_000)
    dead_kip: float = quantity("kip", "least dead load of tower and turbine", low=0, high=5_000)
    legs: int = quantity("", "3 or 4 legs", low=3, high=4)
    spacing_ft: float = quantity("ft", "leg spacing center to center", low=0.25, high=60)


def leg_forces(base: Base) -> LegForces:
    """Greatest pull and push of a leg in kip: M / a - W / n and M / a + W / n.

    base
        moment in kip-ft, dead load in kip, leg spacing in ft, all of one level (strength or service).

    Rigid base, shear left to the bolts, legs of one size. Statics of a rigid body. Four legs on a square:
    wind on the diagonal, lever sqrt(2) times the spacing, one leg a side. Three legs: 0.866 times the
    spacing, one leg alone against two.
    """
    require_valid(base)
    lever = (LEVER_OF_FOUR if base.legs == 4 else LEVER_OF_THREE).value(s=base.spacing_ft)
    couple = COUPLE.value(M=base.moment_kip_ft, a=lever)
    share = SHARE.value(W=base.dead_kip, n=base.legs)
    direction = "wind on the diagonal" if base.legs == 4 else "wind toward or from one leg"
    return LegForces(max(0.0, couple - share), couple + share, direction)


def moment_bound_kip_ft(base_moment_kip_ft: float, height_ft: float, at_ft: float) -> float:
    """The most the moment can be at a height, kip-ft, from the base moment in kip-ft and heights in ft.

    M0 (1 - z / h): a line from the base moment to nothing at the top load. Statics.

    Loads that all push one way give a moment curve bent inward, which lies under that line. ``height_ft`` is
    the height of the uppermost load (hub).
    """
    if height_ft <= 0:
        raise InputError("height_ft", "must be more than nothing.")
    return MOMENT_BOUND.value(M0=base_moment_kip_ft, z=at_ft, h=height_ft)


def circle_bolt_tension_kip(moment_kip_ft: float, dead_kip: float, bolts: int, circle_ft: float) -> float:
    """Greatest pull in kip of a bolt on a circle, from moment in kip-ft, dead load in kip, diameter in ft.

    4 M / (N D) - W / N, turning about the middle, never less than nothing. Statics.

    Sum of y squared is N r squared / 2 for any number from 3 and any clocking. No prying.
    """
    if bolts < 3:
        raise InputError("bolts", "are fewer than 3; a circle needs 3.")
    if circle_ft <= 0:
        raise InputError("circle_ft", "must be more than nothing.")
    return CIRCLE.value(M=moment_kip_ft, N=bolts, D=circle_ft, W=dead_kip)


def strength_factor(kind: str) -> float | None:
    """What reactions of this kind are multiplied by for strength level (no unit); None: the maker must say.

    ASCE 7-10 and later winds are at strength level already: 1.0. The simple loads of IEC 61400-2 take
    3.0 on ultimate loads, others 1.35 or what tests allow, so that factor is the maker's word.
    """
    return 1.0 if kind == "ASCE strength level" else None
