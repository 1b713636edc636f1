"""The pad seen from above as a convex polygon, and exact sums over the part of a polygon where a plane is
positive. Many planes, many polygons at once: the last axis runs along the corners."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sitecalc.foundation.outline import FLAT, Outline, area_ft2

Floats = NDArray[np.float64]
# a circle is a polygon of the same area with so many sides; both numbers divide by 16 winds and 12 legs
FINE, COARSE = 480, 48


def ring(outline: Outline, side_ft: float, across_ft: float, sides: int = FINE) -> Floats:
    """Corners (n, 2) in ft from the middle, counter-clockwise."""
    if outline == "rectangle":
        return np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * (side_ft / 2, across_ft / 2)
    if outline == "octagon":
        near = FLAT
        eighth = [
            (1, -near),
            (1, near),
            (near, 1),
            (-near, 1),
            (-1, near),
            (-1, -near),
            (-near, -1),
            (near, -1),
        ]
        return np.array(eighth) * (side_ft / 2)
    turns = np.arange(sides) * (math.tau / sides)
    out = math.sqrt(2 * area_ft2("circle", side_ft, side_ft) / (sides * math.sin(math.tau / sides)))
    return out * np.stack((np.cos(turns), np.sin(turns)), axis=1)


def edges(corners: Floats) -> tuple[Floats, Floats]:
    """Outward unit normals (n, 2) and distances from the middle (n) of a polygon's sides."""
    along = np.roll(corners, -1, axis=0) - corners
    normals = np.stack((along[:, 1], -along[:, 0]), axis=1) / np.hypot(along[:, 0], along[:, 1])[:, None]
    return normals, np.sum(normals * corners, axis=1)


def cut(corners: Floats, toward: tuple[float, float], off: float) -> Floats:
    """The part of a polygon that lies beyond a line square to ``toward``, ``off`` from the middle."""
    kept: list[tuple[float, float]] = []
    beyond = corners @ np.array(toward) - off
    for i, (x, y) in enumerate(corners):
        j = (i + 1) % len(corners)
        if beyond[i] >= 0:
            kept.append((x, y))
        if (beyond[i] > 0) != (beyond[j] > 0) and beyond[i] != 0 and beyond[j] != 0:
            t = beyond[i] / (beyond[i] - beyond[j])
            kept.append((x + t * (corners[j][0] - x), y + t * (corners[j][1] - y)))
    return np.array(kept) if len(kept) > 2 else np.zeros((3, 2))


def cuts(corners: Floats, toward: Floats, off: Floats) -> Floats:
    """The parts beyond many lines (k) at once, (k, n + 2, 2): as ``cut``, the last corner repeated."""
    beyond = toward @ corners.T - off[:, None]
    inside = beyond > 0
    count, total = inside.sum(axis=1), len(corners)
    first = np.argmax(inside & ~np.roll(inside, 1, axis=1), axis=1)
    rows, at = np.arange(len(off)), np.arange(total)
    order = (first[:, None] + np.minimum(at, np.maximum(count, 1)[:, None] - 1)) % total
    entry = _crossing(corners, beyond, rows, first - 1, first)
    last = first + count - 1
    leave = _crossing(corners, beyond, rows, last, (last + 1) % total)
    cut_off = np.concatenate((entry[:, None], corners[order], leave[:, None]), axis=1)
    cut_off[count == 0] = 0.0
    cut_off[count == total] = np.concatenate((corners[:1], corners, corners[:1]))
    return cut_off


def _crossing(
    corners: Floats, beyond: Floats, rows: NDArray[np.intp], start: NDArray[np.intp], end: NDArray[np.intp]
) -> Floats:
    start = start % len(corners)
    rise = beyond[rows, start] - beyond[rows, end]
    t = np.where(rise != 0, beyond[rows, start] / np.where(rise != 0, rise, 1.0), 0.0)
    found: Floats = corners[start] + t[:, None] * (corners[end] - corners[start])
    return found


