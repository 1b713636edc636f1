"""What stands on the pad pressing on its concrete, and a pedestal's own section with its dowels.

ACI 318-19, 22.8.3 (bearing), 16.3.4.1 (least dowels), 22.4 and 22.2 (section under load and moment).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.anchor_feet import through_bolts
from sitecalc.foundation.flexure import CRUSHING, STEEL_KSI, beta1
from sitecalc.foundation.loads import StrengthLoad, strength
from sitecalc.foundation.pad import base_loads
from sitecalc.foundation.pad_forces import Factored
from sitecalc.foundation.ring import Floats, edges
from sitecalc.foundation.strength_case import Stand, StrengthCase
from sitecalc.foundation.tables import bars

BEARING_RULE = "ACI 318-19, table 22.8.3.2"
DOWEL_RULE = "ACI 318-19, 16.3.4.1"
SECTION_RULE = "ACI 318-19, 22.2 and table 21.2.2, strain compatibility"

CONCRETE_BEARING = Rule("concrete bearing", "Bearing on the concrete", "psi", BEARING_RULE, Known.SECONDARY)
DOWELS = Rule("dowels", "Dowels", "in2", DOWEL_RULE, Known.SECONDARY)
PEDESTAL = Rule("pedestal", "Pedestal at its foot", "kip-ft", SECTION_RULE, Known.SECONDARY)

ON_NUTS = "The plates stand on leveling nuts without grout: no plate bears, the bolts carry what presses."
UNDER_PLATE = Formula("q", "base plate of a leg", "max(0, 1000*P/a**2)", "psi")
ELASTIC = Formula("q", "elastic", "1000*P/A + 12000*M/S", "psi")
BEARS = Formula("phi qn", "design strength", "0.65*0.85*fc*k", "psi", {"fc": "f'c"})
LEAST_DOWELS = Formula("As,min", "least", "0.005*Ag", "in2")
GIVEN_DOWELS = Formula("As", "dowels", "n*Ab", "in2")
LOAD_AT_FOOT = Formula("Pu", "load at the foot, W the pedestal", "P + g*W", "kip", {"g": "gamma"})
MOMENT_AT_FOOT = Formula("Mu", "moment at the foot", "M + H*h", "kip-ft")
_STRIPS, _AXES = 200, 160


def on_concrete(case: StrengthCase, stand: Stand, found: Factored) -> Check:
    """Greatest elastic stress under a base plate or pedestal in psi; bolts and dowels carry what pulls.

    P/A, with M/S under a tube or pedestal, to 0.65 x 0.85 f'c sqrt(A2/A1), the root at most 2.
    ACI 318-19, table 22.8.3.2 (read in secondary copies).
    """
    if stand.word != "pedestal" and through_bolts(case.seat):
        return CONCRETE_BEARING.not_asked(ON_NUTS)
    worst = _pressed(case, stand, found)
    if worst is None:
        return CONCRETE_BEARING.open("The outside diameter of the tube's base plate is not given.")
    stress, spread, where = worst
    capacity = BEARS.step(fc=case.mats.fc_psi, k=spread)
    said = f"{readable(stress.value)} of {readable(capacity.value)} psi"
    return CONCRETE_BEARING.compare(
        demand=stress.value,
        capacity=capacity.value,
        case=where,
        note=f"{said}, {stress.meaning}, {where}.",
        steps=(
            stress,
            looked_up("k", "spread into the pad", "sqrt(A2 / A1), at most 2", "from the plan", spread, ""),
            capacity,
        ),
    )


def _pressed(case: StrengthCase, stand: Stand, found: Factored) -> tuple[Step, float, str] | None:
    """(greatest stress, spread, where); None while a plate is not known."""
    if not stand.block:
        assert case.plate_side_in is not None
        row, leg = divmod(int(np.argmax(found.down)), len(stand.places))
        side = case.plate_side_in
        spread = min(spread_of(found.corners, place, side / 12) for place in stand.places)
        return UNDER_PLATE.step(P=float(found.down[row, leg]), a=side), spread, found.names[row]
    if stand.word == "pedestal":
        side = 12 * stand.side_ft
        area, modulus = side**2, side**3 / 6
        how, spread = "elastic, under the pedestal", spread_of(found.corners, (0.0, 0.0), stand.side_ft)
    else:
        if case.plate_side_in is None or case.leg_spacing_ft is None:
            return None
        outside = case.plate_side_in
        inside = max(0.0, 2 * 12 * case.leg_spacing_ft - outside)  # bolts in the middle of the ring
        area = math.pi / 4 * (outside**2 - inside**2)
        modulus = math.pi / 32 * (outside**4 - inside**4) / outside
        if area <= 0:
            return None
        how, spread = "elastic, under the ring of the base plate", _ring_spread(case, outside, inside)
    above = case.pad.reactions_above_ft + (case.pad.stump_ft[1] if stand.word == "pedestal" else 0.0)
    stresses = [
        (
            ELASTIC.step_of(
                how,
                P=float(found.down[row, 0]),
                A=area,
                M=load.moment_kip_ft + load.shear_kip * above,
                S=modulus,
            ),
            load.name,
        )
        for row, load in _by_row(case, found)
    ]
    stress, name = max(stresses, key=lambda one: one[0].value)
    return stress, spread, name


def _ring_spread(case: StrengthCase, outside_in: float, inside_in: float) -> float:
    """A strip of the ring widens as a wedge, as far each way as it has room on the nearer one."""
    width = (outside_in - inside_in) / 2
    room = max(0.0, min(6 * case.pad.shorter_ft - outside_in / 2, inside_in / 2))
    return min(2.0, math.sqrt((width + 2 * room) / width))


def _by_row(case: StrengthCase, found: Factored) -> list[tuple[int, StrengthLoad]]:
    """Each combination once, with a row of it."""
    stated = base_loads(case.pad)
    assert stated is not None
    return [
        (next(i for i, name in enumerate(found.names) if name.endswith(load.name)), load)
        for load in strength(stated)
    ]


def spread_of(corners: Floats, place: tuple[float, float], side_ft: float) -> float:
    """sqrt(A2 / A1) of the largest like square about that place that the pad still holds, at most 2."""
    normals, offsets = edges(corners)
    room = offsets - normals @ np.array(place)
    return float(min(2.0, (room / (side_ft / 2 * np.abs(normals).sum(axis=1))).min()))


@dataclass(frozen=True, kw_only=True)
class PedestalStrength:
    """Of one direction at a given load. ``strain`` of the bar that is pulled hardest."""

    axis_in: float
    strain: float
    phi: float
    design_kip_ft: float


def pedestal_checks(case: StrengthCase) -> list[Check]:
    """Least dowels 0.005 Ag in in2, and the section at the top of the pad under every combination, kip-ft.

    Nothing without a pedestal. ACI 318-19, 16.3.4.1 and 22.2 (read in secondary copies).
    """
    pad = case.pad
    if pad.pedestal is None:
        return []
    if case.dowel_size is None or case.dowels is None:
        why = "Dowels from pedestal to pad are not given."
        return [rule.open(why) for rule in (DOWELS, PEDESTAL)]
    given = GIVEN_DOWELS.step(n=case.dowels, Ab=bars()[case.dowel_size].area_in2)
    needed = LEAST_DOWELS.step(Ag=pad.pedestal_ft2 * 144)
    said = f"{case.dowels} {case.dowel_size}: {given.value:.2f} in², {needed.value:.2f} in² required."
    least = DOWELS.compare(demand=needed.value, capacity=given.value, note=said, steps=(needed, given))
    return [least, _foot(case)]


def _foot(case: StrengthCase) -> Check:
    stated = base_loads(case.pad)
    assert stated is not None
    height = case.pad.stump_ft[1]
    weight = case.pad.pedestal_ft2 * height * case.pad.concrete_pcf / 1000
    # a square one is weaker along its diagonal or its side, by where its bars are
    curves = [
        interaction(case, turn) for turn in ((0.0,) if case.pad.pedestal == "round" else (0.0, math.pi / 4))
    ]
    rows = []
    for load in strength(stated):
        vertical = LOAD_AT_FOOT.step(P=load.vertical_kip, g=load.dead_factor, W=weight)
        moment = MOMENT_AT_FOOT.step(
            M=load.moment_kip_ft, H=load.shear_kip, h=height + case.pad.reactions_above_ft
        )
        held = min((curve.at(vertical.value) for curve in curves), key=_design)
        rows.append((moment.value / max(held.design_kip_ft, 1e-9), load.name, vertical, moment, held))
    _ratio, name, vertical, moment, held = max(rows, key=lambda row: row[0])
    how = "strain compatibility"
    return PEDESTAL.compare(
        demand=moment.value,
        capacity=held.design_kip_ft,
        case=name,
        note=f"{readable(moment.value)} of {readable(held.design_kip_ft)} kip-ft, {name}.",
        steps=(
            vertical,
            moment,
            looked_up(
                "c", "neutral axis from the compression face", "Pu = phi (C - T)", how, held.axis_in, "in"
            ),
            looked_up("et", "strain of the outermost bar", "0.003 (d - c) / c", how, held.strain, ""),
            looked_up("phi", "strength reduction", "0.65 to 0.90 by et", how, held.phi, ""),
            looked_up("phi Mn", "about the middle", "phi (sum of F y)", how, held.design_kip_ft, "kip-ft"),
        ),
    )


def _design(held: PedestalStrength) -> float:
    return held.design_kip_ft


@dataclass(frozen=True, kw_only=True)
class Interaction:
    """Strengths of a section as its neutral axis moves in: phi P and phi M about one axis."""

    axes_in: Floats
    strains: Floats
    phi: Floats
    force_kip: Floats
    moment_kip_ft: Floats

    def at(self, vertical_kip: float) -> PedestalStrength:
        """Where phi P first reaches the load; no strength past the greatest phi P."""
        i = int(np.argmax(self.force_kip >= vertical_kip))
        if self.force_kip[i] < vertical_kip:
            return PedestalStrength(axis_in=float(self.axes_in[-1]), strain=0.0, phi=0.65, design_kip_ft=0.0)
        j = max(i - 1, 0)
        rise = self.force_kip[i] - self.force_kip[j]
        t = (vertical_kip - self.force_kip[j]) / rise if i > j else 0.0

        def between(values: Floats) -> float:
            return float(values[j] + t * (values[i] - values[j]))

        return PedestalStrength(
            axis_in=between(self.axes_in),
            strain=between(self.strains),
            phi=between(self.phi),
            design_kip_ft=between(self.moment_kip_ft),
        )


def interaction(case: StrengthCase, turn: float) -> Interaction:
    """phi P in kip and phi M in kip-ft as the neutral axis moves in, bent about an axis turned so far, rad.

    Strain compatibility over strips, 0.003 at the pressed face, bars elastic to their yield, phi 0.65 to 0.90
    by the strain of the outermost bar. ACI 318-19, 22.2 and table 21.2.2 (read in secondary copies).
    """
    pad, mats = case.pad, case.mats
    assert case.dowel_size is not None and case.dowels is not None
    size, around = 12 * pad.stump_ft[0], pad.pedestal == "round"
    bar = bars()[case.dowel_size]
    out = size / 2 - case.dowel_cover_in - bar.diameter_in / 2
    places = _bar_places(case.dowels, out, around) @ np.array([math.cos(turn), math.sin(turn)])
    half = size / 2 if around else size / 2 * (math.cos(turn) + math.sin(turn))
    strip_in = 2 * half / _STRIPS
    y = np.asarray((np.arange(_STRIPS) + 0.5) * strip_in - half, dtype=np.float64)  # toward the pressed face
    strip = _widths(y, size, turn, around) * strip_in * 0.85 * mats.fc_psi / 1000
    axes = (np.linspace(0.005, 1.2, _AXES) * 2 * half)[:, None]
    top = half - beta1(mats.fc_psi) * axes
    # a strip at the edge of the block counts by its part within it
    share = np.clip((y - top) / strip_in + 0.5, 0.0, 1.0)
    bar_strain = CRUSHING * (places - (half - axes)) / axes
    within = (places > top) * 0.85 * mats.fc_psi / 1000  # concrete the bars stand in the place of
    stress = np.clip(bar_strain * STEEL_KSI, -mats.yield_ksi, mats.yield_ksi) - within
    force = share @ strip + bar.area_in2 * stress.sum(axis=1)
    moment = (share @ (strip * y) + bar.area_in2 * (stress @ places)) / 12
    strain = -bar_strain.min(axis=1)
    phi = 0.65 + 0.25 * np.clip((strain - mats.yield_ksi / STEEL_KSI) / 0.003, 0.0, 1.0)
    return Interaction(
        axes_in=axes[:, 0], strains=strain, phi=phi, force_kip=phi * force, moment_kip_ft=phi * moment
    )


def _bar_places(count: int, out: float, around: bool) -> Floats:
    """Evenly on a circle, or along the sides of a square from its corners."""
    turns = np.arange(count) * (math.tau / count)
    if around:
        return out * np.stack((np.cos(turns), np.sin(turns)), axis=1)
    along = np.arange(count) * (8 * out / count)
    side, at = np.divmod(along, 2 * out)
    x = np.choose(side.astype(int) % 4, (-out + at, out + 0 * at, out - at, -out + 0 * at))
    y = np.choose(side.astype(int) % 4, (-out + 0 * at, -out + at, out + 0 * at, out - at))
    return np.stack((x, y), axis=1)


def _widths(y: Floats, size: float, turn: float, around: bool) -> Floats:
    if around:
        return 2 * np.sqrt(np.maximum(0.0, (size / 2) ** 2 - y**2))
    if turn == 0.0:
        return np.full_like(y, size)
    # along the diagonal
    widest: Floats = 2 * (size * AS_DIAGONAL - np.abs(y))
    return np.maximum(0.0, widest)


AS_DIAGONAL = math.sqrt(0.5)  # half the diagonal of a square of side 1
