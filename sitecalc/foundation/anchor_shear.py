"""Breakout in shear, ACI 318-19, 17.7.2: rows of anchors before every edge, toward it and along it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitecalc.checks import Step
from sitecalc.foundation.anchor_areas import Edge, Point, along_edge, edges
from sitecalc.foundation.anchor_strength import Off, basic_shear_lb, eccentric, near_edge
from sitecalc.foundation.anchor_tension import Embedded

SAME_ROW_IN = 0.25


@dataclass(frozen=True, kw_only=True)
class ShearRow:
    """One row before an edge without the eccentricity of its load; indexes of the anchors.

    ``carried`` are the anchors whose shear this row answers for: its own, those between it and the edge, and
    those behind it that stand too close for a breakout body of their own.
    """

    edge: Edge
    spots: tuple[int, ...]
    carried: tuple[int, ...]
    ca1_in: float
    area_in2: float
    single_in2: float
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
        strength = self.parallel_lb if along else self.strength_lb(off_in)
        formula = "2 AVc / AVco psi_c psi_h Vb" if along else "AVc / AVco psi_ec psi_ed psi_c psi_h Vb"
        return (
            Step("ca1", f"row to the {self.edge.name} edge", "", "", self.ca1_in, "in"),
            Step("AVc", "projected area", "1.5 ca1 to each side, to 1.5 ca1 or the concrete's depth",
                 f"{len(self.spots)} bolts", self.area_in2, "in2"),
            Step("AVco", "of one bolt", "4.5 ca1^2", f"4.5 x {self.ca1_in:.2f}^2", self.single_in2, "in2"),
            Step("psi_ed", "side edges", "0.7 + 0.3 ca2 / (1.5 ca1)", "", self.psi_ed, ""),
            Step("psi_h", "shallow concrete", "sqrt(1.5 ca1 / ha)", "", self.psi_h, ""),
            Step("Vb", "basic strength", "min(7 (le/da)^0.2 sqrt(da), 9) la sqrt(f'c) ca1^1.5", "",
                 self.basic_lb / 1000, "kip"),
            Step("Vcbg", "along the edge" if along else "toward the edge", formula, "",
                 strength / 1000, "kip"),
            Step("phi Vcbg", "design strength", "phi Vcbg", f"{phi:.4g} x {strength / 1000:.1f}",
                 phi * strength / 1000, "kip"),
        )  # fmt: skip


def shear_rows(body: Embedded, spots: Sequence[Point]) -> list[ShearRow]:
    """Every row before every edge."""
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
    if max(left, right) < 1.5 * ca1 and body.deep_in < 1.5 * ca1:
        # narrow and shallow: 17.7.2.1.2
        ca1 = min(ca1, max(max(left, right) / 1.5, body.deep_in / 1.5, max(spacings, default=0.0) / 3))
    reach = 1.5 * ca1
    width = sum(min(s, 2 * reach) for s in spacings) + min(left, reach) + min(right, reach)
    single = 4.5 * ca1**2
    return ShearRow(
        edge=edge,
        spots=tuple(part),
        carried=tuple(carried),
        ca1_in=ca1,
        area_in2=min(width * min(reach, body.deep_in), len(part) * single),
        single_in2=single,
        psi_ed=near_edge(min(left, right), reach),
        psi_c=body.edge_factor if body.cracked else 1.4,
        psi_h=max(1.0, math.sqrt(reach / body.deep_in)),
        basic_lb=basic_shear_lb(ca1, body.hef_in, body.diameter_in, body.fc_psi, body.light),
    )
