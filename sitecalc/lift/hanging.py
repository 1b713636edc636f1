"""Hook, block and sling legs beside what hangs on them: none of it stands inside the load's outline.

Along the load x runs from its foot; y is off its axis in the plane of the raise, z square to that plane. The
load is taken as a body of revolution about its axis, as wide all round as its corners stand out: whichever
way it is turned about the hook. The two picks stand to both sides of the axis, square to the tower raise.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import Corner, LiftFigures

GEOMETRY = "Solid geometry of the rigging about the load's outline"
HOOK_KEPT_FT = 1.0
HOOK_CLEAR = Rule(
    "hook-clear", "Hook and block to the load", "ft", f"{GEOMETRY}; {HOOK_KEPT_FT:g} ft kept", Known.PRACTICE
)
LEGS_CLEAR = Rule("legs-clear", "Sling legs to the load", "ft", GEOMETRY, Known.READ)

HOOK_UP = Formula("xh", "hook along the load, from its foot", "pick+rigging*sin(th)", "ft")
HOOK_OFF = Formula("yh", "hook off the load's axis", "up+rigging*cos(th)", "ft")
OVER = Formula("o", "hook over the top of the load", "xh-top", "ft")
OFF_AXIS = Formula("ra", "leg off the load's axis", "sqrt(y**2+z**2)", "ft")
BESIDE = Formula("cl", "leg outside the outline", "ra-out", "ft")
BLADE = Formula("cl", "leg inside what stands beside it", "out-z", "ft")

Line = Sequence[tuple[float, float]]


def outline(corners: Sequence[Corner]) -> list[tuple[float, float]]:
    """(up, out) in ft from the foot to the top; of several at one height the widest."""
    widest: dict[float, float] = {}
    for corner in corners:
        widest[corner.up_ft] = max(corner.out_ft, widest.get(corner.up_ft, 0.0))
    return sorted(widest.items())


def out_at(line: Line, up: float) -> float:
    """Half width in ft at a height in ft, by geometry: straight between corners."""
    for (u1, o1), (u2, o2) in pairwise(line):
        if u1 <= up <= u2:
            return o1 + (o2 - o1) * (up - u1) / (u2 - u1) if u2 > u1 else o1
    return line[0][1] if up < line[0][0] else line[-1][1]


@dataclass(frozen=True, kw_only=True)
class HangingCase:
    """``corners`` are the load's own. What stands above ``top_ft`` (a blade) stands beside the hook line."""

    corners: tuple[Corner, ...]
    pick_ft: float = same_as(LiftFigures, "pick_ft", required=True)
    rigging_ft: float = same_as(LiftFigures, "rigging_ft", required=True)
    near_ft: float = same_as(LiftFigures, "near_ft", required=True)
    far_ft: float = same_as(LiftFigures, "far_ft", required=True)
    pick_up_ft: float = same_as(LiftFigures, "pick_up_ft")
    block_ft: float = quantity(
        "ft", "hook's saddle up to the top of the block", low=0, high=30, shown_at="crane"
    )
    # None: the highest corner
    top_ft: float | None = quantity("ft", "top of it", low=0, high=500, default=None, shown_at="length_ft")
    raised_to_deg: float = quantity("deg", "upright, or where its foot is free", low=0, high=90, default=90.0)
    is_raised: bool = quantity("", "raised from flat, not lifted as it hangs", default=False)


@dataclass(frozen=True, kw_only=True)
class Closest:
    """Least room in ft, the angle in degrees from the horizontal, and how far up the load in ft."""

    clear_ft: float
    angle_deg: float
    up_ft: float
    part: str
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True)
class HangingResult:
    hook: Closest
    legs: Closest | None
    checks: tuple[Check, ...]


