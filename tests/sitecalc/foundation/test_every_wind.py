"""All winds at once against one plain loop over winds, bolts, groups and rows, one number at a time."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.foundation.anchor_case import AnchorageCase, AnchorReinforcement, blocks
from sitecalc.foundation.anchor_layout import AnchorLayout, bolts, legs
from sitecalc.foundation.anchor_loads import both_turns, directions
from sitecalc.foundation.anchor_modes import Modes
from sitecalc.foundation.anchor_reinforcement import reinforcement_kip
from sitecalc.foundation.anchor_shear import shear_rows
from sitecalc.foundation.anchor_tension import Embedded, blowouts, clusters, tension_group
from sitecalc.foundation.anchorage import check_anchorage
from sitecalc.foundation.loads import BaseLoads, strength

FOUR = AnchorageCase(
    layout=AnchorLayout(legs=4, spacing_ft=8.0, bolts=4, pattern_in=8.0),
    loads=strength(BaseLoads(dead_kip=12, moment_kip_ft=520, shear_kip=7)),
    side_ft=17.0,
    thickness_ft=4.0,
    foot="plate under each",
    seismic_category="A",
)
TWISTED = replace(
    FOUR, loads=strength(BaseLoads(dead_kip=12, moment_kip_ft=520, shear_kip=7, torsion_kip_ft=15))
)
Asked = tuple[str, bool, float, float, frozenset[str]]  # mode, whether in tension, demand, strength, legs


class Plain:
    """The same rules with nothing but loops and math."""

    def __init__(self, case: AnchorageCase) -> None:
        self.case, self.modes = case, Modes(case)
        self.bolts = bolts(case.layout)
        self.groups: dict[tuple[int, tuple[int, ...]], object] = {}
        self.bodies = []
        for block in blocks(case):
            body = Embedded(
                polygon=block.polygon,
                deep_in=block.deep_in,
                fc_psi=case.fc_psi,
                hef_in=case.embedment_in,
                diameter_in=case.bolt.diameter_in,
            )
            spots = [(b.x_in, b.y_in) for b in block.bolts]
            rows, bursts = shear_rows(body, spots), list(blowouts(body, spots, case.bearing_in2))
            self.bodies.append((body, [self.bolts.index(b) for b in block.bolts], rows, bursts))

    def worst(self) -> dict[str, float]:
        """Highest ratio of each mode, and the highest sum of 17.8."""
        found: dict[str, float] = {}
        for load in both_turns(self.case.loads):
            for wind in directions(self.case.layout):
                asked = list(self.asked(self.forces(load, math.radians(wind))))
                for key, _tension, demand, capacity, _legs in asked:
                    found[key] = max(found.get(key, 0.0), demand / capacity)
                found["anchor-interaction"] = max(found.get("anchor-interaction", 0.0), self.both(asked))
        return found

    def both(self, asked: list[Asked]) -> float:
        sums = [0.0]
        for leg in {b.leg for b in self.bolts}:
            tension, shear = (
                max((d / s for _key, way, d, s, held in asked if way is pulls and leg in held), default=0.0)
                for pulls in (True, False)
            )
            if tension > 0.2 and shear > 0.2:
                sums.append(tension + shear)
        return max(sums) / 1.2

    def forces(self, load, bearing: float) -> list[tuple[float, float, float]]:
        """(tension, east, north): M y / sum(y^2) - P / n; even shear; torsion by T r / sum(r^2)."""
        tube = self.case.layout.legs == 1
        spots = self.bolts if tube else legs(self.case.layout)
        each = 1 if tube else self.case.layout.bolts
        east, north = -math.sin(bearing), -math.cos(bearing)
        lee = [s.x_in * east + s.y_in * north for s in spots]
        squares = sum(y * y for y in lee)
        around = sum(s.x_in**2 + s.y_in**2 for s in spots)
        found = []
        for s, y in zip(spots, lee, strict=True):
            turn = load.torsion_kip_ft * 12 / around
            force = (
                -load.moment_kip_ft * 12 * y / squares - load.vertical_kip / len(spots),
                load.shear_kip * east / len(spots) - turn * s.y_in,
                load.shear_kip * north / len(spots) + turn * s.x_in,
            )
            found += [tuple(part / each for part in force)] * each
        return found

    def asked(self, forces) -> Iterator[Asked]:
        case, modes = self.case, self.modes
        for bolt, (pull, east, north) in zip(self.bolts, forces, strict=True):
            held = frozenset({bolt.leg})
            if pull > 0:
                yield "anchor-steel-tension", True, pull * case.prying, modes.steel_tension.value, held
                yield "anchor-pullout", True, pull * case.prying, modes.pullout.value, held
            yield "anchor-steel-shear", False, math.hypot(east, north), modes.steel_shear.value, held
        for at, (body, members, rows, bursts) in enumerate(self.bodies):
            own = [forces[i] for i in members]
            pulls = [max(0.0, f[0]) * case.prying for f in own]
            pushes = [math.hypot(f[1], f[2]) for f in own]
            phi = modes.seismic * 0.70
            for group, held, loads in self.grouped(at, body, members, pulls):
                holds = phi * float(group.strength_lb(loads)) / 1000
                if case.reinforcement is not None:
                    holds = reinforcement_kip(case.reinforcement) * len(held)
                yield "anchor-breakout-tension", True, sum(loads), holds, held
            for group, held, loads in self.grouped(at, body, members, pushes):
                yield (
                    "anchor-pryout",
                    False,
                    sum(loads),
                    2 * 0.70 * float(group.strength_lb(loads)) / 1000,
                    held,
                )
            for b in bursts:
                held = frozenset(self.bolts[members[i]].leg for i in b.spots)
                yield "anchor-blowout", True, sum(pulls[i] for i in b.spots), phi * b.strength_lb / 1000, held
            for row in rows:
                held = frozenset(self.bolts[members[i]].leg for i in row.spots)
                nx, ny = row.edge.normal
                out = [max(0.0, f[1] * nx + f[2] * ny) for f in own]
                side = [abs(f[2] * nx - f[1] * ny) for f in own]
                yield (
                    "anchor-breakout-shear", False, sum(side[i] for i in row.carried),
                    0.70 * row.parallel_lb / 1000, held,
                )  # fmt: skip
                toward_edge = sum(out[i] for i in row.carried)
                if toward_edge <= 1e-9:
                    continue
                places = [
                    self.bolts[members[i]].y_in * nx - self.bolts[members[i]].x_in * ny for i in row.spots
                ]
                pushed, off = [out[i] for i in row.spots], 0.0
                if sum(pushed) > 0:
                    middle = sum(v * p for v, p in zip(pushed, places, strict=True)) / sum(pushed)
                    off = abs(middle - sum(places) / len(places))
                yield "anchor-breakout-shear", False, toward_edge, 0.70 * row.strength_lb(off) / 1000, held

    def grouped(self, at, body, members, loads):
        """Clusters of what is loaded, and each leg's alone."""
        loaded = [i for i, load in enumerate(loads) if load > 1e-9]
        if not loaded:
            return
        spots = [(self.bolts[members[i]].x_in, self.bolts[members[i]].y_in) for i in loaded]
        groups = {tuple(loaded[i] for i in c) for c in clusters(spots, 3 * self.case.embedment_in)}
        for leg in {self.bolts[members[i]].leg for i in loaded}:
            groups.add(tuple(i for i in loaded if self.bolts[members[i]].leg == leg))
        for group in groups:
            if (at, group) not in self.groups:
                places = [(self.bolts[members[i]].x_in, self.bolts[members[i]].y_in) for i in group]
                self.groups[at, group] = tension_group(body, places)
            held = frozenset(self.bolts[members[i]].leg for i in group)
            yield self.groups[at, group], held, [loads[i] for i in group]


