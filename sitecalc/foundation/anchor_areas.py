"""Plan geometry of anchors in concrete: distances to the edges and exact areas of projected breakout bodies.

The concrete seen from above is a convex polygon, counterclockwise, in inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitecalc.foundation.outline import FLAT, Outline

Point = tuple[float, float]
Polygon = tuple[Point, ...]


@dataclass(frozen=True)
class Edge:
    """One side of the concrete. ``normal`` points out; ``reach`` is how far along it the edge lies."""

    name: str
    normal: Point
    reach: float

    def distance(self, spot: Point) -> float:
        return self.reach - spot[0] * self.normal[0] - spot[1] * self.normal[1]


def concrete_outline(
    outline: Outline, side_in: float, across_in: float, middle: Point = (0.0, 0.0)
) -> Polygon:
    """Corners of the concrete. A circle stands as the octagon in it, which is on the safe side."""
    x, y = middle
    if outline == "rectangle":
        a, b = side_in / 2, across_in / 2
        return ((x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b))
    flats = side_in if outline == "octagon" else side_in * math.cos(math.pi / 8)
    a, b = flats / 2, flats / 2 * FLAT
    corners = ((-b, -a), (b, -a), (a, -b), (a, b), (b, a), (-b, a), (-a, b), (-a, -b))
    return tuple((x + p, y + q) for p, q in corners)


def edges(polygon: Polygon) -> tuple[Edge, ...]:
    names = ("S", "E", "N", "W") if len(polygon) == 4 else ("S", "SE", "E", "NE", "N", "NW", "W", "SW")
    found = []
    for i, (x, y) in enumerate(polygon):
        to_x, to_y = polygon[(i + 1) % len(polygon)]
        length = math.hypot(to_x - x, to_y - y)
        normal = ((to_y - y) / length, (x - to_x) / length)
        found.append(Edge(names[i], normal, x * normal[0] + y * normal[1]))
    return tuple(found)


def union_of_squares_in2(polygon: Polygon, spots: Sequence[Point], half: float) -> float:
    """Area within the concrete of squares of twice ``half`` about the spots; what overlaps counts once.

    Between neighboring breaks (sides of squares, corners of the concrete, where the two cross) every bound of
    a cut is straight, so its length at the middle times the width is exact.
    """
    breaks = {x for x, _y in polygon}
    for x, y in spots:
        breaks |= {x - half, x + half}
        for level in (y - half, y + half):
            breaks.update(_crossings(polygon, level))
    low, high = min(x for x, _ in polygon), max(x for x, _ in polygon)
    cuts = sorted(b for b in breaks if low - 1e-9 <= b <= high + 1e-9)
    area = 0.0
    for left, right in pairwise(cuts):
        middle = (left + right) / 2
        bounds = _span(polygon, middle)
        if right - left > 1e-12 and bounds is not None:
            spans = [(y - half, y + half) for x, y in spots if abs(x - middle) < half]
            area += (right - left) * covered(spans, *bounds)
    return area


def covered(spans: Iterable[tuple[float, float]], low: float, high: float) -> float:
    """Length of the union of spans within the bounds."""
    total, end = 0.0, low
    for a, b in sorted(spans):
        a, b = max(a, end), min(b, high)
        if b > a:
            total += b - a
            end = b
    return total


def _crossings(polygon: Polygon, level: float) -> list[float]:
    found = []
    for (x, y), (to_x, to_y) in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        if (y - level) * (to_y - level) < 0:
            found.append(x + (to_x - x) * (level - y) / (to_y - y))
    return found


def _span(polygon: Polygon, x: float) -> tuple[float, float] | None:
    """Lowest and highest point of the concrete on the north-south line at ``x``."""
    ys = []
    for (x1, y1), (x2, y2) in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        if (x1 - x) * (x2 - x) < 0:
            ys.append(y1 + (y2 - y1) * (x - x1) / (x2 - x1))
    return (min(ys), max(ys)) if ys else None


def along_edge(polygon: Polygon, edge: Edge, spot: Point) -> tuple[float, float]:
    """How far the concrete goes from the spot along the edge, to the left and to the right of it."""
    nx, ny = edge.normal
    tx, ty = -ny, nx
    reaches = []
    for (x1, y1), (x2, y2) in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        d1 = (x1 - spot[0]) * nx + (y1 - spot[1]) * ny
        d2 = (x2 - spot[0]) * nx + (y2 - spot[1]) * ny
        if d1 * d2 <= 0 and abs(d1 - d2) > 1e-12:
            share = d1 / (d1 - d2)
            x, y = x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
            reaches.append((x - spot[0]) * tx + (y - spot[1]) * ty)
    if not reaches:
        return 0.0, 0.0
    return max(0.0, -min(reaches)), max(0.0, max(reaches))
