"""Where boom, hook and load stand: radius, boom tip, hook height, clearance of the boom to the load.

Lengths in feet, heights above the grade the crane stands on, angles in degrees from the horizontal. The load
hangs plumb under the boom tip; its profile is its corners toward the boom, measured from its own foot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, readable
from sitecalc.inputs import InputError, quantity, require_valid

TRIGONOMETRY = "Plane trigonometry on the crane's own dimensions"
PRACTICE_CLEAR = "Boom to load, 2 to 3 ft kept clear"


@dataclass(frozen=True, kw_only=True)
class Boom:
    """The crane's own dimensions. ``pin_behind_ft`` is negative where the boom pin is ahead of the center."""

    pin_height_ft: float = quantity("ft", "boom pin above grade", low=0, high=30)
    pin_behind_ft: float = quantity("ft", "boom pin behind the center of rotation", low=-20, high=30)
    depth_ft: float = quantity("ft", "depth of the boom, top to underside", low=0.2, high=12)


@dataclass(frozen=True, kw_only=True)
class Corner:
    """A corner of the load toward the boom: its height above the load's foot, and how far it stands out."""

    up_ft: float = quantity(
        "ft", "corner above the foot of the load; below it: less than nothing", low=-400, high=400
    )
    out_ft: float = quantity("ft", "corner from the hook line toward the boom", low=0, high=100)
    name: str = quantity("", "what stands there", default="")


@dataclass(frozen=True, kw_only=True)
class Heights:
    """What adds up from grade at the crane to the boom tip."""

    foot_ft: float = quantity("ft", "what the load is set on, above grade at the crane", low=-50, high=300)
    over_ft: float = quantity("ft", "foot of the load carried over bolts or tower top", low=0, high=50)
    pick_ft: float = quantity("ft", "pick point above the foot of the load", low=0, high=400)
    rigging_ft: float = quantity("ft", "pick point up to the hook's saddle", low=0, high=100)
    block_ft: float = quantity("ft", "hook's saddle up to the top of the block", low=0, high=30)
    two_block_ft: float = quantity("ft", "kept between block and boom tip", low=0, high=30)

    @property
    def load_foot_ft(self) -> float:
        return self.foot_ft + self.over_ft

    @property
    def hook_ft(self) -> float:
        return self.load_foot_ft + self.pick_ft + self.rigging_ft

    @property
    def tip_ft(self) -> float:
        return self.hook_ft + self.block_ft + self.two_block_ft


@dataclass(frozen=True, kw_only=True)
class CraneCase:
    """A set-up to be checked. ``radius_ft`` is from the center of rotation to the hook with the load on."""

    boom: Boom
    heights: Heights
    corners: tuple[Corner, ...]
    radius_ft: float = quantity("ft", "center of rotation to the hook, load on", low=3, high=400)
    boom_ft: float = quantity("ft", "boom length, pin to tip", low=10, high=500)
    clear_ft: float = quantity("ft", "kept between boom and load", low=0.5, high=30, default=3.0)


@dataclass(frozen=True)
class Clearance:
    corner: Corner
    height_ft: float
    clear_ft: float


@dataclass(frozen=True)
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
    """Loaded boom angle. InputError where the boom is too short for the radius."""
    reach = radius_ft + boom.pin_behind_ft
    if reach >= boom_ft:
        raise InputError(
            "boom_ft", f"is {boom_ft:g} ft; a radius of {radius_ft:g} ft lies {reach:g} ft from the boom pin."
        )
    if reach <= 0:
        raise InputError("radius_ft", f"of {radius_ft:g} ft puts the hook behind the boom pin.")
    return math.degrees(math.acos(reach / boom_ft))


def tip_height_ft(boom: Boom, radius_ft: float, boom_ft: float) -> float:
    angle = math.radians(boom_angle_deg(boom, radius_ft, boom_ft))
    return boom.pin_height_ft + boom_ft * math.sin(angle)


def boom_clearance_ft(boom: Boom, radius_ft: float, boom_ft: float, height_ft: float, out_ft: float) -> float:
    """From the boom's underside, square to the boom, to a corner; less than nothing is in the boom.

    D = g cos th - w sin th - b/2 with g from the corner up to the tip: the distance to the boom's endless
    line, so never more than the one to the boom itself.
    """
    angle = math.radians(boom_angle_deg(boom, radius_ft, boom_ft))
    below_tip = boom.pin_height_ft + boom_ft * math.sin(angle) - height_ft
    return below_tip * math.cos(angle) - out_ft * math.sin(angle) - boom.depth_ft / 2


def least_boom_ft(case: CraneCase, radius_ft: float) -> float | None:
    """Shortest boom that gives height and clearance at this radius; None where no boom does.

    Every corner asks A sin th - B cos th >= c + b/2 with A = R + e - w and B = z - hp: one sine with a shift.
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
    """Angle, boom tip, hook and the clearance at every corner of the load, with their checks."""
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
    h = case.heights
    reach = case.radius_ft + case.boom.pin_behind_ft
    steps = (
        Step(
            "th",
            "boom angle",
            "th = acos((R + e) / L)",
            f"acos({reach:g} / {case.boom_ft:g})",
            angle,
            "deg",
        ),
        Step(
            "H",
            "boom tip above grade",
            "H = hp + L sin th",
            f"{case.boom.pin_height_ft:g} + {case.boom_ft:g} sin {angle:.1f}",
            tip,
            "ft",
        ),
        Step(
            "Hh",
            "hook above grade",
            "Hh = foot + over + pick + rigging",
            f"{h.foot_ft:g} + {h.over_ft:g} + {h.pick_ft:g} + {h.rigging_ft:g}",
            h.hook_ft,
            "ft",
        ),
        Step(
            "Hn",
            "boom tip that is needed",
            "Hn = Hh + block + margin",
            f"{h.hook_ft:g} + {h.block_ft:g} + {h.two_block_ft:g}",
            h.tip_ft,
            "ft",
        ),
    )
    return compare(
        "boom-tip",
        "Height",
        demand=h.tip_ft,
        capacity=tip,
        unit="ft",
        note=f"Boom tip {readable(tip)} ft up, {readable(h.tip_ft)} ft needed; hook {readable(h.hook_ft)}.",
        source=TRIGONOMETRY,
        known=Known.READ,
        steps=steps,
    )


def _clearance_check(case: CraneCase, angle: float, tip: float, found: tuple[Clearance, ...]) -> Check:
    worst = min(found, key=lambda c: c.clear_ft)
    below, half = tip - worst.height_ft, case.boom.depth_ft / 2
    step = Step(
        "D",
        "boom's underside to the corner",
        "D = g cos th - w sin th - b/2",
        f"{below:.2f} cos {angle:.1f} - {worst.corner.out_ft:g} sin {angle:.1f} - {half:g}",
        worst.clear_ft,
        "ft",
    )
    where = worst.corner.name or f"{readable(worst.corner.up_ft)} ft up the load"
    hits = " The boom is hit." if worst.clear_ft <= 0 else ""
    return compare(
        "boom-clearance",
        "Boom to load",
        demand=case.clear_ft,
        capacity=worst.clear_ft,
        unit="ft",
        note=f"{readable(worst.clear_ft)} ft at {where}, at least {readable(case.clear_ft)} ft.{hits}",
        case=where,
        source=f"{TRIGONOMETRY}; {PRACTICE_CLEAR}",
        known=Known.PRACTICE,
        steps=(step,),
    )
