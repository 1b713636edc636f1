"""The pad seen from above as a convex polygon, and exact sums over the part of a polygon where a plane is
positive. Many planes, many polygons at once: the last axis runs along the corners."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sitecalc.foundation.outline import FLAT, area_ft2
from sitecalc.foundation.words import Outline

Floats = NDArray[np.float64]
# a circle is a polygon of the same area with so many sides; both numbers divide by 16 winds and 12 legs
FINE, COARSE = 480, 48
_ON_LINE = 1e-12  # of the greatest value on a polygon


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
    along = np.concatenate((corners[1:], corners[:1])) - corners
    normals = np.stack((along[:, 1], -along[:, 0]), axis=1) / np.hypot(along[:, 0], along[:, 1])[:, None]
    return normals, np.sum(normals * corners, axis=1)


def cut(corners: Floats, toward: tuple[float, float], off: float) -> Floats:
    """The part of a polygon that lies beyond a line square to ``toward``, ``off`` from the middle."""
    kept = kept_part(corners, corners @ np.array(toward) - off, 0.0)
    return kept if len(kept) > 2 else np.zeros((3, 2))


def kept_part(corners: Floats, q: Floats, least: float) -> Floats:
    """Corners of the part where q, linear over the polygon, is not below -``least`` (Sutherland-Hodgman)."""
    after, q2 = np.concatenate((corners[1:], corners[:1])), _next(q)
    kept = np.flatnonzero(q >= -least)
    crossed = np.flatnonzero(((q > least) & (q2 < -least)) | ((q < -least) & (q2 > least)))
    t = (q[crossed] / (q[crossed] - q2[crossed]))[:, None]
    found = np.concatenate((corners[kept], corners[crossed] + t * (after[crossed] - corners[crossed])))
    around: Floats = found[np.argsort(np.concatenate((kept, crossed + 0.5)))]
    return around


def cuts(corners: Floats, toward: Floats, off: Floats) -> Floats:
    """The parts beyond many lines (k) at once, (k, n + 2, 2): as ``cut``, the last corner repeated."""
    beyond = toward @ corners.T - off[:, None]
    inside = beyond > 0
    count, total = inside.sum(axis=1), len(corners)
    first = _first_inside(inside)
    rows, at = np.arange(len(off)), np.arange(total)
    order = (first[:, None] + np.minimum(at, np.maximum(count, 1)[:, None] - 1)) % total
    entry = _crossing(corners, beyond, rows, first - 1, first)
    last = first + count - 1
    leave = _crossing(corners, beyond, rows, last, (last + 1) % total)
    cut_off = np.concatenate((entry[:, None], corners[order], leave[:, None]), axis=1)
    cut_off[count == 0] = 0.0
    cut_off[count == total] = np.concatenate((corners[:1], corners, corners[:1]))
    return cut_off


def _first_inside(inside: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Where the run of corners inside begins, of each polygon."""
    before = np.concatenate((inside[:, -1:], inside[:, :-1]), axis=-1)
    found: NDArray[np.intp] = np.argmax(inside & ~before, axis=-1)
    return found


def _crossing(
    corners: Floats, beyond: Floats, rows: NDArray[np.intp], start: NDArray[np.intp], end: NDArray[np.intp]
) -> Floats:
    first = start % len(corners)
    rise = beyond[rows, first] - beyond[rows, end]
    t = np.where(rise != 0, beyond[rows, first] / np.where(rise != 0, rise, 1.0), 0.0)
    found: Floats = corners[first] + t[:, None] * (corners[end] - corners[first])
    return found


def padded(polygons: list[Floats]) -> Floats:
    """Polygons of unlike length as one array (k, n, 2): the last corner repeated adds nothing to any sum."""
    longest = max(len(p) for p in polygons)
    return np.stack([np.concatenate((p, np.repeat(p[-1:], longest - len(p), axis=0))) for p in polygons])


