"""The raise of a tower as a graduated quadrant: the thickness of the arc is the load on the hook."""

from __future__ import annotations

import math

from installs.drafting import Drawing
from installs.equipment.crane_drawing import draw_hook
from installs.lift.checking import LiftReview
from installs.lift.load import draw_center_of_gravity, draw_tower
from sitecalc.lift.hanging import outline
from sitecalc.lift.raising import RaiseCase, raise_at

SHOWN_DEG = 35.0  # the tower is drawn on its way


def quadrant(review: LiftReview, case: RaiseCase, radius_px: float = 210.0, size: float = 14.0) -> Drawing:
    """Drawn in px. Outside the arc has one radius; inward it is as thick as the hook's share."""
    f = review.figures
    d = Drawing("Tower raise: thickness of arc is load on the hook", 1.0, _told(case))
    thick = radius_px * 0.155
    draw_arc(d, case, radius_px, thick)
    _ticks(d, radius_px, size)
    d.line((-10, 0), (radius_px + 26, 0), weight="medium", layer="grade")
    d.rectangle(-8, -7, 26, 6, weight="thin", fill="ink", layer="skid")
    length = radius_px * 0.66
    grow = length / case.length_ft
    line = [(up * grow, max(out * grow, 2.0)) for up, out in outline(f.own_corners)]
    flat = [(0.0, 1.0), (length, 7.0)]
    for a in flat:
        d.line((0, a[1], 8, 0), (length, 4 if a[1] < 4 else 6), weight="thin", dash="hidden", layer="tower")
    draw_tower(d, line, turn=90 - SHOWN_DEG, at=(0, 2), tube=f.on_tube)
    way = math.radians(SHOWN_DEG)
    place = (case.center_ft * grow * math.cos(way), 2 + case.center_ft * grow * math.sin(way))
    draw_center_of_gravity(d, place)
    pick = (case.pick_ft * grow * math.cos(way), 2 + case.pick_ft * grow * math.sin(way))
    draw_hook(d, pick[0], pick[1] + 0.32 * radius_px, pick[1] + 8, 16)
    d.line((pick[0], pick[1] + 8), pick, weight="medium", layer="slings")
    first, last = raise_at(case, 0.0).hook_lb, case.weight_lb
    d.text((radius_px - thick - 8, 10), f"{first:,.0f} lb", size, "end", blank=True)
    d.text((8, radius_px - thick - 16), f"{last:,.0f} lb", size, blank=True)
    d.text((-10, -26), _foot(review, case), size, routed=True)
    return d


def _told(case: RaiseCase) -> str:
    flat = raise_at(case, 0.0).hook_lb
    return f"{flat:,.0f} lb on the hook while flat, {case.weight_lb:,.0f} lb when the base is off the ground."


def _foot(review: LiftReview, case: RaiseCase) -> str:
    if review.figures.known.foot == "hinged":
        return "base hinged, hook travels in"
    return f"base on its skid, tailed in {case.pick_ft:.0f} ft"


def draw_arc(d: Drawing, case: RaiseCase, radius: float, thick: float) -> None:
    angles = [i * 0.5 for i in range(181)]
    outer = [_polar(radius, a) for a in angles]
    inner = [_polar(radius - thick * raise_at(case, a).hook_lb / case.weight_lb, a) for a in angles]
    d.polygon([*outer, *reversed(inner)], weight="thin", fill="ink", layer="arc")


def _ticks(d: Drawing, radius: float, size: float) -> None:
    for angle in range(91):
        reach = 14 if angle % 15 == 0 else 9 if angle % 5 == 0 else 5
        weight = "medium" if angle % 15 == 0 else "thin"
        d.line(_polar(radius + 5, angle), _polar(radius + 5 + reach, angle), weight=weight, layer="arc")
        if angle % 15 == 0:
            x, y = _polar(radius + 33, angle)
            d.text((x, y - size * 0.35), f"{angle}°", size + 1, "middle", layer="arc")


def _polar(radius: float, degrees: float) -> tuple[float, float]:
    turn = math.radians(degrees)
    return radius * math.cos(turn), radius * math.sin(turn)
