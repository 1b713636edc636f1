"""Where boom, hook and load stand: radius, boom tip, hook height, clearance of the boom to the load.

Lengths in feet, heights above the grade the crane stands on, angles in degrees from the horizontal. The load
hangs plumb under the boom tip; its profile is its corners toward the boom, measured from its own foot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, readable
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import Corner, LiftFigures

TRIGONOMETRY = "Plane trigonometry on the crane's own dimensions"
PRACTICE_CLEAR = "Boom to load, 2 to 3 ft kept clear"

BOOM_TIP = Rule("boom-tip", "Height", "ft", TRIGONOMETRY, Known.READ)
BOOM_CLEARANCE = Rule(
    "boom-clearance", "Boom to load", "ft", f"{TRIGONOMETRY}; {PRACTICE_CLEAR}", Known.PRACTICE
)

ANGLE = Formula("th", "boom angle", "acos((R+e)/L)", "deg")
TIP = Formula("H", "boom tip above grade", "hp+L*sin(th)", "ft")
HOOK = Formula("Hh", "hook above grade", "foot+over+pick+rigging", "ft")
NEEDED_TIP = Formula("Hn", "boom tip that is needed", "Hh+block+margin", "ft")
BELOW_TIP = Formula("g", "boom tip above the corner", "H-z", "ft")
CLEAR = Formula("D", "boom's underside to the corner", "g*cos(th)-w*sin(th)-b/2", "ft")


@dataclass(frozen=True, kw_only=True)
class Boom:
    """The crane's own dimensions. ``pin_behind_ft`` is negative where the boom pin is ahead of the center."""

    pin_height_ft: float = quantity("ft", "boom pin above grade", low=0, high=30)
    pin_behind_ft: float = quantity("ft", "boom pin behind the center of rotation", low=-20, high=30)
    depth_ft: float = quantity("ft", "depth of the boom, top to underside", low=0.2, high=12)


@dataclass(frozen=True, kw_only=True)
class Heights:
    """What adds up from grade at the crane to the boom tip."""

    foot_ft: float = same_as(LiftFigures, "foot_ft", required=True)
    over_ft: float = same_as(LiftFigures, "over_ft", required=True)
    pick_ft: float = same_as(LiftFigures, "pick_ft", required=True)
    rigging_ft: float = same_as(LiftFigures, "rigging_ft", required=True)
    block_ft: float = quantity(
        "ft", "hook's saddle up to the top of the block", low=0, high=30, shown_at="crane"
    )
    two_block_ft: float = quantity("ft", "kept between block and boom tip", low=0, high=30, shown_at="crane")

    @property
    def load_foot_ft(self) -> float:
        return self.foot_ft + self.over_ft

    @property
    def hook_ft(self) -> float:
        return HOOK.value(foot=self.foot_ft, over=self.over_ft, pick=self.pick_ft, rigging=self.rigging_ft)

    @property
    def tip_ft(self) -> float:
        return NEEDED_TIP.value(Hh=self.hook_ft, block=self.block_ft, margin=self.two_block_ft)


@dataclass(frozen=True, kw_only=True)
class CraneCase:
    """A set-up to be checked. ``radius_ft`` is from the center of rotation to the hook with the load on."""

    boom: Boom
    heights: Heights
    corners: tuple[Corner, ...]
    radius_ft: float = same_as(LiftFigures, "radius_ft", required=True)
    boom_ft: float = same_as(LiftFigures, "boom_ft", required=True)
    clear_ft: float = same_as(LiftFigures, "clear_ft")


@dataclass(frozen=True)
class Clearance:
    corner: Corner
    height_ft: float
    clear_ft: float


@dataclass(frozen=True, kw_only=True)
class CraneGeometry:
    angle_deg: float
    tip_ft: float
    hook_ft: float
    needed_tip_ft: float
    least_boom_ft: float | None
    clearances: tuple[Clearance, ...]
    checks: tuple[Check, ...]

    @property
    def closest(self) -> Clearance:
        return min(self.clearances, key=lambda c: c.clear_ft)


def boom_angle_deg(boom: Boom, radius_ft: float, boom_ft: float) -> float:
    """Loaded boom angle in degrees from the horizontal, from radius and boom length in ft.

    th = acos((R + e) / L), e the boom pin behind the center of rotation. A straight boom: its bend under load
    is in the radius as taped. Plane trigonometry. InputError where the boom is too short for the radius.
    """
    reach = radius_ft + boom.pin_behind_ft
    if reach >= boom_ft:
        raise InputError(
            "boom_ft", f"is {boom_ft:g} ft; a radius of {radius_ft:g} ft lies {reach:g} ft from the boom pin."
        )
    if reach <= 0:
        raise InputError("radius_ft", f"of {radius_ft:g} ft puts the hook behind the boom pin.")
    return ANGLE.value(R=radius_ft, e=boom.pin_behind_ft, L=boom_ft)


def tip_height_ft(boom: Boom, radius_ft: float, boom_ft: float) -> float:
    """Boom tip above grade in ft, from radius and boom length in ft.

    H = hp + L sin th; range, source and InputError as of :func:`boom_angle_deg`.
    """
    return TIP.value(hp=boom.pin_height_ft, L=boom_ft, th=boom_angle_deg(boom, radius_ft, boom_ft))