@dataclass(frozen=True, kw_only=True)
class Sums:
    """Area, first and second moments of many polygons."""

    a: Floats
    x: Floats
    y: Floats
    xx: Floats
    xy: Floats
    yy: Floats

    @classmethod
    def of(cls, rows: Floats) -> Sums:
        """From one array whose first axis runs a, x, y, xx, xy, yy."""
        a, x, y, xx, xy, yy = rows
        return cls(a=a, x=x, y=y, xx=xx, xy=xy, yy=yy)

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

    A plane's zero line leaves of a convex polygon a run of its sides, whose sums are known once for all
    planes, two parts of sides, and the line itself.
    """
    q = planes[:, :1, None] + planes[:, 1:2, None] * x + planes[:, 2:, None] * y
    sides = _of_sides(x, y, _next(x), _next(y))
    running = np.concatenate((np.zeros((*sides.shape[:2], 1)), np.cumsum(sides, axis=-1)), axis=-1)
    whole = running[..., -1]
    # what lies on the line counts as outside, so that what is inside is one run of corners
    most, least = q.max(axis=-1), q.min(axis=-1)
    hair = _ON_LINE * np.maximum(most, -least)
    full = least >= -hair
    found = np.where(full, whole[:, None, :], 0.0)
    rows, at = np.nonzero(~full & (most > hair))
    if len(rows):
        inside = q[rows, at] > hair[rows, at, None]
        found[:, rows, at] = _clipped(x, y, q, inside, running, rows, at)
    return Sums.of(found), Sums.of(whole)


def _clipped(
    x: Floats,
    y: Floats,
    q: Floats,
    inside: NDArray[np.bool_],
    running: Floats,
    rows: NDArray[np.intp],
    at: NDArray[np.intp],
) -> Floats:
    """(6, clipped). ``running`` (6, k, n + 1): sums of the sides up to each corner."""
    total = x.shape[-1]
    first = _first_inside(inside)
    last = (first + inside.sum(axis=-1) - 1) % total
    run = running[:, at, last] - running[:, at, first] + np.where(last < first, running[:, at, -1], 0.0)

    def crossing(out: NDArray[np.intp], within: NDArray[np.intp]) -> tuple[Floats, Floats]:
        beyond = q[rows, at, out]
        t = beyond / (beyond - q[rows, at, within])
        return (
            x[at, out] + t * (x[at, within] - x[at, out]),
            y[at, out] + t * (y[at, within] - y[at, out]),
        )

    come_x, come_y = crossing((first - 1) % total, first)
    leave_x, leave_y = crossing((last + 1) % total, last)
    new = _of_sides(
        np.stack((come_x, x[at, last], leave_x)),
        np.stack((come_y, y[at, last], leave_y)),
        np.stack((x[at, first], leave_x, come_x)),
        np.stack((y[at, first], leave_y, come_y)),
    )
    found: Floats = run + new.sum(axis=1)
    return found


def sums(x1: Floats, y1: Floats, x2: Floats, y2: Floats) -> Sums:
    """By the sides of the polygons, (x1, y1) to (x2, y2) along the last axis."""
    return Sums.of(_of_sides(x1, y1, x2, y2).sum(axis=-1))


def _of_sides(x1: Floats, y1: Floats, x2: Floats, y2: Floats) -> Floats:
    """What each side (x1, y1) to (x2, y2) adds to the six sums (Green's theorem)."""
    cross = x1 * y2 - x2 * y1
    x, y = x1 + x2, y1 + y2
    return np.stack(
        (
            cross / 2,
            cross * x / 6,
            cross * y / 6,
            cross * (x * x - x1 * x2) / 12,
            cross * (x * y + x1 * y1 + x2 * y2) / 24,
            cross * (y * y - y1 * y2) / 12,
        )
    )


def _next(values: Floats) -> Floats:
    return np.concatenate((values[..., 1:], values[..., :1]), axis=-1)


def _one(where: NDArray[np.bool_], values: Floats) -> Floats:
    """The one value of each polygon that is marked, else 0: a convex ring is crossed once each way."""
    found: Floats = (where * values).sum(-1, keepdims=True)
    return found