def beside_the_load(case: HangingCase) -> HangingResult:
    """Least room in ft of hook, block and both legs to the load's outline, at each degree of the tower raise.

    Less than nothing is inside it. The hook's rope is plumb over the picks; a load that is not raised from
    flat hangs upright. Solid geometry; 1 ft over the top of the load is common practice.
    """
    require_valid(case)
    if not case.corners:
        raise InputError("corners", "are missing: at least the top of the load.")
    body, beside = _body(case)
    angles = _angles(case)
    hook = min((_hook(case, body, beside, th) for th in angles), key=lambda c: c.clear_ft)
    legs = [c for th in angles for name in _leg_names(case) for c in _leg(case, name, body, beside, th)]
    least = min(legs, key=lambda each: each[0], default=None)
    closest = None if least is None else _at_leg(least[1])
    return HangingResult(hook, closest, (_hook_check(case, body, hook), _legs_check(case, body, closest)))


def _body(case: HangingCase) -> tuple[list[tuple[float, float]], tuple[Corner, ...]]:
    """The outline up to the top, and the corners that stand above it."""
    top = max(c.up_ft for c in case.corners) if case.top_ft is None else case.top_ft
    below = outline([c for c in case.corners if c.up_ft <= top])
    line = below or [(0.0, min(c.out_ft for c in case.corners))]
    if line[0][0] > 0:
        line = [(0.0, line[0][1]), *line]
    if line[-1][0] < top:
        line = [*line, (top, line[-1][1])]
    return line, tuple(c for c in case.corners if c.up_ft > top)


def _angles(case: HangingCase) -> list[float]:
    if not case.is_raised:
        return [90.0]
    return sorted({*(float(a) for a in range(math.floor(case.raised_to_deg) + 1)), case.raised_to_deg})


def _leg_names(case: HangingCase) -> tuple[str, ...]:
    return ("near",) if case.near_ft == case.far_ft else ("near", "far")


def _hook(case: HangingCase, body: Line, beside: Sequence[Corner], th: float) -> Closest:
    """From the hook's saddle to the top of the block, both on the plumb rope."""
    along, across = math.sin(math.radians(th)), math.cos(math.radians(th))
    found = []
    for up in (0.0, case.block_ft / 2, case.block_ft):
        x = case.pick_ft + (case.rigging_ft + up) * along
        off = abs(case.pick_up_ft + (case.rigging_ft + up) * across)
        room = _room(body, x, off)
        # what stands above the top is a blade or mast beside the hook line
        room = min([room, *(math.hypot(c.out_ft, max(x - c.up_ft, 0.0)) for c in beside)])
        part = "hook" if up == 0 else "block"
        found.append(Closest(clear_ft=room, angle_deg=th, up_ft=x, part=part))
    return min(found, key=lambda c: c.clear_ft)


def _room(body: Line, x: float, off: float) -> float:
    """From a point to the body: along the axis over its top, else across; inside it the shorter way out."""
    top = body[-1][0]
    out = out_at(body, x)
    if x >= top:
        return math.hypot(x - top, max(off - out, 0.0))
    return off - out if off >= out else max(off - out, x - top)


class Place(NamedTuple):
    """A point of a leg: off the axis by y and z beside an outline of ``out_ft``; y None: inside a blade."""

    angle_deg: float
    up_ft: float
    leg: str
    y_ft: float | None
    z_ft: float
    out_ft: float


def _leg(
    case: HangingCase, name: str, body: Line, beside: Sequence[Corner], th: float
) -> Iterator[tuple[float, Place]]:
    """Room in ft where the leg comes closest, and where, in each stretch from its pick to the top."""
    z0 = case.near_ft if name == "near" else case.far_ft
    along = case.rigging_ft * math.sin(math.radians(th))
    across = case.rigging_ft * math.cos(math.radians(th))
    top = body[-1][0]
    marks = {0.0, 1.0}
    if along > 1e-9:
        marks |= {(up - case.pick_ft) / along for up, _ in body if case.pick_ft < up < case.pick_ft + along}
    for s1, s2 in pairwise(sorted(marks)):
        if case.pick_ft + s1 * along >= top and case.pick_ft + s2 * along > top:
            break
        for s in _closest(case.pick_up_ft, across, z0, s1, s2, body, case.pick_ft, along):
            x = case.pick_ft + s * along
            y, z, out = case.pick_up_ft + s * across, z0 * (1 - s), out_at(body, x)
            yield math.hypot(y, z) - out, Place(angle_deg=th, up_ft=x, leg=name, y_ft=y, z_ft=z, out_ft=out)
    for corner in beside:
        # between the load's top and that corner's height the leg is farthest out at the lower end
        low = max(case.pick_ft, top)
        if low < corner.up_ft and along > 1e-9:
            s = min(max((low - case.pick_ft) / along, 0.0), 1.0)
            z, out = z0 * (1 - s), corner.out_ft
            yield out - z, Place(angle_deg=th, up_ft=low, leg=name, y_ft=None, z_ft=z, out_ft=out)


