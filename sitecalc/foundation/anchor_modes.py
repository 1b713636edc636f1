"""Every way an anchorage can fail in every wind: demand and design strength of each leg, group, row."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sitecalc.checks import Step
from sitecalc.formula import Formula
from sitecalc.foundation.anchor_asked import Asked, Way
from sitecalc.foundation.anchor_case import AnchorageCase, Block, blocks, steels
from sitecalc.foundation.anchor_layout import Bolt, legs, toward
from sitecalc.foundation.anchor_loads import Blows, pull_steps
from sitecalc.foundation.anchor_reinforcement import PHI as REINFORCEMENT_PHI
from sitecalc.foundation.anchor_reinforcement import reinforcement_kip, reinforcement_steps
from sitecalc.foundation.anchor_shear import ShearRow, shear_rows
from sitecalc.foundation.anchor_strength import pullout
from sitecalc.foundation.anchor_tension import (
    Blowout,
    Embedded,
    TensionGroup,
    blowouts,
    clusters,
    tension_group,
)
from sitecalc.foundation.ring import Floats

PHI_PULLOUT = 0.70
SEISMIC = 0.75
GROUT = 0.80
STEEL_TENSION = Formula("phi Nsa", "design strength", "phi*Ase*futa", "kip")
STEEL_SHEAR = Formula(
    "phi Vsa",
    "design strength; seat 0.8 over grout or leveling nuts, 17.7.1.2.1",
    "seat*phi*0.6*Ase*futa",
    "kip",
)
PULLOUT_DESIGN = Formula("phi Npn", "design strength; ks 0.75 in an earthquake", "ks*0.7*Npn/1000", "kip")
PRYOUT_DESIGN = Formula("phi Vcpg", "design strength", "0.7*kcp*Ncbg", "kip")
Rows = NDArray[np.intp]
EDGE_FACTORS = {"none": 1.0, "#4 or more": 1.2, "#4 or more, stirrups 4 in apart": 1.4}


@dataclass(frozen=True)
class _Group:
    """Bolts of one body, by their places in it, that break out together, and the legs they hold."""

    members: list[int]
    held: frozenset[str]
    body: TensionGroup


@dataclass
class Modes:
    """What does not change with the wind is worked out once: bodies, rows, groups by who is pulled."""

    case: AnchorageCase
    bodies: tuple[Block, ...] = ()
    _groups: dict[tuple[int, tuple[int, ...]], _Group] = field(default_factory=dict)
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
    def steel_tension(self) -> Step:
        """phi Nsa of one bolt, kip."""
        steel = steels()[self.case.grade]
        phi = 0.75 if steel.ductile else 0.65
        return STEEL_TENSION.step(phi=phi, Ase=self.case.bolt.stress_area_in2, futa=steel.futa.value)

    @property
    def steel_shear(self) -> Step:
        """phi Vsa of one bolt, kip: 0.6 Ase futa, 0.8 of it over grout or leveling nuts."""
        steel = steels()[self.case.grade]
        phi = 0.65 if steel.ductile else 0.60
        seat = 1.0 if self.case.seat == "on concrete" else GROUT
        return STEEL_SHEAR.step(seat=seat, phi=phi, Ase=self.case.bolt.stress_area_in2, futa=steel.futa.value)

    @property
    def phi_breakout(self) -> float:
        return 0.75 if self.case.supplementary else 0.70

    @property
    def seismic(self) -> float:
        """17.10.5.4: 0.75 on the strengths of concrete in tension; here on every combination."""
        return SEISMIC if self.case.seismic else 1.0

    @property
    def nominal_pullout(self) -> Step:
        """Npn of one bolt, lb."""
        return pullout(self.case.bearing_in2, self.case.fc_psi, cracked=self.case.cracked)

    @property
    def pullout(self) -> Step:
        """phi Npn of one bolt, kip."""
        return PULLOUT_DESIGN.step(ks=self.seismic, Npn=self.nominal_pullout.value)

    def _embedded(self, body: Block) -> Embedded:
        case = self.case
        return Embedded(
            polygon=body.polygon,
            deep_in=body.deep_in,
            fc_psi=case.fc_psi,
            hef_in=case.embedment_in,
            diameter_in=case.bolt.diameter_in,
            light=case.light,
            cracked=case.cracked,
            edge_factor=EDGE_FACTORS[case.edge_bars],
        )

    # --- in every wind ------------------------------------------------------------------------

    def asked(self, found: Blows) -> list[Asked]:
        """Every mode that anything is asked of."""
        modes = self._bolts(found)
        place = {bolt.mark: i for i, bolt in enumerate(found.standing)}
        for index, body in enumerate(self.bodies):
            at = [place[b.mark] for b in body.bolts]
            east, north = found.east[:, at], found.north[:, at]
            pulled = np.maximum(found.tension[:, at], 0.0) * self.case.prying
            modes.append(self._pulled(index, pulled))
            modes.append(self._burst(index, pulled))
            modes += self._pushed(index, east, north)
            modes.append(self._pried(index, found.shear[:, at]))
        return [mode for mode in modes if mode.demand.any()]

    def _bolts(self, found: Blows) -> list[Asked]:
        """The most pulled and the most pushed bolt of each leg."""
        names = sorted({b.leg for b in found.standing})
        columns = [[i for i, b in enumerate(found.standing) if b.leg == name] for name in names]
        held = tuple(frozenset({name}) for name in names)

        def most(key: str, way: Way, forces: Floats, strength: float) -> Asked:
            at = np.stack([np.array(own)[forces[:, own].argmax(axis=1)] for own in columns], axis=1)
            demand = np.maximum(np.take_along_axis(forces, at, axis=1), 0.0)
            return Asked(
                key=key,
                way=way,
                demand=demand,
                strength=np.full_like(demand, strength),
                held=held,
                where=lambda row, column: self._bolt_said(found.standing[at[row, column]]),
                steps=lambda row, column: self._bolt_steps(key, found, row, int(at[row, column])),
            )

        tension = found.tension * self.case.prying
        return [
            most("anchor-steel-tension", "tension", tension, self.steel_tension.value),
            most("anchor-pullout", "tension", tension, self.pullout.value),
            most("anchor-steel-shear", "shear", found.shear, self.steel_shear.value),
        ]

    def _pulled(self, index: int, pulled: Floats) -> Asked:
        """Groups that are less than 3 hef apart break out together; each leg's is asked for alone too."""
        tied, phi = self.case.reinforcement, self.seismic * self.phi_breakout
        if tied is not None:
            return self._of_groups(
                "anchor-breakout-tension",
                "tension",
                index,
                pulled,
                lambda of, _forces: np.float64(reinforcement_kip(tied) * len(of.held)),
                lambda of, _forces: reinforcement_steps(tied, len(of.held)),
            )
        return self._of_groups(
            "anchor-breakout-tension",
            "tension",
            index,
            pulled,
            lambda of, forces: phi * of.body.strength_lb(forces) / 1000,
            lambda of, forces: of.body.design_steps(forces, phi),
        )

    def _pried(self, index: int, shear: Floats) -> Asked:
        """Vcpg = kcp Ncbg of all bolts that carry shear, by leg and together (17.7.3)."""
        kcp = 2.0 if self.case.embedment_in >= 2.5 else 1.0
        return self._of_groups(
            "anchor-pryout",
            "shear",
            index,
            shear,
            lambda of, forces: PHI_PULLOUT * kcp * of.body.strength_lb(forces) / 1000,
            lambda of, forces: _pryout_steps(of.body, forces, kcp),
        )

    def _of_groups(
        self,
        key: str,
        way: Way,
        index: int,
        forces: Floats,
        strength_of: Callable[[_Group, Floats], Floats | np.float64],
        steps_of: Callable[[_Group, Floats], tuple[Step, ...]],
    ) -> Asked:
        asked = self._grouped(index, forces)
        groups = [self._group(index, members) for members in asked]
        demand, strength = (np.full((len(forces), len(asked)), fill) for fill in (0.0, 1.0))
        for column, (group, rows) in enumerate(zip(groups, asked.values(), strict=True)):
            own = forces[rows][:, group.members]
            demand[rows, column] = own.sum(axis=1)
            strength[rows, column] = strength_of(group, own)
        return Asked(
            key=key,
            way=way,
            demand=demand,
            strength=strength,
            held=tuple(group.held for group in groups),
            where=lambda _row, column: self._legs_said(groups[column].held),
            steps=lambda row, column: steps_of(groups[column], forces[row, groups[column].members]),
        )

    def _grouped(self, index: int, forces: Floats) -> dict[tuple[int, ...], Rows]:
        """Groups of bolts that carry anything, with the winds in which they do so together."""
        loaded, which = np.unique(forces > 1e-9, axis=0, return_inverse=True)
        asked: dict[tuple[int, ...], list[Rows]] = {}
        for k, pattern in enumerate(loaded):
            if not pattern.any():
                continue
            rows = np.flatnonzero(which.ravel() == k)
            for members in self._groupings(index, [int(i) for i in np.flatnonzero(pattern)]):
                asked.setdefault(members, []).append(rows)
        return {members: np.concatenate(rows) for members, rows in asked.items()}

    def _groupings(self, index: int, loaded: list[int]) -> list[tuple[int, ...]]:
        standing = self.bodies[index].bolts
        spots = [(standing[i].x_in, standing[i].y_in) for i in loaded]
        together = [tuple(loaded[i] for i in c) for c in clusters(spots, 3 * self.case.embedment_in)]
        alone: dict[str, list[int]] = {}
        for i in loaded:
            alone.setdefault(standing[i].leg, []).append(i)
        return list(dict.fromkeys([*together, *map(tuple, alone.values())]))

    def _group(self, index: int, members: tuple[int, ...]) -> _Group:
        group = self._groups.get((index, members))
        if group is None:
            body = self.bodies[index]
            spots = [(body.bolts[i].x_in, body.bolts[i].y_in) for i in members]
            group = _Group(
                list(members), self._held(index, members), tension_group(self._embedded(body), spots)
            )
            self._groups[(index, members)] = group
        return group

    def _held(self, index: int, members: Iterable[int]) -> frozenset[str]:
        return frozenset(self.bodies[index].bolts[i].leg for i in members)

    def _burst(self, index: int, pulled: Floats) -> Asked:
        phi, found, standing = (
            self.seismic * self.phi_breakout,
            self._blowouts[index],
            self.bodies[index].bolts,
        )
        within = np.zeros((pulled.shape[1], len(found)))
        for column, b in enumerate(found):
            within[list(b.spots), column] = 1.0
        demand = pulled @ within
        strength = np.array([phi * b.strength_lb / 1000 for b in found])

        def where(_row: int, column: int) -> str:
            b = found[column]
            marks = " and ".join(standing[i].mark for i in b.spots)
            return f"bolt{'s' if len(b.spots) > 1 else ''} {marks} at the {b.edge} edge"

        return Asked(
            key="anchor-blowout",
            way="tension",
            demand=demand,
            strength=np.broadcast_to(strength, demand.shape),
            held=tuple(self._held(index, b.spots) for b in found),
            where=where,
            steps=lambda row, column: found[column].steps(phi),
        )

    def _pushed(self, index: int, east: Floats, north: Floats) -> list[Asked]:
        """Every row toward its edge and along it."""
        phi, rows = 0.75 if self.case.supplementary else 0.70, self._rows[index]
        held = tuple(self._held(index, row.spots) for row in rows)
        toward_edge, along, off = (np.zeros((len(east), len(rows))) for _ in range(3))
        standing = self.bodies[index].bolts
        x, y = (np.array(at) for at in zip(*((b.x_in, b.y_in) for b in standing), strict=True))
        for column, row in enumerate(rows):
            nx, ny = row.edge.normal
            own, carried = list(row.spots), list(row.carried)
            out = np.maximum(east * nx + north * ny, 0.0)
            toward_edge[:, column] = out[:, carried].sum(axis=1)
            along[:, column] = np.abs(north * nx - east * ny)[:, carried].sum(axis=1)
            off[:, column] = _off(out[:, own], (y * nx - x * ny)[own])
        toward_edge[toward_edge <= 1e-9] = along[along <= 1e-9] = 0.0
        across = [phi * row.strength_lb(off[:, k]) / 1000 for k, row in enumerate(rows)]
        parallel = np.array([phi * row.parallel_lb / 1000 for row in rows])
        return [
            Asked(
                key="anchor-breakout-shear",
                way="shear",
                demand=toward_edge,
                strength=np.stack(across, axis=1),
                held=held,
                where=lambda _row, k: f"toward the {rows[k].edge.name} edge",
                steps=lambda row, k: rows[k].steps(float(off[row, k]), phi, along=False),
            ),
            Asked(
                key="anchor-breakout-shear",
                way="shear",
                demand=along,
                strength=np.broadcast_to(parallel, along.shape),
                held=held,
                where=lambda _row, k: f"along the {rows[k].edge.name} edge",
                steps=lambda _row, k: rows[k].steps(0.0, phi, along=True),
            ),
        ]

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

    def _bolt_said(self, bolt: Bolt) -> str:
        leg = f", leg toward {toward(self._bearings[bolt.leg])}" if bolt.leg else ""
        return f"bolt {bolt.mark}{leg}"

    def _legs_said(self, held: frozenset[str]) -> str:
        if held == {""}:
            return "ring of bolts"
        said = " and ".join(toward(self._bearings[name]) for name in sorted(held))
        return f"leg toward {said}" if len(held) == 1 else f"legs toward {said}"

    def _bolt_steps(self, key: str, found: Blows, row: int, column: int) -> tuple[Step, ...]:
        if key == "anchor-steel-shear":
            return (steels()[self.case.grade].futa, self.steel_shear)
        pull = pull_steps(self.case.layout, found, row, column, self.case.prying)
        if key == "anchor-pullout":
            return (*pull, self.case.bearing, self.nominal_pullout, self.pullout)
        return (*pull, steels()[self.case.grade].futa, self.steel_tension)


def _off(out: Floats, at: Floats) -> Floats:
    """e'V of each wind: from the middle of the row to the resultant of its shear, along the edge."""
    total = out.sum(axis=1)
    pushed = total > 0
    middle = out @ at / np.where(pushed, total, 1.0)
    found: Floats = np.where(pushed, np.abs(middle - at.mean()), 0.0)
    return found


def _pryout_steps(group: TensionGroup, shears: Floats, kcp: float) -> tuple[Step, ...]:
    steps = group.steps(shears)
    return (*steps, PRYOUT_DESIGN.step(kcp=kcp, Ncbg=steps[-1].value))