def boom_clearance_ft(boom: Boom, radius_ft: float, boom_ft: float, height_ft: float, out_ft: float) -> float:
    """From the boom's underside, square to the boom, to a corner, ft; less than nothing is in the boom.

    radius_ft, boom_ft
        of the crane, ft.
    height_ft, out_ft
        the corner above grade and out from the hook line toward the boom, ft.

    D = g cos th - w sin th - b/2 with g from the corner up to the tip: the distance to the boom's endless
    line, so never more than the one to the boom itself. Plane trigonometry.
    """
    angle = boom_angle_deg(boom, radius_ft, boom_ft)
    below = BELOW_TIP.value(H=TIP.value(hp=boom.pin_height_ft, L=boom_ft, th=angle), z=height_ft)
    return CLEAR.value(g=below, th=angle, w=out_ft, b=boom.depth_ft)


def least_boom_ft(case: CraneCase, radius_ft: float) -> float | None:
    """Shortest boom in ft that gives height and clearance at this radius in ft; None where no boom does.

    Every corner asks A sin th - B cos th >= c + b/2 with A = R + e - w and B = z - hp: one sine with a shift.
    Up to 89.9 degrees. Plane trigonometry.
    """
    boom = case.boom
    reach = radius_ft + boom.pin_behind_ft
    if reach <= 0:
        return None
    angle = math.atan2(case.heights.tip_ft - boom.pin_height_ft, reach)
    for corner in case.corners:
        a = reach - corner.out_ft
        b = case.heights.load_foot_ft + corner.up_ft - boom.pin_height_ft
        asked = (case.clear_ft + boom.depth_ft / 2) / math.hypot(a, b)
        if a <= 0 or asked > 1:
            return None
        angle = max(angle, math.atan2(b, a) + math.asin(asked))
    if angle >= math.radians(89.9):
        return None
    # a corner near the ground may ask less than a level boom
    return reach / math.cos(max(angle, 0.0))


def crane_geometry(case: CraneCase) -> CraneGeometry:
    """Angle in degrees, boom tip and hook in ft, and the clearance in ft at every corner of the load.

    The load hangs plumb and its corners stand toward the boom. Plane trigonometry; 2 to 3 ft between boom and
    load is common practice.
    """
    require_valid(case)
    if not case.corners:
        raise InputError("corners", "are missing: at least the top of the load.")
    angle = boom_angle_deg(case.boom, case.radius_ft, case.boom_ft)
    tip = tip_height_ft(case.boom, case.radius_ft, case.boom_ft)
    found = tuple(_clearance(case, corner) for corner in case.corners)
    return CraneGeometry(
        angle_deg=angle,
        tip_ft=tip,
        hook_ft=case.heights.hook_ft,
        needed_tip_ft=case.heights.tip_ft,
        least_boom_ft=least_boom_ft(case, case.radius_ft),
        clearances=found,
        checks=(_height_check(case, angle, tip), _clearance_check(case, angle, tip, found)),
    )


def _clearance(case: CraneCase, corner: Corner) -> Clearance:
    height = case.heights.load_foot_ft + corner.up_ft
    return Clearance(
        corner,
        height,
        boom_clearance_ft(case.boom, case.radius_ft, case.boom_ft, height, corner.out_ft),
    )


def _height_check(case: CraneCase, angle: float, tip: float) -> Check:
    h, boom = case.heights, case.boom
    return BOOM_TIP.compare(
        demand=h.tip_ft,
        capacity=tip,
        note=f"Boom tip {readable(tip)} ft up, {readable(h.tip_ft)} ft needed; hook {readable(h.hook_ft)}.",
        steps=(
            ANGLE.step(R=case.radius_ft, e=boom.pin_behind_ft, L=case.boom_ft),
            TIP.step(hp=boom.pin_height_ft, L=case.boom_ft, th=angle),
            HOOK.step(foot=h.foot_ft, over=h.over_ft, pick=h.pick_ft, rigging=h.rigging_ft),
            NEEDED_TIP.step(Hh=h.hook_ft, block=h.block_ft, margin=h.two_block_ft),
        ),
    )


def _clearance_check(case: CraneCase, angle: float, tip: float, found: tuple[Clearance, ...]) -> Check:
    worst = min(found, key=lambda c: c.clear_ft)
    below = BELOW_TIP.step(H=tip, z=worst.height_ft)
    clear = CLEAR.step(g=below.value, th=angle, w=worst.corner.out_ft, b=case.boom.depth_ft)
    where = worst.corner.name or f"{readable(worst.corner.up_ft)} ft up the load"
    hits = " The boom is hit." if worst.clear_ft <= 0 else ""
    return BOOM_CLEARANCE.compare(
        demand=case.clear_ft,
        capacity=clear.value,
        note=f"{readable(worst.clear_ft)} ft at {where}, at least {readable(case.clear_ft)} ft.{hits}",
        case=where,
        steps=(below, clear),
    )
