"""Breakout in shear, ACI 318-19, 17.7.2: rows of anchors before every edge, toward it and along it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitecalc.checks import Step
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.anchor_areas import Edge, Point, along_edge, edges
from sitecalc.foundation.anchor_strength import (
    BASIC_SHEAR,
    NEAR_EDGE,
    Off,
    basic_shear_lb,
    eccentric,
    near_edge,
    printed_off,
)
from sitecalc.foundation.anchor_tension import Embedded

SAME_ROW_IN = 0.25

CUT_DOWN = Formula("ca1", "edge distance that counts", "min(c1, max(c2/1.5, ha/1.5, s/3))", "in")
SINGLE = Formula("AVco", "of one bolt", "4.5*ca1**2", "in2")
OFF_CENTER = Formula("psi_ec", "eccentricity along the edge", "1/(1 + e/(1.5*ca1))", "")
SHALLOW = Formula("psi_h", "shallow concrete", "max(1, sqrt(1.5*ca1/ha))", "")
TOWARD = Formula("Vcbg", "toward the edge", "AVc/AVco*psi_ec*psi_ed*psi_c*psi_h*Vb/1000", "kip")
ALONG = Formula("Vcbg", "along the edge", "2*AVc/AVco*psi_c*psi_h*Vb/1000", "kip")
DESIGN = Formula("phi Vcbg", "design strength", "phi*Vcbg", "kip")


@dataclass(frozen=True, kw_only=True)
class ShearRow:
    """One row before an edge without the eccentricity of its load; indexes of the anchors.

    ``carried`` are the anchors whose shear this row answers for: its own, those between it and the edge, and
    those behind it that stand too close for a breakout body of their own.
    """

    body: Embedded
    edge: Edge
    to_edge: Step
    spots: tuple[int, ...]
    carried: tuple[int, ...]
    ca1_in: float
    area_in2: float
    single_in2: float
    nearest_in: float
    psi_ed: float
    psi_c: float
    psi_h: float
    basic_lb: float

    @property
    def parallel_lb(self) -> float:
        """Shear along the edge: twice, with psi_ed 1 (17.7.2.1 c)."""
        return 2 * self.area_in2 / self.single_in2 * self.psi_c * self.psi_h * self.basic_lb

    @property
    def concentric_lb(self) -> float:
        return self.psi_ed * self.parallel_lb / 2

    def strength_lb(self, off_in: Off) -> Off:
        """Vcbg toward the edge."""
        return eccentric(off_in, 1.5 * self.ca1_in) * self.concentric_lb

    def steps(self, off_in: float, phi: float, *, along: bool) -> tuple[Step, ...]:
        body, ca1 = self.body, self.ca1_in
        basic = BASIC_SHEAR.step(hef=body.hef_in, da=body.diameter_in, la=body.light, fc=body.fc_psi, ca1=ca1)
        shallow = SHALLOW.step(ca1=ca1, ha=body.deep_in)
        edge = NEAR_EDGE.step_of("side edges, reach 1.5 ca1", c=self.nearest_in, reach=1.5 * ca1)
        single = SINGLE.step(ca1=ca1)
        parts = {"AVc": self.area_in2, "AVco": single.value, "psi_c": self.psi_c}
        parts |= {"psi_h": shallow.value, "Vb": basic.value}
        off: tuple[Step, ...] = ()
        if along:
            nominal = ALONG.step(**parts)
        else:
            off = (edge, OFF_CENTER.step(e=printed_off(off_in), ca1=ca1))
            nominal = TOWARD.step(**parts, psi_ed=edge.value, psi_ec=off[1].value)
        spread = "1.5 ca1 to each side, to 1.5 ca1 or the concrete's depth"
        return (
            self.to_edge,
            looked_up("AVc", "projected area", spread, f"{len(self.spots)} bolts", self.area_in2, "in2"),
            single,
            *off,
            shallow,
            basic,
            nominal,
            DESIGN.step(phi=phi, Vcbg=nominal.value),
        )


def shear_rows(body: Embedded, spots: Sequence[Point]) -> list[ShearRow]:
    """Every row before every edge, with the anchors it answers for; strengths in lb, plan in in.

    Vcbg = AVc / AVco psi_ec psi_ed psi_c psi_h Vb toward the edge, twice that with psi_ed 1 along it.
    ACI 318-19, 17.7.2 (read in secondary copies).
    """
    return [row for edge in edges(body.polygon) for row in _before(body, edge, spots)]


def _before(body: Embedded, edge: Edge, spots: Sequence[Point]) -> list[ShearRow]:
    """Cases of figure R17.7.2.1b for any number of rows.

    Rows at least ca1 of the first apart share the shear: the first answers for its own, each further one for
    all anchors up to it. A row closer than that behind another adds its shear to the one before (case 3).
    """
    order = sorted(range(len(spots)), key=lambda i: edge.distance(spots[i]))
    first = edge.distance(spots[order[0]])
    lines: list[list[int]] = []
    for i in order:
        if lines and edge.distance(spots[i]) - edge.distance(spots[lines[-1][0]]) < SAME_ROW_IN:
            lines[-1].append(i)
        else:
            lines.append([i])
    fronts: list[list[int]] = []
    answers: list[list[int]] = []
    last = -math.inf
    for line in lines:
        here = edge.distance(spots[line[0]])
        if here - last < first - 1e-9:
            answers[-1] += line
        else:
            fronts.append(line)
            answers.append([*(answers[-1] if answers else []), *line])
        last = here
    return [
        row for front, carried in zip(fronts, answers, strict=True)
        for row in _along(body, edge, spots, front, carried)
    ]  # fmt: skip


def _along(
    body: Embedded, edge: Edge, spots: Sequence[Point], front: list[int], carried: list[int]
) -> list[ShearRow]:
    """A row split where neighbors are 3 ca1 apart or more; each part answers for what stands in its reach."""
    tx, ty = -edge.normal[1], edge.normal[0]

    def at(i: int) -> float:
        return spots[i][0] * tx + spots[i][1] * ty

    ca1 = edge.distance(spots[front[0]])
    parts: list[list[int]] = []
    for i in sorted(front, key=at):
        if parts and at(i) - at(parts[-1][-1]) < 3 * ca1:
            parts[-1].append(i)
        else:
            parts.append([i])
    found = []
    for part in parts:
        near = [i for i in carried if at(part[0]) - 1.5 * ca1 <= at(i) <= at(part[-1]) + 1.5 * ca1]
        found.append(_row(body, edge, spots, part, near if len(parts) > 1 else carried))
    return found


def _row(body: Embedded, edge: Edge, spots: Sequence[Point], part: list[int], carried: list[int]) -> ShearRow:
    ca1 = edge.distance(spots[part[0]])
    left = along_edge(body.polygon, edge, spots[part[0]])[0]
    right = along_edge(body.polygon, edge, spots[part[-1]])[1]
    spacings = [math.dist(spots[a], spots[b]) for a, b in pairwise(part)]
    to_edge = looked_up("ca1", f"row to the {edge.name} edge", "distance to the edge", "plan", ca1, "in")
    if max(left, right) < 1.5 * ca1 and body.deep_in < 1.5 * ca1:
        to_edge = CUT_DOWN.step_of(
            f"row to the {edge.name} edge, {ca1:.4g} in, cut down by 17.7.2.1.2: side edges c2, bolts s",
            c1=ca1,
            c2=max(left, right),
            ha=body.deep_in,
            s=max(spacings, default=0.0),
        )
        ca1 = to_edge.value
    reach = 1.5 * ca1
    width = sum(min(s, 2 * reach) for s in spacings) + min(left, reach) + min(right, reach)
    single, nearest = SINGLE.value(ca1=ca1), min(left, right)
    return ShearRow(
        body=body,
        edge=edge,
        to_edge=to_edge,
        spots=tuple(part),
        carried=tuple(carried),
        ca1_in=ca1,
        area_in2=min(width * min(reach, body.deep_in), len(part) * single),
        single_in2=single,
        nearest_in=nearest,
        psi_ed=near_edge(nearest, reach),
        psi_c=body.edge_factor if body.cracked else 1.4,
        psi_h=SHALLOW.value(ca1=ca1, ha=body.deep_in),
        basic_lb=basic_shear_lb(ca1, body.hef_in, body.diameter_in, body.fc_psi, body.light),
    )
