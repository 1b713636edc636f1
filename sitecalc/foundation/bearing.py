"""Pressure under a rigid pad on soil that cannot pull: exact for any convex plan and any eccentricity.

The pressure is a plane cut off at zero, q = max(0, a + b x + c y). The part of the pad where it is positive
is a polygon; its area and moments are exact sums over its corners, so that the three equations of
equilibrium can be solved by Newton's method to rounding. All winds and combinations are solved at once.

Each is solved from its own load point, lengths counted in the load's distance from the edge: a pad that
barely bears is as well behaved as any.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sitecalc.checks import Step, readable
from sitecalc.formula import looked_up
from sitecalc.foundation.ring import Floats, edges, kept_part, positive_part, ring
from sitecalc.inputs import InputError

METHOD = "equilibrium of a rigid pad on no-tension soil, contact polygon found exactly"
_MOST_STEPS = 60
_CLOSE = 1e-12
# nearer to the edge than this share of the pad the contact is a hair, and the pressure without bound
_HAIR = 1e-6

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


@dataclass(frozen=True, kw_only=True)
class Pressures:
    """Of many loads on one pad, in their order. What no pressure can balance presses without bound."""

    corners: Floats
    balanced: NDArray[np.bool_]
    planes: Floats
    q_max_psf: Floats
    fraction: Floats

    def contact(self, index: int) -> Contact | None:
        if not self.balanced[index]:
            return None
        a, b, c = (float(value) for value in self.planes[index])
        pressure = a + self.corners @ (b, c)
        part = kept_part(self.corners, pressure, 1e-12 * float(self.q_max_psf[index]))
        polygon = tuple((x, y) for x, y in part.tolist())
        return Contact(float(self.q_max_psf[index]), float(self.fraction[index]), (a, b, c), polygon)


def contact_step(corners: Floats, plane: Plane, name: str = "q") -> Step:
    """The contact polygon as paper prints it: its corners and the plane over it, x east, y north, ft, psf.

    Of a round pad the ends of the line where it begins to lift, and where it is pressed hardest.
    """
    a, b, c = plane
    pressure = a + corners @ (b, c)
    most = float(pressure.max())
    part = kept_part(corners, pressure, 1e-12 * most)
    shown = part if len(part) <= MOST_CORNERS else _ends(part, a + part @ (b, c))
    said = " ".join(f"({_round(x)}, {_round(y)})" for x, y in shown.tolist())
    how = "corners" if len(part) <= MOST_CORNERS else "ends of the lifting edge, and the highest pressure,"
    where = f"{readable(a)} {_signed(b)} x {_signed(c)} y; {how} {said}"
    meaning = "contact polygon, x east and y north of the middle in ft"
    return looked_up(name, meaning, "a + b x + c y, greatest at a corner", where, most, "psf")


MOST_CORNERS = 8


def _ends(part: Floats, pressure: Floats) -> Floats:
    low = np.sort(np.argsort(pressure, kind="stable")[:2])
    return part[[*low, int(pressure.argmax())]]


def _round(value: float) -> str:
    return readable(round(value, 3) + 0.0)


def _signed(value: float) -> str:
    slope = round(value, 9)  # the machine's rounding is no slope
    return f"{'-' if slope < 0 else '+'} {readable(abs(slope))}"


def contact(
    width_ft: float, length_ft: float, load_kip: float, at_x_ft: float, at_y_ft: float
) -> Contact | None:
    """Contact of a rectangle under a load at (x, y) from the center; None where no pressure can balance it.

    That is: no load pressing down, or its line outside the pad. ``width_ft`` lies along x.
    """
    if not all(map(math.isfinite, (width_ft, length_ft, load_kip, at_x_ft, at_y_ft))):
        raise InputError("load_kip", "is not a number.")
    if min(width_ft, length_ft) <= 0:
        raise InputError("width_ft", "must be more than nothing.")
    corners = ring("rectangle", width_ft, length_ft)
    return pressures(corners, np.array([load_kip]), np.array([at_x_ft]), np.array([at_y_ft])).contact(0)


def pressures(corners: Floats, load_kip: Floats, at_x_ft: Floats, at_y_ft: Floats) -> Pressures:
    """Under loads (m) at points (m) on a pad with these corners (n, 2), about its center of area."""
    normals, offsets = edges(corners)
    slack = offsets - np.outer(at_x_ft, normals[:, 0]) - np.outer(at_y_ft, normals[:, 1])
    balanced = (load_kip > 0) & (slack.min(axis=1) > 2 * _HAIR * offsets.min())
    planes = np.zeros((len(load_kip), 3))
    q_max, fraction = np.full(len(load_kip), np.inf), np.zeros(len(load_kip))
    if balanced.any():
        found = _solved(
            corners, load_kip[balanced], at_x_ft[balanced], at_y_ft[balanced], slack[balanced], normals
        )
        planes[balanced], q_max[balanced], fraction[balanced] = found
    return Pressures(corners=corners, balanced=balanced, planes=planes, q_max_psf=q_max, fraction=fraction)


def _solved(
    corners: Floats, load: Floats, at_x: Floats, at_y: Floats, slack: Floats, normals: Floats
) -> tuple[Floats, Floats, Floats]:
    """Planes in psf about the pad's middle, their greatest pressure, and the share of the pad that bears."""
    unit_x, unit_y = _reach(slack, normals[:, 0]), _reach(slack, normals[:, 1])
    x = (corners[:, 0] - at_x[:, None]) / unit_x[:, None]
    y = (corners[:, 1] - at_y[:, None]) / unit_y[:, None]
    plane = _newton(x, y)
    psf = 1000 * load / (unit_x * unit_y)
    q_max = (plane[:, :1] + plane[:, 1:2] * x + plane[:, 2:] * y).max(axis=1) * psf
    area = positive_part(x, y, plane[:, :1] + plane[:, 1:2] * x + plane[:, 2:] * y).a
    whole = positive_part(x, y, np.ones_like(x)).a
    b, c = plane[:, 1] / unit_x, plane[:, 2] / unit_y
    at_middle = np.stack((plane[:, 0] - b * at_x - c * at_y, b, c), axis=1) * psf[:, None]
    return at_middle, q_max, np.minimum(1.0, area / whole)


