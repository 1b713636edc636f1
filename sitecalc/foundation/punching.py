"""Two-way shear round a pedestal, a tube or legs, with the moment that is handed over there.

ACI 318-19, 22.6.4 and 8.4.4.2: critical section half the depth from the loaded square, or out to the edge of
the pad where that is shorter; the share gamma_v of the moment about its center is shear that grows evenly
with the distance from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sitecalc.foundation.bearing import Point
from sitecalc.foundation.pad_forces import Factored
from sitecalc.foundation.pad_shear import TwoWay, two_way_strength
from sitecalc.foundation.rebar import MATS, Mat
from sitecalc.foundation.ring import Floats, cut, edges, padded, pressed_parts
from sitecalc.foundation.strength_case import Stand, StrengthCase, punching_depth_in

Segment = tuple[Point, Point]
Box = tuple[float, float, float, float]  # west, east, south, north
WORDS = {40.0: "inside the pad", 30.0: "open to one edge", 20.0: "open to a corner"}


@dataclass(frozen=True, kw_only=True)
class Perimeter:
    """A critical section round these legs; the forces are those within ``region``. Feet from the middle."""

    legs: tuple[int, ...]
    middle: Point
    mat: Mat
    depth_in: float
    alpha_s: float
    region: Floats
    segments: tuple[Segment, ...]


@dataclass(frozen=True, kw_only=True)
class Sections:
    """Of many perimeters: length, center of its faces, Jc and gamma_v along x and y."""

    length_in: Floats
    center_ft: Floats
    polar_in4: Floats
    gamma_v: Floats


def sections(tried: tuple[Perimeter, ...]) -> Sections:
    # a face too few is a point, which adds nothing to any sum
    """Length in in, center in ft, Jc in in4 and gamma_v = 1 - 1 / (1 + 2/3 sqrt(b1 / b2)) of each perimeter.

    ACI 318-19, 8.4.4.2 (read in secondary copies).
    """
    faces = max(len(t.segments) for t in tried)
    lines = np.array(
        [(*t.segments, *(((p := t.segments[0][0]), p),) * (faces - len(t.segments))) for t in tried]
    )
    depth = np.array([t.depth_in for t in tried])[:, None]
    across = lines[:, :, 1] - lines[:, :, 0]
    lengths = 12 * np.hypot(across[..., 0], across[..., 1])
    whole = lengths.sum(axis=1)
    center = (lengths[..., None] * lines.mean(axis=2)).sum(axis=1) / whole[:, None]
    u, v = np.moveaxis(12 * (lines - center[:, None, None, :]), 2, 0)
    arms = depth * (lengths[..., None] * (u * u + u * v + v * v)).sum(axis=1) / 3
    # a face along the moment also shears up and down
    along = (lengths[..., None] * (np.abs(across) > 1e-9)).sum(axis=1) * depth**3 / 12
    spread = lines.max(axis=(1, 2)) - lines.min(axis=(1, 2))
    gamma = 1 - 1 / (1 + 2 / 3 * np.sqrt(spread / spread[:, ::-1]))
    return Sections(length_in=whole, center_ft=center, polar_in4=arms + along, gamma_v=gamma)


@dataclass(frozen=True, kw_only=True)
class Punching:
    """(m, perimeters): force down through each section, moments about its center, greatest stress."""

    perimeters: tuple[Perimeter, ...]
    sections: Sections
    force_kip: Floats
    moment_x_kip_ft: Floats
    moment_y_kip_ft: Floats
    stress_psi: Floats

    def strength(self, case: StrengthCase, index: int) -> TwoWay:
        tried, length = self.perimeters[index], float(self.sections.length_in[index])
        return two_way_strength(length, tried.depth_in, case.mats.fc_psi, tried.alpha_s, case.light)


def perimeters(case: StrengthCase, stand: Stand, corners: Floats) -> tuple[Perimeter, ...]:
    """All that are tried, half the depth out: closed, open to the nearer edge, open to two; empty: none fits.

    ACI 318-19, 22.6.4 (read in secondary copies).
    """
    depths: dict[Mat, float] = {mat: punching_depth_in(case, mat) for mat in MATS}
    shallow: Mat = min(depths, key=lambda mat: depths[mat])
    plan = _Plan(corners)
    every = tuple(range(len(stand.places)))
    nearest = min(
        (math.dist(p, q) for i, p in enumerate(stand.places) for q in stand.places[:i]), default=0.0
    )
    if nearest < stand.side_ft + max(depths.values()) / 12:
        # one pedestal or tube, or legs whose sections would cross. A moment presses one side and pulls the
        # other: the mat with the lesser depth speaks for both
        return tuple(_of_square(stand, every, plan, shallow, depths[shallow]))
    return tuple(
        perimeter
        for mat, depth in depths.items()
        for leg in every
        for perimeter in _of_square(stand, (leg,), plan, mat, depth)
    )


def _of_square(
    stand: Stand, legs: tuple[int, ...], plan: _Plan, mat: Mat, depth_in: float
) -> list[Perimeter]:
    """Closed, or open to the nearer edge, or to the two nearer ones."""
    xs, ys = zip(*(stand.places[leg] for leg in legs), strict=True)
    out = stand.side_ft / 2 + depth_in / 24
    west, east, south, north = min(xs) - out, max(xs) + out, min(ys) - out, max(ys) + out
    middle = ((west + east) / 2, (south + north) / 2)
    # the pad is alike all ways: look at it with the leg to the north east, then turn it back
    sx, sy = (-1.0 if at < -1e-9 else 1.0 for at in middle)
    box = (*sorted((west * sx, east * sx)), *sorted((south * sy, north * sy)))
    found = []
    for open_x, open_y in ((False, False), (False, True), (True, False), (True, True)):
        if (open_x and abs(middle[0]) < 1e-9) or (open_y and abs(middle[1]) < 1e-9):
            continue
        section = plan.section(box, open_x, open_y)
        if section is None:
            continue
        region, lines = section[0] * (sx, sy), section[1]
        turned = tuple(((p[0] * sx, p[1] * sy), (q[0] * sx, q[1] * sy)) for p, q in lines)
        alpha = 40.0 - 10.0 * (open_x + open_y)
        counter = region if sx * sy > 0 else region[::-1]
        found.append(
            Perimeter(
                legs=legs,
                middle=middle,
                mat=mat,
                depth_in=depth_in,
                alpha_s=alpha,
                region=counter,
                segments=turned,
            )
        )
    return found


class _Plan:
    """The pad as sections are fitted on it; like sections of like legs are worked out once."""

    def __init__(self, corners: Floats) -> None:
        self.corners = corners
        self.normals, self.offsets = edges(corners)
        self._known: dict[tuple[Box, bool, bool], tuple[Floats, list[Segment]] | None] = {}

    def section(self, box: Box, open_x: bool, open_y: bool) -> tuple[Floats, list[Segment]] | None:
        """(region, faces); None where a corner is off the pad."""
        key = (box, open_x, open_y)
        if key not in self._known:
            self._known[key] = self._section(box, open_x, open_y)
        return self._known[key]

    def _section(self, box: Box, open_x: bool, open_y: bool) -> tuple[Floats, list[Segment]] | None:
        west, east, south, north = box
        closed = [(west, south)]
        closed += [] if open_x else [(east, south)]
        closed += [] if open_y else [(west, north)]
        closed += [] if open_x or open_y else [(east, north)]
        if (self.normals @ np.array(closed).T - self.offsets[:, None]).max() > 1e-9:
            return None
        # faces that are open run to the edge of the pad
        if open_x:
            east = min(self._reach(0, y) for y in ((south,) if open_y else (south, north)))
        if open_y:
            north = min(self._reach(1, x) for x in ((west,) if open_x else (west, east)))
        lines: list[Segment] = [((west, south), (east, south)), ((west, south), (west, north))]
        if not open_x:
            lines.append(((east, south), (east, north)))
        if not open_y:
            lines.append(((west, north), (east, north)))
        if not (open_x or open_y):
            return np.array([(west, south), (east, south), (east, north), (west, north)]), lines
        region = cut(cut(self.corners, (1.0, 0.0), west), (0.0, 1.0), south)
        if not open_x:
            region = cut(region, (-1.0, 0.0), -east)
        if not open_y:
            region = cut(region, (0.0, -1.0), -north)
        return region, lines

    def _reach(self, axis: int, at: float) -> float:
        """How far the pad reaches along x (0) or y (1) at that place on the other axis."""
        facing = self.normals[:, axis] > 1e-9
        room = self.offsets[facing] - self.normals[facing, 1 - axis] * at
        return float((room / self.normals[facing, axis]).min())


def punching(case: StrengthCase, found: Factored, tried: tuple[Perimeter, ...]) -> Punching:
    """Force in kip, moments in kip-ft and stress in psi of every section in every wind; the worst end.

    Vu / (bo d) + gamma_v M c / Jc. ACI 318-19, 8.4.4.2 (read in secondary copies).
    """
    polygons = padded([p.region for p in tried])
    pressed, whole = pressed_parts(polygons[..., 0], polygons[..., 1], found.planes)
    a, b, c = (found.planes[:, i, None] for i in range(3))
    net = found.net[:, None]
    up = a * pressed.a + b * pressed.x + c * pressed.y + net * whole.a
    east = a * pressed.x + b * pressed.xx + c * pressed.xy + net * whole.x
    north = a * pressed.y + b * pressed.xy + c * pressed.yy + net * whole.y
    stand = case.stand
    assert stand is not None
    at, within = np.array(stand.places), np.zeros((len(stand.places), len(tried)))
    for k, p in enumerate(tried):
        within[list(p.legs), k] = 1.0
    force = found.down @ within - up
    turning = [found.turning[:, i, None] * within.sum(axis=0) for i in (0, 1)]
    lines = sections(tried)
    center = lines.center_ft
    # about the middle of the pad first, then about the section's own center
    moment_x = (found.down * at[:, 0]) @ within + turning[0] - east - force * center[:, 0]
    moment_y = (found.down * at[:, 1]) @ within + turning[1] - north - force * center[:, 1]
    stress = _stress(tried, lines, force, moment_x, moment_y)
    return Punching(
        perimeters=tried,
        sections=lines,
        force_kip=force,
        moment_x_kip_ft=moment_x,
        moment_y_kip_ft=moment_y,
        stress_psi=stress,
    )


def _stress(
    tried: tuple[Perimeter, ...], lines: Sections, force: Floats, moment_x: Floats, moment_y: Floats
) -> Floats:
    ends = padded([np.array(t.segments).reshape(-1, 2) for t in tried])  # (perimeters, ends, 2)
    arm = 12 * (ends - lines.center_ft[:, None, :])
    area = lines.length_in * np.array([t.depth_in for t in tried])
    share = 12_000 * lines.gamma_v / lines.polar_in4
    straight = (1000 * force / area)[..., None]
    turned = (moment_x * share[:, 0])[..., None] * arm[..., 0] + (moment_y * share[:, 1])[..., None] * arm[
        ..., 1
    ]
    found: Floats = np.abs(straight + turned).max(axis=-1)
    return found
