"""Plan geometry of anchors in concrete: distances to the edges and exact areas of projected breakout bodies.

The concrete seen from above is a convex polygon, counterclockwise, in inches.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sitecalc.foundation.outline import FLAT
from sitecalc.foundation.ring import Floats
from sitecalc.foundation.words import Outline

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
    """Corners in in of concrete with these sides in in about a middle, counterclockwise.

    A circle stands as the octagon in it, which is on the safe side. ``side_in`` is an octagon's width across
    flats, a circle's diameter.
    """
    x, y = middle
    if outline == "rectangle":
        a, b = side_in / 2, across_in / 2
        return ((x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b))
    flats = side_in if outline == "octagon" else side_in * math.cos(math.pi / 8)
    a, b = flats / 2, flats / 2 * FLAT
    corners = ((-b, -a), (b, -a), (a, -b), (a, b), (b, a), (-b, a), (-a, b), (-a, -b))
    return tuple((x + p, y + q) for p, q in corners)


def edges(polygon: Polygon) -> tuple[Edge, ...]:
    """Sides of the concrete with outward normals and their reach along them, in; named by the compass."""
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
    a cut is straight, so its length at the middle times the width is exact. in2, lengths in in. Plane
    geometry.
    """
    at = np.array(sorted(spots, key=lambda spot: spot[1]))
    x, y = at[:, 0], at[:, 1]
    near = np.array(polygon)
    far = np.roll(near, -1, axis=0)
    levels = np.concatenate((y - half, y + half))
    breaks = np.concatenate((near[:, 0], x - half, x + half, _along_sides(near, far, levels)))
    low, high = near[:, 0].min(), near[:, 0].max()
    cuts = np.unique(breaks[(breaks >= low - 1e-9) & (breaks <= high + 1e-9)])
    middles, widths = (cuts[1:] + cuts[:-1]) / 2, np.diff(cuts)
    bottom, top = _spans(near, far, middles)
    return float(widths @ _covered(np.abs(x - middles[:, None]) < half, y, half, bottom, top))


def _covered(there: NDArray[np.bool_], y: Floats, half: float, bottom: Floats, top: Floats) -> Floats:
    """Length that squares cover of each cut between its bounds; ``y`` rises, ``there`` is (cuts, squares)."""
    ends = np.where(there, y + half, -np.inf)
    before = np.concatenate((bottom[:, None], ends[:, :-1]), axis=1)
    begins = np.maximum(np.maximum.accumulate(before, axis=1), y - half)
    found: Floats = np.maximum(np.minimum(ends, top[:, None]) - begins, 0.0).sum(axis=1)
    return found


def _along_sides(near: Floats, far: Floats, levels: Floats) -> Floats:
    """Where the sides of the concrete cross those levels."""
    rise = far[:, 1] - near[:, 1]
    sloped = np.abs(rise) > 1e-12
    share = (levels[:, None] - near[sloped, 1]) / rise[sloped]
    crossed = near[sloped, 0] + share * (far[sloped, 0] - near[sloped, 0])
    found: Floats = crossed[(share > 0) & (share < 1)]
    return found


def _spans(near: Floats, far: Floats, x: Floats) -> tuple[Floats, Floats]:
    """Lowest and highest point of the concrete on the north-south lines at ``x``; nothing beside it."""
    run = far[:, 0] - near[:, 0]
    leaning = np.abs(run) > 1e-12
    share = (x[:, None] - near[leaning, 0]) / run[leaning]
    level = near[leaning, 1] + share * (far[leaning, 1] - near[leaning, 1])
    on = (share > 0) & (share < 1)
    bottom, top = np.where(on, level, np.inf).min(axis=1), np.where(on, level, -np.inf).max(axis=1)
    beside = ~on.any(axis=1)
    return np.where(beside, 0.0, bottom), np.where(beside, 0.0, top)


def along_edge(polygon: Polygon, edge: Edge, spot: Point) -> tuple[float, float]:
    """How far the concrete goes from the spot along the edge, to the left and to the right of it, in."""
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