def _at_leg(place: Place) -> Closest:
    """The place with its arithmetic: beside the outline, or inside of what stands beside the hook line."""
    if place.y_ft is None:
        steps: tuple[Step, ...] = (BLADE.step(out=place.out_ft, z=place.z_ft),)
    else:
        off = OFF_AXIS.step(y=place.y_ft, z=place.z_ft)
        steps = (off, BESIDE.step(ra=off.value, out=place.out_ft))
    return Closest(
        clear_ft=steps[-1].value, angle_deg=place.angle_deg, up_ft=place.up_ft, part=place.leg, steps=steps
    )


def _closest(
    y0: float, dy: float, z0: float, s1: float, s2: float, body: Line, pick: float, along: float
) -> list[float]:
    """Ends of the stretch, and where leg's distance less the straight outline has its least between them.

    sqrt(A s2 + B s + C) less m s + n is convex; its slope is nothing where
    (2 A s + B)2 = 4 m2 (A s2 + B s + C).
    """
    a, b, c = dy**2 + z0**2, 2 * (y0 * dy - z0**2), y0**2 + z0**2
    o1, o2 = out_at(body, pick + s1 * along), out_at(body, pick + s2 * along)
    m = (o2 - o1) / (s2 - s1)
    found = [s1, s2]
    p, q, r = 4 * a * (a - m * m), 4 * b * (a - m * m), b * b - 4 * m * m * c
    if abs(p) > 1e-12 and q * q >= 4 * p * r:
        root = math.sqrt(q * q - 4 * p * r)
        found += [s for s in ((-q - root) / (2 * p), (-q + root) / (2 * p)) if s1 < s < s2]
    return found


def _hook_check(case: HangingCase, body: Line, found: Closest) -> Check:
    top, th = body[-1][0], found.angle_deg
    up = HOOK_UP.step(pick=case.pick_ft, rigging=case.rigging_ft, th=th)
    off = HOOK_OFF.step(up=case.pick_up_ft, rigging=case.rigging_ft, th=th)
    inside = " It stands inside what hangs." if found.clear_ft < 0 else ""
    return HOOK_CLEAR.compare(
        demand=HOOK_KEPT_FT,
        capacity=found.clear_ft,
        note=f"Hook {readable(up.value)} ft up the load, its top {readable(top)} ft: {found.part} keeps "
        f"{readable(found.clear_ft)} ft{_at(case, found)}, at least {HOOK_KEPT_FT:g} ft.{inside}",
        case=f"at {found.angle_deg:.0f} degrees",
        steps=(up, off, OVER.step(xh=up.value, top=top)),
    )


def _legs_check(case: HangingCase, body: Line, found: Closest | None) -> Check:
    if found is None:
        return LEGS_CLEAR.compare(
            demand=0.0, capacity=max(case.pick_ft - body[-1][0], 0.0), note="Both legs are above the load."
        )
    hit = " The leg goes through what hangs: a pick at the top, or a spreader." if found.clear_ft < 0 else ""
    return LEGS_CLEAR.compare(
        demand=0.0,
        capacity=found.clear_ft,
        note=f"The {found.part} leg is {readable(found.clear_ft)} ft outside the load, "
        f"{readable(found.up_ft)} ft up{_at(case, found)}.{hit}",
        case=f"{found.part} leg at {found.angle_deg:.0f} degrees",
        steps=found.steps,
    )


def _at(case: HangingCase, found: Closest) -> str:
    return f" at {found.angle_deg:.0f} degrees" if case.is_raised else ""