def padded(polygons: list[Floats]) -> Floats:
    """Polygons of unlike length as one array (k, n, 2): the last corner repeated adds nothing to any sum."""
    longest = max(len(p) for p in polygons)
    return np.stack([np.concatenate((p, np.repeat(p[-1:], longest - len(p), axis=0))) for p in polygons])


@dataclass(frozen=True)
class Sums:
    """Area, first and second moments of many polygons."""

    a: Floats
    x: Floats
    y: Floats
    xx: Floats
    xy: Floats
    yy: Floats

    def matrix(self) -> Floats:
        """[[A, Sx, Sy], [Sx, Sxx, Sxy], [Sy, Sxy, Syy]]."""
        rows = (self.a, self.x, self.y, self.x, self.xx, self.xy, self.y, self.xy, self.yy)
        return np.stack(rows, axis=-1).reshape(*self.a.shape, 3, 3)


def positive_part(x: Floats, y: Floats, q: Floats) -> Sums:
    """Sums over the part of each polygon where q is not negative; q is linear over the polygon."""
    x2, y2, q2 = _next(x), _next(y), _next(q)
    here, there = q >= 0, q2 >= 0
    crossing = here != there
    t = np.where(crossing, q / np.where(crossing, q - q2, 1.0), 0.0)
    at_x, at_y = x + t * (x2 - x), y + t * (y2 - y)
    leaving, coming = crossing & here, crossing & there
    from_x, from_y = np.where(coming, at_x, x), np.where(coming, at_y, y)
    # what is outside shrinks to a point; the new side runs from where the ring leaves to where it comes in
    to_x = np.where(there, x2, np.where(here, at_x, x))
    to_y = np.where(there, y2, np.where(here, at_y, y))
    new = [_one(leaving, at_x), _one(leaving, at_y), _one(coming, at_x), _one(coming, at_y)]
    return sums(
        np.concatenate((from_x, new[0]), axis=-1),
        np.concatenate((from_y, new[1]), axis=-1),
        np.concatenate((to_x, new[2]), axis=-1),
        np.concatenate((to_y, new[3]), axis=-1),
    )


def pressed_parts(x: Floats, y: Floats, planes: Floats) -> tuple[Sums, Sums]:
    """(sums where each plane (m, 3) is positive over each polygon (k, n), sums of the whole polygons).

    Only polygons that a plane's zero line crosses are clipped; the others are pressed wholly or not at all.
    """
    a, b, c = (planes[:, i, None, None] for i in range(3))
    q = a + b * x + c * y
    whole = sums(x, y, _next(x), _next(y))
    full = q.min(axis=-1) >= 0
    rows, at = np.nonzero(~full & (q.max(axis=-1) > 0))
    clipped = positive_part(x[at], y[at], q[rows, at])
    found = []
    for name in ("a", "x", "y", "xx", "xy", "yy"):
        part = np.where(full, getattr(whole, name), 0.0)
        part[rows, at] = getattr(clipped, name)
        found.append(part)
    return Sums(*found), whole


def sums(x1: Floats, y1: Floats, x2: Floats, y2: Floats) -> Sums:
    """By the sides of the polygons, (x1, y1) to (x2, y2) along the last axis (Green's theorem)."""
    cross = x1 * y2 - x2 * y1
    x, y = x1 + x2, y1 + y2

    def total(part: Floats) -> Floats:
        return np.asarray(np.einsum("...i,...i->...", cross, part))

    return Sums(
        cross.sum(-1) / 2,
        total(x) / 6,
        total(y) / 6,
        total(x * x - x1 * x2) / 12,
        total(x * y + x1 * y1 + x2 * y2) / 24,
        total(y * y - y1 * y2) / 12,
    )


def _next(values: Floats) -> Floats:
    return np.concatenate((values[..., 1:], values[..., :1]), axis=-1)


def _one(where: NDArray[np.bool_], values: Floats) -> Floats:
    """The one value of each polygon that is marked, else 0: a convex ring is crossed once each way."""
    found: Floats = (where * values).sum(-1, keepdims=True)
    return found
