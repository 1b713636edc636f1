"""Pressure under a rigid rectangular pad on soil that cannot pull: exact for any eccentricity.

The pressure is a plane cut off at zero, q = max(0, a + b x + c y). The part of the pad where it is positive
is a polygon; its area and moments are exact sums over its corners, so that the three equations of
equilibrium can be solved by Newton's method to rounding.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sitecalc.inputs import InputError

METHOD = "equilibrium of a rigid pad on no-tension soil, contact polygon found exactly"
# the pad brought to a square of side 1 about its center
_UNIT = ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))
_MOST_STEPS = 200

Point = tuple[float, float]
Plane = tuple[float, float, float]


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
    u, v = at_x_ft / width_ft, at_y_ft / length_ft
    # nearer to the edge than this the contact is a hair, and the pressure without bound
    if load_kip <= 0 or max(abs(u), abs(v)) >= 0.5 - 1e-6:
        return None
    # rounded, so that the eight like directions of a square pad are worked out once
    plane = _unit_plane(round(abs(u), 13), round(abs(v), 13))
    sx, sy = math.copysign(1, u), math.copysign(1, v)
    mean = load_kip * 1000 / (width_ft * length_ft)
    a, b, c = plane
    corners = [(sx * x * width_ft, sy * y * length_ft) for x, y in _clipped(plane)]
    if sx * sy < 0:
        corners.reverse()
    return Contact(
        q_max_psf=mean * (a + b / 2 + c / 2),
        fraction=float(_sums(_clipped(plane))[0, 0]),
        plane=(mean * a, mean * b * sx / width_ft, mean * c * sy / length_ft),
        corners=tuple(corners),
    )


@lru_cache(maxsize=4096)
def _unit_plane(u: float, v: float) -> Plane:
    """The plane under a load of 1 at (u, v), both at least 0, on the pad of side 1."""
    if 6 * u + 6 * v <= 1:
        return 1.0, 12 * u, 12 * v
    wanted = np.array([1.0, u, v])
    plane = np.array([1.0, 12 * u, 12 * v])
    matrix = _sums(_clipped(plane))
    for _ in range(_MOST_STEPS):
        missing = wanted - matrix @ plane
        if np.abs(missing).max() < 1e-13:
            break
        # the cut edge carries no pressure, so the matrix of the polygon is the exact slope
        plane, matrix = _next(plane, np.linalg.solve(matrix, missing), wanted)
    return float(plane[0]), float(plane[1]), float(plane[2])


def _next(
    plane: NDArray[np.float64], step: NDArray[np.float64], wanted: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The step, halved until the work 1/2 v M v - v w falls.

    That work is convex and its least place is the solution, so that every start leads there.
    """
    before = _work(plane, _sums(_clipped(plane)), wanted)
    share = 1.0
    while share > 1e-12:
        tried = plane + share * step
        polygon = _clipped(tried)
        if len(polygon) > 2:
            matrix = _sums(polygon)
            if matrix[0, 0] > 1e-15 and _work(tried, matrix, wanted) <= before + 1e-15:
                return tried, matrix
        share /= 2
    return plane, _sums(_clipped(plane))


def _work(plane: NDArray[np.float64], matrix: NDArray[np.float64], wanted: NDArray[np.float64]) -> float:
    return float(plane @ matrix @ plane / 2 - plane @ wanted)


def _clipped(plane: Plane | NDArray[np.float64]) -> list[Point]:
    """The part of the unit square where the plane is not negative (Sutherland-Hodgman)."""
    a, b, c = (float(value) for value in plane)
    kept: list[Point] = []
    for (x1, y1), (x2, y2) in zip(_UNIT, (*_UNIT[1:], _UNIT[0]), strict=True):
        q1, q2 = a + b * x1 + c * y1, a + b * x2 + c * y2
        if q1 >= 0:
            kept.append((x1, y1))
        if (q1 > 0 > q2) or (q1 < 0 < q2):
            t = q1 / (q1 - q2)
            kept.append((x1 + t * (x2 - x1), y1 + t * (y2 - y1)))
    return kept


def _sums(polygon: list[Point]) -> NDArray[np.float64]:
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