def _reach(slack: Floats, across: Floats) -> Floats:
    """Distance from each load point to the edge, along one axis."""
    facing = np.abs(across) > 1e-9
    nearest: Floats = (slack[:, facing] / np.abs(across[facing])).min(axis=1)
    return nearest


def _newton(x: Floats, y: Floats) -> Floats:
    """Planes (m, 3) whose positive part presses 1 at the origin.

    The step is halved until the work 1/2 v M v - v w falls. That work is convex and its least place is the
    solution, so that every start leads there; the cut edge carries no pressure, so M is the exact slope.
    """
    target = np.array([1.0, 0.0, 0.0])
    matrix = positive_part(x, y, np.ones_like(x)).matrix()
    plane: Floats = np.linalg.solve(matrix, np.broadcast_to(target, (len(x), 3))[..., None])[..., 0]
    matrix, work = _worked(x, y, plane)
    for _ in range(_MOST_STEPS):
        rest = target - (matrix @ plane[..., None])[..., 0]
        step = np.linalg.solve(matrix, rest[..., None])[..., 0]
        moving = np.abs(step).max(axis=1) > _CLOSE * np.abs(plane).max(axis=1)
        if not moving.any():
            break
        share = np.where(moving, 1.0, 0.0)
        while True:
            tried = plane + share[:, None] * step
            tried_matrix, tried_work = _worked(x, y, tried)
            worse = tried_work > work + 1e-14 * (1 + np.abs(work))
            if not worse.any():
                break
            share = np.where(worse, np.where(share > 1e-9, share / 2, 0.0), share)
        plane, matrix, work = tried, tried_matrix, tried_work
    return plane


def _worked(x: Floats, y: Floats, plane: Floats) -> tuple[Floats, Floats]:
    """(M, work) of each plane; infinite work where it leaves no contact."""
    found = positive_part(x, y, plane[:, :1] + plane[:, 1:2] * x + plane[:, 2:] * y)
    matrix = found.matrix()
    held = (plane[:, None, :] @ matrix @ plane[..., None])[:, 0, 0] / 2 - plane[:, 0]
    return matrix, np.where(found.a > 1e-12, held, np.inf)