def judged(case: AnchorageCase) -> dict[str, float]:
    """Ratios; of what asks nothing of these bolts, nothing."""
    checks = check_anchorage(case).checks
    unasked = {c.key: 0.0 for c in checks if c.verdict is Verdict.DOES_NOT_APPLY}
    return unasked | {c.key: c.ratio for c in checks if c.ratio is not None}


def agree(case: AnchorageCase) -> None:
    mine = judged(case)
    for key, ratio in Plain(case).worst().items():
        assert mine[key] == pytest.approx(ratio, rel=1e-9, abs=1e-12), key


@pytest.mark.parametrize(
    "case",
    [
        FOUR,
        TWISTED,
        replace(
            TWISTED,
            layout=AnchorLayout(legs=3, spacing_ft=8.0, bolts=6, pattern="circle", pattern_in=10),
            side_ft=20.0,
        ),
        replace(
            FOUR,
            layout=AnchorLayout(legs=4, spacing_ft=7.3, bolts=8, pattern_in=12, first_deg=17.0),
            seismic_category="D",
        ),
        replace(FOUR, layout=AnchorLayout(legs=1, spacing_ft=3.0, bolts=12), outline="octagon"),
        replace(TWISTED, layout=AnchorLayout(legs=1, spacing_ft=9.0, bolts=40)),
        replace(TWISTED, thickness_ft=6.0, embedment_in=60.0, prying=1.3),
        replace(
            TWISTED,
            pedestals="one under each leg",
            pedestal_side_ft=2.5,
            pedestal_height_ft=2.0,
            embedment_in=40.0,
        ),
        replace(
            TWISTED,
            layout=AnchorLayout(legs=1, spacing_ft=4.0, bolts=24),
            pedestals="one under all",
            pedestal_side_ft=7.0,
            pedestal_round=True,
            pedestal_height_ft=2.0,
            embedment_in=40.0,
        ),
        replace(
            FOUR, reinforcement=AnchorReinforcement(size="#6", count=8, away_in=5.0, top_in=3.0, foot_in=44.0)
        ),
        replace(FOUR, loads=strength(BaseLoads(dead_kip=400, moment_kip_ft=30, shear_kip=2))),
    ],
    ids=lambda case: f"{case.layout.legs} x {case.layout.bolts}, {case.pedestals}",
)
def test_all_winds_at_once_find_what_a_plain_loop_finds(case) -> None:
    agree(case)


@settings(max_examples=12, deadline=None)
@given(
    legs_=st.sampled_from([1, 3, 4]),
    first=st.floats(0, 90),
    moment=st.floats(0, 900),
    torsion=st.sampled_from([0.0, 12.0]),
    hef=st.floats(12, 44),
    outline=st.sampled_from(["rectangle", "octagon", "circle"]),
)
def test_any_layout_alike(legs_, first, moment, torsion, hef, outline) -> None:
    layout = AnchorLayout(
        legs=legs_, spacing_ft=5.0, bolts=6, pattern="circle", pattern_in=12.0, first_deg=first
    )
    loads = strength(BaseLoads(dead_kip=10, moment_kip_ft=moment, shear_kip=6, torsion_kip_ft=torsion))
    agree(replace(FOUR, layout=layout, loads=loads, embedment_in=hef, outline=outline))
