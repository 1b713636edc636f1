"""Pressure under a rigid rectangular pad on soil that cannot pull: exact for any eccentricity.

The pressure is a plane cut off at zero, q = max(0, a + b x + c y). The part of the pad where it is positive
is a polygon; its area and moments are exact sums over its corners, so that the three equations of
equilibrium can be solved by Newton's method to rounding.

It is solved from the pressed corner, lengths counted in the load's own distances from the two edges there:
the load stands at (1, 1), the pad reaches to (X, Y), and a pad that barely bears is as well behaved as any.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sitecalc.inputs import InputError

METHOD = "equilibrium of a rigid pad on no-tension soil, contact polygon found exactly"
_MOST_STEPS = 60
_CLOSE = 1e-12
_TARGET = np.ones(3)  # the load is 1 and stands at (1, 1)

Point = tuple[float, float]
Plane = tuple[float, float, float]
Vector = NDArray[np.float64]


@dataclass(frozen=True)
class Contact:
    """Where and how hard a pad bears.

    ``plane`` is (a, b, c) of q = a + b x + c y in psf with x, y in ft from the pad's center; ``corners`` the
    contact polygon in ft, counter-clockwise.
    """

    q_max_psf: float
    fraction: float
    plane: Plane
    corners: tuple[Point, ...]


def contact(
    width_ft: float, length_ft: float, load_kip: float, at_x_ft: float, at_y_ft: float
) -> Contact | None:
    """Contact under a load at (x, y) from the center; None where no pressure can balance it.

    That is: no load pressing down, or its line outside the pad. ``width_ft`` lies along x.
    """
    if not all(map(math.isfinite, (width_ft, length_ft, load_kip, at_x_ft, at_y_ft))):
        raise InputError("load_kip", "is not a number.")
    if min(width_ft, length_ft) <= 0:
        raise InputError("width_ft", "must be more than nothing.")
    from_x, from_y = 0.5 - abs(at_x_ft) / width_ft, 0.5 - abs(at_y_ft) / length_ft
    # nearer to the edge than this the contact is a hair, and the pressure without bound
    if load_kip <= 0 or min(from_x, from_y) <= 1e-6:
        return None
    # rounded, so that the eight like directions of a square pad are worked out once
    plane, polygon = _from_corner(round(1 / from_x, 11), round(1 / from_y, 11))
    unit_x, unit_y = from_x * width_ft, from_y * length_ft  # ft
    sx, sy = math.copysign(1, at_x_ft), math.copysign(1, at_y_ft)
    corners = [(sx * (width_ft / 2 - x * unit_x), sy * (length_ft / 2 - y * unit_y)) for x, y in polygon]
    if sx * sy < 0:
        corners.reverse()
    a, b, c = (value * load_kip * 1000 / (unit_x * unit_y) for value in plane)
    return Contact(
        q_max_psf=a,
        fraction=min(1.0, float(_sums(polygon)[0, 0]) * from_x * from_y),
        plane=(a + b / from_x / 2 + c / from_y / 2, -sx * b / unit_x, -sy * c / unit_y),
        corners=tuple(corners),
    )


@lru_cache(maxsize=4096)
def _from_corner(reach_x: float, reach_y: float) -> tuple[Plane, tuple[Point, ...]]:
    """Plane and contact polygon of the pad from (0, 0) to (X, Y) under a load of 1 at (1, 1)."""
    if reach_x >= 4 and reach_y >= 4:
        # a triangle with legs of 4: the load stands over the middle of a pyramid
        return (3 / 8, -3 / 32, -3 / 32), ((0.0, 0.0), (4.0, 0.0), (0.0, 4.0))
    plane = _start(reach_x, reach_y)
    matrix = _sums(_clipped(plane, reach_x, reach_y))
    for _ in range(_MOST_STEPS):
        # the cut edge carries no pressure, so the matrix of the polygon is the exact slope
        step: Vector = np.asarray(np.linalg.solve(matrix, _TARGET - matrix @ plane), dtype=np.float64)
        plane, matrix = _next(plane, step, reach_x, reach_y)
        if np.abs(step).max() <= _CLOSE * np.abs(plane).max():
            break
    return (float(plane[0]), float(plane[1]), float(plane[2])), tuple(_clipped(plane, reach_x, reach_y))


def _start(reach_x: float, reach_y: float) -> Vector:
    """A wedge over the nearer edge with the load past the middle third, else the plane of full contact."""
    if reach_x >= 3 and reach_x >= reach_y:
        top = 2 / 3 / reach_y
        return np.array([top, -top / 3, 0.0])
    if reach_y >= 3:
        top = 2 / 3 / reach_x
        return np.array([top, 0.0, -top / 3])
    whole = _sums([(0.0, 0.0), (reach_x, 0.0), (reach_x, reach_y), (0.0, reach_y)])
    return np.asarray(np.linalg.solve(whole, _TARGET))


def _next(plane: Vector, step: Vector, reach_x: float, reach_y: float) -> tuple[Vector, Vector]:
    """The step, halved until the work 1/2 v M v - v w falls.

    That work is convex and its least place is the solution, so that every start leads there.
    """
    matrix = _sums(_clipped(plane, reach_x, reach_y))
    before, share = _work(plane, matrix), 1.0
    while share > 1e-9:
        tried = plane + share * step
        polygon = _clipped(tried, reach_x, reach_y)
        if len(polygon) > 2:
            found = _sums(polygon)
            if found[0, 0] > 1e-12 and _work(tried, found) <= before + 1e-14 * (1 + abs(before)):
                return tried, found
        share /= 2
    return plane, matrix


def _work(plane: Vector, matrix: Vector) -> float:
    return float(plane @ matrix @ plane / 2 - plane @ _TARGET)


def _clipped(plane: Plane | Vector, reach_x: float, reach_y: float) -> list[Point]:
    """The part of the rectangle where the plane is not negative (Sutherland-Hodgman)."""
    a, b, c = (float(value) for value in plane)
    ring = ((0.0, 0.0), (reach_x, 0.0), (reach_x, reach_y), (0.0, reach_y))
    kept: list[Point] = []
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        q1, q2 = a + b * x1 + c * y1, a + b * x2 + c * y2
        if q1 >= 0:
            kept.append((x1, y1))
        if (q1 > 0 > q2) or (q1 < 0 < q2):
            t = q1 / (q1 - q2)
            kept.append((x1 + t * (x2 - x1), y1 + t * (y2 - y1)))
    return kept


def _sums(polygon: Sequence[Point]) -> Vector:
    """Area, first and second moments of a polygon: [[A, Sx, Sy], [Sx, Sxx, Sxy], [Sy, Sxy, Syy]]."""
    area = sx = sy = sxx = syy = sxy = 0.0
    for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], *polygon[:1]), strict=True):
        cross = x1 * y2 - x2 * y1
        area += cross / 2
        sx += cross * (x1 + x2) / 6
        sy += cross * (y1 + y2) / 6
        sxx += cross * (x1 * x1 + x1 * x2 + x2 * x2) / 12
        syy += cross * (y1 * y1 + y1 * y2 + y2 * y2) / 12
        sxy += cross * (x1 * y2 + 2 * x1 * y1 + 2 * x2 * y2 + x2 * y1) / 24
    return np.array([[area, sx, sy], [sx, sxx, sxy], [sy, sxy, syy]])
