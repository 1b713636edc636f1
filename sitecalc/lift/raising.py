"""The raise of a tower from flat to upright: load on hook and foot at each angle.

Along the tower x runs from its foot; square to it y is positive on the upper side while the tower lies flat.
The hook's rope is plumb. Angles are the tower's, in degrees from the horizontal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate, pairwise

from sitecalc.cases import ranged_as, same_as
from sitecalc.checks import Check, Known, Rule, readable
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import LiftFigures

STATICS = "Statics of a rigid body on two supports, hook plumb (plane statics)"
PICK = Rule("pick-above-center", "Pick point", "ft", STATICS, Known.READ)

ARM = Formula("arm", "weight's arm about the tail", "(a-t)*cos(th)-c*sin(th)", "ft")
LEVER = Formula("lever", "hook's arm about the tail", "(p-t)*cos(th)-q*sin(th)", "ft")
HOOK = Formula("F", "on the hook", "W*arm/lever", "lb")
KEEP_OUT = Formula("r", "kept clear of people while it is raised", "1.1*L", "ft")
KEEP_OUT_UNDER = Formula("r", "kept clear of people under it", "max(0.5*h,30)", "ft")
QUADRANT_DEG = (0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 80.0, 85.0, 88.0, 90.0)


@dataclass(frozen=True, kw_only=True)
class Section:
    """One piece along the tower, from its foot up."""

    length_ft: float = quantity("ft", "length", low=0.1, high=100)
    weight_lb: float = quantity("lb", "weight", low=0, high=200_000)
    center_ft: float | None = quantity(
        "ft", "center of gravity above the piece's own foot", low=0, high=100, default=None
    )


@dataclass(frozen=True, kw_only=True)
class SectionsCase:
    sections: tuple[Section, ...]


@dataclass(frozen=True, kw_only=True)
class Gravity:
    weight_lb: float
    center_ft: float
    length_ft: float


def center_of_gravity(case: SectionsCase) -> Gravity:
    """Weight in lb and center of gravity in ft above the foot of stacked sections.

    sum of W z / sum of W; a section's own center is its middle if not given. Plane statics.
    """
    require_valid(case)
    if not case.sections:
        raise InputError("sections", "are missing.")
    for index, s in enumerate(case.sections):
        if s.center_ft is not None and s.center_ft > s.length_ft:
            raise InputError(f"sections[{index}].center_ft", f"lies above its section of {s.length_ft:g} ft.")
    feet = [0.0, *accumulate(s.length_ft for s in case.sections)]
    weight = math.fsum(s.weight_lb for s in case.sections)
    if weight <= 0:
        raise InputError("sections", "weigh nothing.")
    moment = math.fsum(
        s.weight_lb * (foot + (s.length_ft / 2 if s.center_ft is None else s.center_ft))
        for s, foot in zip(case.sections, feet, strict=False)
    )
    return Gravity(weight_lb=weight, center_ft=moment / weight, length_ft=feet[-1])


@dataclass(frozen=True, kw_only=True)
class RaiseCase:
    # the tower's sections or the machine may say the weight, in a range of their own
    weight_lb: float = same_as(LiftFigures, "weight_lb", required=True, low=1, high=1_000_000)
    center_ft: float = same_as(LiftFigures, "center_ft", required=True)
    center_up_ft: float = quantity(
        "ft", "center of gravity above the axis while flat", low=-20, high=20, default=0.0
    )
    pick_ft: float = same_as(LiftFigures, "pick_ft", required=True)
    pick_up_ft: float = same_as(LiftFigures, "pick_up_ft")
    tail_ft: float = ranged_as(
        LiftFigures,
        "pick_ft",
        "skid, hinge or tail pick along the tower from its foot",
        default=0.0,
        shown_at="center_ft",
    )
    # the tower's design may say it
    length_ft: float = same_as(LiftFigures, "length_ft", required=True, high=500)


@dataclass(frozen=True, kw_only=True)
class RaiseStep:
    angle_deg: float
    hook_lb: float
    tail_lb: float
    foot_free: bool


@dataclass(frozen=True)
class RaiseResult:
    """``free_deg``: the angle at which the foot leaves the ground and the hook has all of the weight.

    ``lean_deg``: how far from plumb the tower then hangs.
    """

    steps: tuple[RaiseStep, ...]
    free_deg: float
    lean_deg: float
    checks: tuple[Check, ...]


def raise_loads(case: RaiseCase) -> RaiseResult:
    """Hook and tail loads in lb from flat (0 degrees) to upright, at the angles of :func:`raise_at`.

    A rigid tower, raised slowly, hook plumb, no wind. Plane statics. InputError where the pick is below the
    center of gravity.
    """
    _require_pick_above(case)
    free = _free_angle(case)
    steps = tuple(raise_at(case, a) for a in sorted({*QUADRANT_DEG[:-1], free}) if a <= free)
    return RaiseResult(steps, free, 90 - free, (_pick_check(case),))


def raise_at(case: RaiseCase, angle_deg: float) -> RaiseStep:
    """Hook and tail load in lb at the tower's angle in degrees from the horizontal.

    F = W ((a - t) cos th - c sin th) / ((p - t) cos th - q sin th), all of W once the foot is free. Range and
    source as of :func:`raise_loads`.
    """
    _require_pick_above(case)
    if not 0 <= angle_deg <= 90:
        raise InputError("angle_deg", "runs from 0 (flat) to 90 (upright).")
    if angle_deg >= _free_angle(case):
        return RaiseStep(angle_deg=angle_deg, hook_lb=case.weight_lb, tail_lb=0.0, foot_free=True)
    arm = ARM.value(a=case.center_ft, t=case.tail_ft, c=case.center_up_ft, th=angle_deg)
    lever = LEVER.value(p=case.pick_ft, t=case.tail_ft, q=case.pick_up_ft, th=angle_deg)
    # past the angle where the center of gravity is plumb over the tail, the tower would fall the other way
    if arm <= 0:
        return RaiseStep(angle_deg=angle_deg, hook_lb=0.0, tail_lb=case.weight_lb, foot_free=False)
    hook = HOOK.value(W=case.weight_lb, arm=arm, lever=lever)
    return RaiseStep(angle_deg=angle_deg, hook_lb=hook, tail_lb=case.weight_lb - hook, foot_free=False)


def _free_angle(case: RaiseCase) -> float:
    """Where the hook has come plumb over the center of gravity: (p - a) cos th = (q - c) sin th."""
    across = case.pick_up_ft - case.center_up_ft
    if across <= 0:
        return 90.0
    return math.degrees(math.atan2(case.pick_ft - case.center_ft, across))


def _require_pick_above(case: RaiseCase) -> None:
    require_valid(case)
    if case.center_ft > case.length_ft:
        raise InputError("center_ft", f"lies beyond the tower's {case.length_ft:g} ft.")
    if case.pick_ft > case.length_ft:
        raise InputError("pick_ft", f"lies beyond the tower's {case.length_ft:g} ft.")
    if case.tail_ft >= case.center_ft:
        raise InputError("tail_ft", f"is not below the center of gravity, {readable(case.center_ft)} ft up.")
    if case.pick_ft <= case.center_ft:
        raise InputError(
            "pick_ft",
            f"is not above the center of gravity, {readable(case.center_ft)} ft up: the tower turns over.",
        )


def _pick_check(case: RaiseCase) -> Check:
    arm = ARM.step_of("weight's arm, flat", a=case.center_ft, t=case.tail_ft, c=case.center_up_ft, th=0)
    lever = LEVER.step_of("hook's arm, flat", p=case.pick_ft, t=case.tail_ft, q=case.pick_up_ft, th=0)
    hook = HOOK.step_of("on the hook while flat", W=case.weight_lb, arm=arm.value, lever=lever.value)
    return PICK.compare(
        demand=case.center_ft,
        capacity=case.pick_ft,
        note=f"Pick {readable(case.pick_ft)} ft up, center of gravity {readable(case.center_ft)} ft up.",
        steps=(arm, lever, hook),
    )


@dataclass(frozen=True, kw_only=True)
class BendingCase:
    """The tower flat on its tail and hung from its pick: a beam, each section a uniform load."""

    sections: tuple[Section, ...]
    pick_ft: float = same_as(LiftFigures, "pick_ft", required=True)
    tail_ft: float = ranged_as(
        LiftFigures, "pick_ft", "skid or tail pick along the tower from its foot", default=0.0
    )
    dynamic_factor: float = same_as(LiftFigures, "dynamic_factor")


@dataclass(frozen=True, kw_only=True)
class Bending:
    sagging_ft_lb: float
    hogging_ft_lb: float
    hook_lb: float
    tail_lb: float


def bending_flat(case: BendingCase) -> Bending:
    """Largest moments in ft-lb under self weight as the tower leaves the ground, and the loads in lb.

    A beam on tail and pick, each section a uniform load times the dynamic factor; moments where the shear is
    nothing. Level tower, loads within its length. Plane statics.
    """
    require_valid(case)
    if not case.sections:
        raise InputError("sections", "are missing.")
    ends = [0.0, *accumulate(s.length_ft for s in case.sections)]
    if not case.tail_ft < case.pick_ft <= ends[-1]:
        raise InputError("pick_ft", f"lies between the tail and the top, {ends[-1]:g} ft.")
    loads = [case.dynamic_factor * s.weight_lb / s.length_ft for s in case.sections]
    spans = [(a, b, w) for (a, b), w in zip(pairwise(ends), loads, strict=True)]
    weight = math.fsum(w * (b - a) for a, b, w in spans)
    center = math.fsum(w * (b - a) * (a + b) / 2 for a, b, w in spans) / weight if weight else 0.0
    hook = weight * (center - case.tail_ft) / (case.pick_ft - case.tail_ft)
    tail = weight - hook

    def shear(x: float) -> float:
        hung = math.fsum(w * (min(x, b) - a) for a, b, w in spans if a < x)
        return tail * (x >= case.tail_ft) + hook * (x >= case.pick_ft) - hung

    def moment(x: float) -> float:
        hung = math.fsum(w * (min(x, b) - a) * (x - (a + min(x, b)) / 2) for a, b, w in spans if a < x)
        return tail * max(x - case.tail_ft, 0) + hook * max(x - case.pick_ft, 0) - hung

    # moments peak where the shear passes zero: at a support or inside a span of uniform load
    places = sorted({*ends, case.tail_ft, case.pick_ft})
    for a, b in pairwise(list(places)):
        load = next(w for low, high, w in spans if low <= a < high)
        if load > 0 and 0 < shear(a) / load < b - a:
            places.append(a + shear(a) / load)
    moments = [moment(x) for x in places]
    return Bending(
        sagging_ft_lb=max(0.0, *moments),
        hogging_ft_lb=max(0.0, *(-m for m in moments)),
        hook_lb=hook,
        tail_lb=tail,
    )


def keep_out_ft(tower_ft: float) -> float:
    """Ft kept clear of all but those named while a tower of this length in ft is raised.

    1.1 L. Common practice, no source.
    """
    return KEEP_OUT.value(L=tower_ft)


def keep_out_under_ft(load_height_ft: float) -> float:
    """The same for a load that hangs, from its height in ft: half of it, never under 30 ft.

    Common practice, no source.
    """
    return KEEP_OUT_UNDER.value(h=load_height_ft)
