"""Breakout and side-face blowout in tension, ACI 318-19, 17.6.2 and 17.6.4."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Step, readable
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.anchor_areas import Edge, Point, Polygon, along_edge, edges, union_of_squares_in2
from sitecalc.foundation.anchor_strength import (
    NEAR_EDGE,
    basic_breakout_lb,
    basic_breakout_step,
    blowout,
    corner_factor,
    eccentric,
    near_edge,
    printed_off,
    row_blowout,
)
from sitecalc.foundation.ring import Floats

SINGLE = Formula("ANco", "of one bolt far from edges", "9*hef**2", "in2")
OFF_CENTER = Formula("psi_ec", "eccentricity east and north", "1/(1 + ex/(1.5*hef))/(1 + ey/(1.5*hef))", "")
GROUP = Formula("Ncbg", "group", "ANc/ANco*psi_ec*psi_ed*psi_c*Nb/1000", "kip")
DESIGN = Formula("phi Ncbg", "design strength", "phi*Ncbg", "kip")
BLOWOUT_DESIGN = Formula("phi Nsb", "design strength", "phi*Nsb/1000", "kip")


@dataclass(frozen=True, kw_only=True)
class Embedded:
    """Concrete about a group and what is anchored in it. ``kc`` 24: cast in."""

    polygon: Polygon
    deep_in: float
    fc_psi: float
    hef_in: float
    diameter_in: float
    light: float = 1.0
    cracked: bool = True
    kc: float = 24.0
    edge_factor: float = 1.0  # psi_c,V

    @property
    def psi_c(self) -> float:
        if self.cracked:
            return 1.0
        return 1.25 if self.kc == 24.0 else 1.4


@dataclass(frozen=True, kw_only=True)
class TensionGroup:
    """A group of pulled anchors without the eccentricity of its load."""

    body: Embedded
    spots: tuple[Point, ...]
    hef_in: float
    edges_near: int
    area_in2: float
    single_in2: float
    nearest_in: float
    psi_ed: float
    psi_c: float
    basic_lb: float

    def off_in(self, tensions: Floats | Sequence[float]) -> Floats:
        """e'N east and north: from the middle of the anchors to the resultant of their tension.

        ``tensions`` of the anchors along the last axis.
        """
        spots, pulls = np.array(self.spots), np.asarray(tensions, dtype=float)
        total = pulls.sum(axis=-1)[..., None]
        loaded = total != 0
        resultant = pulls @ spots / np.where(loaded, total, 1.0)
        found: Floats = np.where(loaded, np.abs(resultant - spots.mean(axis=0)), 0.0)
        return found

    def psi_ec(self, tensions: Floats | Sequence[float]) -> Floats:
        """By e'N both ways."""
        found: Floats = eccentric(self.off_in(tensions), 1.5 * self.hef_in).prod(axis=-1)
        return found

    @property
    def concentric_lb(self) -> float:
        return self.area_in2 / self.single_in2 * self.psi_ed * self.psi_c * self.basic_lb

    def strength_lb(self, tensions: Floats | Sequence[float]) -> Floats:
        """Ncbg; psi_cp is 1 for cast-in anchors."""
        return self.psi_ec(tensions) * self.concentric_lb

    def steps(self, tensions: Floats | Sequence[float]) -> tuple[Step, ...]:
        """Up to Ncbg, the last one."""
        hef, body = self.hef_in, self.body
        cut = (
            f", {self.edges_near} edges within 1.5 hef: cut down by 17.6.2.1.2 from {body.hef_in:g} in"
            if self.edges_near >= 3
            else ""
        )
        east, north = self.off_in(tensions)
        single = SINGLE.step(hef=hef)
        edge = NEAR_EDGE.step_of("edge, reach 1.5 hef", c=self.nearest_in, reach=1.5 * hef)
        ec = OFF_CENTER.step(ex=printed_off(east), ey=printed_off(north), hef=hef)
        basic = basic_breakout_step(hef, body.fc_psi, body.light, body.kc)
        pulls = [
            f"({readable(round(x, 2))}, {readable(round(y, 2))}) {readable(round(float(pull), 3))}"
            for (x, y), pull in zip(self.spots, tensions, strict=True)
        ]
        squares, bolts = "squares of 3 hef, cut off at the edges", f"{len(self.spots)} bolts"
        return (
            looked_up(
                "hef", f"effective embedment{cut}", "max(ca,max / 1.5, s / 3) or as set", "plan", hef, "in"
            ),
            looked_up("ANc", "projected area of the group", squares, bolts, self.area_in2, "in2"),
            single,
            edge,
            looked_up(
                "e'N",
                "bolts from the middle of the tower, east and north in in, and their force in kip",
                "sum(T x) / sum(T) - mean of x, and of y",
                "; ".join(pulls),
                printed_off(math.hypot(east, north)),
                "in",
            ),
            ec,
            basic,
            GROUP.step(
                ANc=self.area_in2,
                ANco=single.value,
                psi_ec=ec.value,
                psi_ed=edge.value,
                psi_c=self.psi_c,
                Nb=basic.value,
            ),
        )

    def design_steps(self, tensions: Floats | Sequence[float], phi: float) -> tuple[Step, ...]:
        steps = self.steps(tensions)
        return (*steps, DESIGN.step(phi=phi, Ncbg=steps[-1].value))


