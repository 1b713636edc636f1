"""What stands on a site, in plan: buildings, trees, roads, lines, the trench, the tower."""

from __future__ import annotations

import math
from itertools import pairwise

from installs.drafting import Drawing
from installs.site.facts import Standing, in_plan

Box = tuple[float, float, float, float]


def draw_thing(d: Drawing, thing: Standing, box: Box) -> None:
    """At its bearing; nothing for one without a bearing."""
    if thing.at is None or thing.bearing_deg is None:
        return
    if thing.kind == "road":
        _run(d, thing, box, thing.width_ft or 24.0)
    elif thing.kind == "overhead line":
        _run(d, thing, box, 0.0)
    elif thing.kind == "trees":
        _trees(d, thing)
    else:
        _building(d, thing)


def building_box(thing: Standing) -> Box:
    """West, south, east and north of the block that a building is drawn as, in feet from the tower."""
    x, y = thing.at or (0.0, 0.0)
    width = thing.width_ft or 30.0
    deep = 0.6 * width
    left = x - width if x < -width / 4 else x if x > width / 4 else x - width / 2
    low = y - deep if y < -deep / 4 else y if y > deep / 4 else y - deep / 2
    return left, low, left + width, low + deep


def _building(d: Drawing, thing: Standing) -> None:
    """A block behind its nearest point, square to the sheet; dwellings with a ridge."""
    left, low, right, high = building_box(thing)
    width, deep = right - left, high - low
    d.rectangle(
        left, low, width, deep, weight="heavy" if thing.kind == "dwelling" else "bar", layer="building"
    )
    if thing.kind == "dwelling":
        middle = low + deep / 2
        d.line((left, middle), (left + width, middle), weight="thin", layer="building")


def _trees(d: Drawing, thing: Standing) -> None:
    """Scallops along a row across the line of sight; a single crown where no width is given."""
    bearing = math.radians(thing.bearing_deg or 0.0)
    width = thing.width_ft or 24.0
    crown = min(12.0, width / 2)
    number = max(1, min(40, round(width / (1.6 * crown))))
    x, y = in_plan(thing.bearing_deg or 0.0, thing.distance_ft + crown)
    for n in range(number):
        along = (n - (number - 1) / 2) * 1.6 * crown
        at = (x + along * math.cos(bearing), y - along * math.sin(bearing))
        d.circle(at, crown, weight="hatch", layer="trees")


def _run(d: Drawing, thing: Standing, box: Box, width: float) -> None:
    """A road or line straight across the sheet, square to the line of sight at its nearest point."""
    bearing = math.radians(thing.bearing_deg or 0.0)
    for off in (0.0, width) if width else (0.0,):
        x, y = in_plan(thing.bearing_deg or 0.0, thing.distance_ft + off)
        ends = _clipped((x, y), (math.cos(bearing), -math.sin(bearing)), box)
        if ends is None:
            continue
        a, b = ends
        if thing.kind == "road":
            d.line(a, b, weight="medium", layer="road")
        else:
            d.line(a, b, weight="medium", layer="overhead line")
            _poles(d, a, b)


def _poles(d: Drawing, a: tuple[float, float], b: tuple[float, float]) -> None:
    length = math.dist(a, b)
    number = max(2, round(length / 250.0) + 1)
    for n in range(number):
        share = (n + 0.5) / number
        at = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
        d.circle(at, radius_px=4, weight="medium", fill="blank", layer="overhead line")


def _clipped(
    through: tuple[float, float], way: tuple[float, float], box: Box
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The piece of a straight line inside the box."""
    west, south, east, north = box
    low, high = -math.inf, math.inf
    for place, step, least, most in ((through[0], way[0], west, east), (through[1], way[1], south, north)):
        if abs(step) < 1e-12:
            if not least <= place <= most:
                return None
            continue
        first, last = sorted(((least - place) / step, (most - place) / step))
        low, high = max(low, first), min(high, last)
    if low >= high:
        return None
    return (
        (through[0] + low * way[0], through[1] + low * way[1]),
        (through[0] + high * way[0], through[1] + high * way[1]),
    )


def trench(d: Drawing, points: list[tuple[float, float]]) -> None:
    """A conductor's line with slanted ticks, as wiring is drawn everywhere here."""
    d.polyline(points, weight="medium", layer="trench")
    for a, b in pairwise(points):
        length = math.dist(a, b)
        if length == 0:
            continue
        number = max(1, int(length * d.px_per_ft / 22))
        for n in range(number):
            share = (n + 0.5) / number
            x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            d.line((x, y, -3, -5), (x, y, 3, 5), weight="hatch", layer="trench")


def tower_mark(d: Drawing) -> None:
    """The tower's base: a filled triangle in a circle, of one size at every scale."""
    d.circle((0, 0), radius_px=8, weight="medium", fill="blank", layer="tower")
    d.polygon([(0, 0, 0, 6), (0, 0, 5.2, -3), (0, 0, -5.2, -3)], fill="ink", layer="tower")
