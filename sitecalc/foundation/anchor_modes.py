"""Every way an anchorage can fail under one wind: demand and design strength of each leg, group, row."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Literal

from sitecalc.checks import Step
from sitecalc.foundation.anchor_case import AnchorageCase, Block, blocks, steels
from sitecalc.foundation.anchor_layout import legs, toward
from sitecalc.foundation.anchor_loads import Blow, BoltForce
from sitecalc.foundation.anchor_reinforcement import PHI as REINFORCEMENT_PHI
from sitecalc.foundation.anchor_reinforcement import reinforcement_kip, reinforcement_steps
from sitecalc.foundation.anchor_shear import ShearRow, shear_rows
from sitecalc.foundation.anchor_strength import futa_ksi, pullout_lb
from sitecalc.foundation.anchor_tension import (
    Blowout,
    Embedded,
    TensionGroup,
    blowouts,
    clusters,
    tension_group,
)

PHI_PULLOUT = 0.70
SEISMIC = 0.75
GROUT = 0.80
Way = Literal["tension", "shear"]
EDGE_FACTORS = {"none": 1.0, "#4 or more": 1.2, "#4 or more, stirrups 4 in apart": 1.4}


@dataclass(frozen=True)
class Found:
    """One demand against one design strength, kip; ``steps`` are only written out for what governs."""

    key: str
    way: Way
    demand: float
    strength: float
    where: str
    legs: frozenset[str]
    steps: Callable[[], tuple[Step, ...]]

    @property
    def ratio(self) -> float:
        return self.demand / self.strength if self.strength > 0 else math.inf


@dataclass
class Modes:
    """What does not change with the wind is worked out once: bodies, rows, groups by who is pulled."""

    case: AnchorageCase
    bodies: tuple[Block, ...] = ()
    _groups: dict[tuple[int, tuple[int, ...]], TensionGroup] = field(default_factory=dict)
    _rows: list[list[ShearRow]] = field(default_factory=list)
    _blowouts: list[list[Blowout]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.bodies = blocks(self.case)
        for body in self.bodies:
            spots = [(b.x_in, b.y_in) for b in body.bolts]
            self._rows.append(shear_rows(self._embedded(body), spots))
            self._blowouts.append(list(blowouts(self._embedded(body), spots, self.case.bearing_in2)))
        self._bearings = {leg.name: leg.bearing_deg for leg in legs(self.case.layout)}

    # --- factors ------------------------------------------------------------------------------

    @property
    def steel_tension_kip(self) -> float:
        """phi Nsa of one bolt."""
        steel = steels()[self.case.grade]
        phi = 0.75 if steel.ductile else 0.65
        return phi * self.case.bolt.stress_area_in2 * futa_ksi(steel.yield_ksi, steel.tensile_ksi)

    @property
    def steel_shear_kip(self) -> float:
        """phi Vsa of one bolt: 0.6 Ase futa, 0.8 of it over grout or leveling nuts."""
        steel = steels()[self.case.grade]
        phi = 0.65 if steel.ductile else 0.60
        seat = 1.0 if self.case.seat == "on concrete" else GROUT
        return (
            seat * phi * 0.6 * self.case.bolt.stress_area_in2 * futa_ksi(steel.yield_ksi, steel.tensile_ksi)
        )

    @property
    def phi_breakout(self) -> float:
        return 0.75 if self.case.supplementary else 0.70

    @property
    def seismic(self) -> float:
        """17.10.5.4: 0.75 on the strengths of concrete in tension; here on every combination."""
        return SEISMIC if self.case.seismic else 1.0

    @property
    def pullout_kip(self) -> float:
        nominal = pullout_lb(self.case.bearing_in2, self.case.fc_psi, cracked=self.case.cracked)
        return self.seismic * PHI_PULLOUT * nominal / 1000

    def _embedded(self, body: Block) -> Embedded:
        case = self.case
        return Embedded(
            body.polygon,
            body.deep_in,
            case.fc_psi,
            case.embedment_in,
            case.bolt.diameter_in,
            case.light,
            case.cracked,
            edge_factor=EDGE_FACTORS[case.edge_bars],
        )

    # --- under one wind -----------------------------------------------------------------------

    def under(self, blow: Blow) -> Iterator[Found]:
        """Every demand that this wind makes."""
        by_mark = {f.bolt.mark: f for f in blow.forces}
        yield from self._bolts(blow.forces)
        for index, body in enumerate(self.bodies):
            forces = [by_mark[b.mark] for b in body.bolts]
            yield from self._pulled(index, forces)
            yield from self._burst(index, forces)
            yield from self._pushed(index, forces)
            yield from self._pried(index, forces)

    def _bolts(self, forces: tuple[BoltForce, ...]) -> Iterator[Found]:
        """The most pulled and the most pushed bolt of each leg."""
        for leg in sorted({f.bolt.leg for f in forces}):
            own = [f for f in forces if f.bolt.leg == leg]
            pulled = max(own, key=lambda f: f.tension)
            most = pulled.tension * self.case.prying
            if most > 0:
                yield self._one("anchor-steel-tension", "tension", pulled, most, self.steel_tension_kip)
                yield self._one("anchor-pullout", "tension", pulled, most, self.pullout_kip)
            pushed = max(own, key=lambda f: f.shear)
            if pushed.shear > 0:
                yield self._one("anchor-steel-shear", "shear", pushed, pushed.shear, self.steel_shear_kip)

    def _one(self, key: str, way: Way, force: BoltForce, demand: float, strength: float) -> Found:
        where = f"bolt {force.bolt.mark}"
        if force.bolt.leg:
            where += f", leg toward {toward(self._bearings[force.bolt.leg])}"
        return Found(
            key, way, demand, strength, where, frozenset({force.bolt.leg}), lambda: self._bolt_steps(key)
        )

    def _pulled(self, index: int, forces: list[BoltForce]) -> Iterator[Found]:
        """Groups that are less than 3 hef apart break out together; each leg's is asked for alone too."""
        pulled = [i for i, f in enumerate(forces) if f.tension > 1e-9]
        if not pulled:
            return
        for members in self._groupings(forces, pulled):
            spots = [(forces[i].bolt.x_in, forces[i].bolt.y_in) for i in members]
            group = self._groups.get((index, members))
            if group is None:
                group = tension_group(self._embedded(self.bodies[index]), spots)
                self._groups[(index, members)] = group
            tensions = [forces[i].tension * self.case.prying for i in members]
            held = frozenset(forces[i].bolt.leg for i in members)
            tied = self.case.reinforcement
            if tied is not None:
                strength = reinforcement_kip(tied) * len(held)
                steps = partial(reinforcement_steps, tied, len(held))
            else:
                phi = self.seismic * self.phi_breakout
                strength = phi * group.strength_lb(tensions) / 1000
                steps = partial(group.steps, tensions, phi)
            yield Found(
                "anchor-breakout-tension",
                "tension",
                sum(tensions),
                strength,
                self._legs_said(held),
                held,
                steps,
            )

    def _groupings(self, forces: list[BoltForce], pulled: list[int]) -> set[tuple[int, ...]]:
        spots = [(forces[i].bolt.x_in, forces[i].bolt.y_in) for i in pulled]
        together = {tuple(pulled[i] for i in c) for c in clusters(spots, 3 * self.case.embedment_in)}
        alone = {
            tuple(i for i in pulled if forces[i].bolt.leg == leg)
            for leg in {forces[i].bolt.leg for i in pulled}
        }
        return together | alone

    def _burst(self, index: int, forces: list[BoltForce]) -> Iterator[Found]:
        phi = self.seismic * self.phi_breakout
        for b in self._blowouts[index]:
            demand = sum(max(0.0, forces[i].tension) for i in b.spots) * self.case.prying
            if demand > 0:
                held = frozenset(forces[i].bolt.leg for i in b.spots)
                marks = " and ".join(forces[i].bolt.mark for i in b.spots)
                where = f"bolt{'s' if len(b.spots) > 1 else ''} {marks} at the {b.edge} edge"
                yield Found(
                    "anchor-blowout",
                    "tension",
                    demand,
                    phi * b.strength_lb / 1000,
                    where,
                    held,
                    partial(b.steps, phi),
                )

    def _pushed(self, index: int, forces: list[BoltForce]) -> Iterator[Found]:
        phi = 0.75 if self.case.supplementary else 0.70
        for row in self._rows[index]:
            nx, ny = row.edge.normal
            out = [forces[i].east * nx + forces[i].north * ny for i in row.carried]
            along = sum(abs(forces[i].north * nx - forces[i].east * ny) for i in row.carried)
            held = frozenset(forces[i].bolt.leg for i in row.spots)
            toward_edge = sum(max(0.0, v) for v in out)
            if toward_edge > 1e-9:
                off = _off(row, forces)
                yield Found(
                    "anchor-breakout-shear", "shear", toward_edge, phi * row.strength_lb(off) / 1000,
                    f"toward the {row.edge.name} edge", held, partial(row.steps, off, phi, along=False),
                )  # fmt: skip
            if along > 1e-9:
                yield Found(
                    "anchor-breakout-shear", "shear", along, phi * row.parallel_lb / 1000,
                    f"along the {row.edge.name} edge", held, partial(row.steps, 0.0, phi, along=True),
                )  # fmt: skip

    def _pried(self, index: int, forces: list[BoltForce]) -> Iterator[Found]:
        """Vcpg = kcp Ncbg of all bolts that carry shear, by leg and together (17.7.3)."""
        kcp = 2.0 if self.case.embedment_in >= 2.5 else 1.0
        everyone = [i for i, f in enumerate(forces) if f.shear > 1e-9]
        if not everyone:
            return
        for members in self._groupings(forces, everyone):
            spots = [(forces[i].bolt.x_in, forces[i].bolt.y_in) for i in members]
            group = self._groups.get((index, members))
            if group is None:
                group = tension_group(self._embedded(self.bodies[index]), spots)
                self._groups[(index, members)] = group
            shears = [forces[i].shear for i in members]
            held = frozenset(forces[i].bolt.leg for i in members)
            strength = PHI_PULLOUT * kcp * group.strength_lb(shears) / 1000
            yield Found(
                "anchor-pryout", "shear", sum(shears), strength, self._legs_said(held), held,
                partial(_pryout_steps, group, shears, kcp),
            )  # fmt: skip

    def weakest_concrete_kip(self, pullout: float) -> tuple[float, str]:
        """Nominal strength of the concrete per bolt with every bolt of a leg pulled alike, and its mode."""
        found = [(pullout, "pullout")]
        for index, body in enumerate(self.bodies):
            for leg in sorted({b.leg for b in body.bolts}):
                spots = [(b.x_in, b.y_in) for b in body.bolts if b.leg == leg]
                group = tension_group(self._embedded(body), spots)
                if self.case.reinforcement is None:
                    found.append((group.concentric_lb / 1000 / len(spots), "breakout"))
            for b in self._blowouts[index]:
                found.append((b.strength_lb / 1000 / len(b.spots), "side-face blowout"))
        if self.case.reinforcement is not None:
            nominal = reinforcement_kip(self.case.reinforcement) / REINFORCEMENT_PHI
            found.append((nominal / self.case.layout.bolts, "anchor reinforcement"))
        return min(found)

    # --- words --------------------------------------------------------------------------------

    def _legs_said(self, held: frozenset[str]) -> str:
        if held == {""}:
            return "ring of bolts"
        said = " and ".join(toward(self._bearings[name]) for name in sorted(held))
        return f"leg toward {said}" if len(held) == 1 else f"legs toward {said}"

    def _bolt_steps(self, key: str) -> tuple[Step, ...]:
        case, steel = self.case, steels()[self.case.grade]
        futa, area = futa_ksi(steel.yield_ksi, steel.tensile_ksi), case.bolt.stress_area_in2
        if key == "anchor-pullout":
            words = f"{self.seismic * PHI_PULLOUT:.4g} x 8 x {case.bearing_in2:.3f} x {case.fc_psi:,.0f}"
            return (
                Step("Abrg", "net bearing area", "head less bolt", "", case.bearing_in2, "in2"),
                Step("phi Npn", "design strength", "phi 8 Abrg f'c", words, self.pullout_kip, "kip"),
            )
        tension = key == "anchor-steel-tension"
        value = self.steel_tension_kip if tension else self.steel_shear_kip
        formula = "phi Ase futa" if tension else "phi 0.6 Ase futa, 0.8 over grout or leveling nuts"
        return (
            Step("futa", "strength of the steel", "min(fu, 1.9 fy, 125)", "", futa, "ksi"),
            Step("phi Nsa" if tension else "phi Vsa", "design strength", formula,
                 f"Ase {area:g} in2", value, "kip"),
        )  # fmt: skip


def _off(row: ShearRow, forces: list[BoltForce]) -> float:
    """e'V: from the middle of the row to the resultant of its shear, along the edge."""
    nx, ny = row.edge.normal
    out = [max(0.0, forces[i].east * nx + forces[i].north * ny) for i in row.spots]
    at = [forces[i].bolt.y_in * nx - forces[i].bolt.x_in * ny for i in row.spots]
    total = sum(out)
    if total <= 0:
        return 0.0
    return abs(sum(v * a for v, a in zip(out, at, strict=True)) / total - sum(at) / len(at))


def _pryout_steps(group: TensionGroup, shears: list[float], kcp: float) -> tuple[Step, ...]:
    nominal = group.strength_lb(shears) / 1000
    return (
        *group.steps(shears, 1.0)[:-1],
        Step("phi Vcpg", "design strength", "phi kcp Ncbg", f"{PHI_PULLOUT} x {kcp:g} x {nominal:.1f}",
             PHI_PULLOUT * kcp * nominal, "kip"),
    )  # fmt: skip