def clusters(spots: Sequence[Point], reach_in: float) -> list[tuple[int, ...]]:
    """Indexes of spots that hang together by spacings under the reach, in in. Plane geometry."""
    apart = np.array(spots)[:, None] - np.array(spots)
    near = np.hypot(apart[..., 0], apart[..., 1]) < reach_in
    left = np.ones(len(spots), dtype=bool)
    found = []
    while left.any():
        group = near[int(left.argmax())]
        while (wider := near[group].any(axis=0)).sum() > group.sum():
            group = wider
        found.append(tuple(int(i) for i in np.flatnonzero(group)))
        left &= ~group
    return found


def tension_group(body: Embedded, spots: Sequence[Point]) -> TensionGroup:
    """Strength in lb of anchors that break out together: ANc / ANco psi_ed psi_c Nb, in and psi.

    hef is cut down to max(ca,max / 1.5, s / 3) where three or more edges lie within 1.5 hef.
    ACI 318-19, 17.6.2 and 17.6.2.1.2 (read in secondary copies).
    """
    places = tuple(spots)
    at = np.array(places)
    distances = [edge.reach - float((at @ edge.normal).max()) for edge in edges(body.polygon)]
    near = [d for d in distances if d < 1.5 * body.hef_in]
    hef = body.hef_in
    if len(near) >= 3:
        hef = min(hef, max(max(near) / 1.5, _widest(places) / 3))
    area = union_of_squares_in2(body.polygon, places, 1.5 * hef)
    single = SINGLE.value(hef=hef)
    return TensionGroup(
        body=body,
        spots=places,
        hef_in=hef,
        edges_near=len(near),
        area_in2=min(area, len(places) * single),
        single_in2=single,
        nearest_in=min(distances),
        psi_ed=near_edge(min(distances), 1.5 * hef),
        psi_c=body.psi_c,
        basic_lb=basic_breakout_lb(hef, body.fc_psi, body.light, body.kc),
    )


def _widest(spots: Sequence[Point]) -> float:
    """s of 17.6.2.1.2: the largest spacing between neighbors in the group."""
    if len(spots) < 2:
        return 0.0
    return max(min(math.dist(a, b) for b in spots if b != a) for a in spots)


@dataclass(frozen=True, kw_only=True)
class Blowout:
    """Anchors in a row along one edge whose side may burst; ``spots`` are indexes."""

    spots: tuple[int, ...]
    edge: str
    ca1_in: float
    spread_in: float
    nominal: Step

    @property
    def strength_lb(self) -> float:
        return self.nominal.value

    def steps(self, phi: float) -> tuple[Step, ...]:
        return (
            looked_up("ca1", f"to the {self.edge} edge", "distance to the edge", "plan", self.ca1_in, "in"),
            self.nominal,
            BLOWOUT_DESIGN.step(phi=phi, Nsb=self.strength_lb),
        )


def blowouts(body: Embedded, spots: Sequence[Point], bearing_in2: float) -> Iterator[Blowout]:
    """Singles and rows that are deep for their edge, hef over 2.5 ca1; strengths in lb, area in in2.

    (1 + s / (6 ca1)) Nsb of a row less than 6 ca1 apart, Nsb less near a corner of a single.
    ACI 318-19, 17.6.4 (read in secondary copies).
    """
    for edge in edges(body.polygon):
        deep = [i for i, s in enumerate(spots) if body.hef_in > 2.5 * edge.distance(s)]
        for i in deep:
            ca1 = edge.distance(spots[i])
            corner = corner_factor(ca1, min(along_edge(body.polygon, edge, spots[i])))
            single = blowout(ca1, bearing_in2, body.fc_psi, body.light, corner)
            yield Blowout(spots=(i,), edge=edge.name, ca1_in=ca1, spread_in=0.0, nominal=single)
        yield from _rows(body, edge, spots, deep, bearing_in2)


def _rows(
    body: Embedded, edge: Edge, spots: Sequence[Point], deep: list[int], bearing_in2: float
) -> Iterator[Blowout]:
    """Neighbors along the edge less than 6 ca1 apart burst together; the nearest sets ca1 for all."""
    along = sorted(deep, key=lambda i: _along(edge, spots[i]))
    start = 0
    for i in range(1, len(along) + 1):
        row = along[start:i]
        ca1 = min(edge.distance(spots[j]) for j in row)
        apart = i < len(along) and _along(edge, spots[along[i]]) - _along(edge, spots[row[-1]])
        if i < len(along) and apart < 6 * ca1:
            continue
        spread = _along(edge, spots[row[-1]]) - _along(edge, spots[row[0]])
        if len(row) > 1 and spread > 0:
            group = row_blowout(spread, ca1, bearing_in2, body.fc_psi, body.light)
            yield Blowout(spots=tuple(row), edge=edge.name, ca1_in=ca1, spread_in=spread, nominal=group)
        start = i


def _along(edge: Edge, spot: Point) -> float:
    return -spot[0] * edge.normal[1] + spot[1] * edge.normal[0]
