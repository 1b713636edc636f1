"""Plates on leveling nuts without grout: what presses goes through the bolts to their feet.

No plate bears then. Each bolt is a short column between nut and concrete, its foot bears on the concrete
below it, and only that concrete stands against punching.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula
from sitecalc.foundation.anchor_areas import edges
from sitecalc.foundation.anchor_case import AnchorageCase, Block, steels
from sitecalc.foundation.anchor_layout import Bolt, wind_words
from sitecalc.foundation.anchor_loads import Blows
from sitecalc.foundation.words import Foot, Seat

STEEL_KSI = 29_000.0
SWAYS = 1.2  # K of a column held against turning at both ends, of which one moves: AISC 360 table C-A-7.1
COMPRESSION = Rule(
    "anchor-compression",
    "Anchor bolts in compression, free length under the plate",
    "kip",
    "AISC 360-16, E3, stress area of the thread; AASHTO LRFDLTS asks for no buckling up to 4 diameters",
    Known.MEMORY,
)
FOOT_BEARING = Rule(
    "anchor-foot-bearing",
    "Bearing under the feet of the bolts",
    "psi",
    "ACI 318-19, table 22.8.3.2",
    Known.MEMORY,
)
BEARS = "The plates bear on {what}, which carries what presses; the bolts take uplift alone."
HELD_OUTSIDE = "How {foot} hands compression to the concrete is not judged here; the engineer designs it."

RADIUS = Formula("r", "radius of gyration, thread", "sqrt(Ase/(4*pi))", "in")
SLENDER = Formula("KL/r", "slenderness, K 1.2: ends do not turn, the plate moves", "1.2*L/r", "")
EULER = Formula("Fe", "elastic buckling", "pi**2*29000/s**2", "ksi", {"s": "(KL/r)"})
CRITICAL = Formula("Fcr", "critical stress, Fy / Fe up to 2.25", "0.658**(Fy/Fe)*Fy", "ksi")
CRITICAL_SLENDER = Formula("Fcr", "critical stress, Fy / Fe over 2.25", "0.877*Fe", "ksi")
DESIGN = Formula("phi Pn", "design strength", "0.9*Fcr*Ase", "kip")
LEFT = Formula("z", "concrete left below the foot", "h - hef - t", "in", {"t": "thickness of the foot"})
SPREAD = Formula(
    "k",
    "sqrt(A2 / A1): foot a, nearest edge c, nearest bolt s",
    "min(2, min(2*c, s, a + 4*z)/a)",
    "",
)
STRESS = Formula("q", "under the foot", "1000*P/Abrg", "psi")
BEARING = Formula("phi qn", "design strength", "0.65*0.85*fc*k", "psi", {"fc": "f'c"})


@dataclass(frozen=True)
class FootSize:
    """Side of what bears at a bolt's lower end, and how thick it is, in."""

    side_in: float
    thick_in: float


def through_bolts(seat: Seat) -> bool:
    """No grout and no concrete under the plate: it stands on the bolts alone."""
    return seat == "on leveling nuts"


def foot_size(
    foot: Foot, diameter_in: float, plate_in: float, plate_thickness_in: float = 0.5
) -> FootSize | None:
    """A heavy hex nut, or a plate as far as it bears past its nut (its thickness); None of ring and hook."""
    nut = 1.5 * diameter_in + 0.125
    if foot == "nut":
        return FootSize(nut, diameter_in)
    if foot == "plate under each":
        return FootSize(min(plate_in, nut + 2 * plate_thickness_in), plate_thickness_in)
    return None


def column_steps(area_in2: float, yield_ksi: float, free_in: float) -> tuple[Step, ...]:
    """phi Pn in kip, the last one, of a round bar by its stress area in in2, Fy in ksi, free length in in.

    AISC 360-16, E3 (from memory).
    """
    radius = RADIUS.step(Ase=area_in2)
    if free_in <= 0:
        return (DESIGN.step(Fcr=yield_ksi, Ase=area_in2),)
    slender = SLENDER.step(L=free_in, r=radius.value)
    euler = EULER.step(s=slender.value)
    critical = (
        CRITICAL.step(Fy=yield_ksi, Fe=euler.value)
        if yield_ksi <= 2.25 * euler.value
        else CRITICAL_SLENDER.step(Fe=euler.value)
    )
    return (radius, slender, euler, critical, DESIGN.step(Fcr=critical.value, Ase=area_in2))


def feet_checks(case: AnchorageCase, blown: Blows, bodies: tuple[Block, ...]) -> list[Check]:
    """Compression of the highest pressure bolt in kip, and bearing under its foot in psi."""
    if not through_bolts(case.seat):
        why = BEARS.format(what="the concrete" if case.seat == "on concrete" else "grout")
        return [COMPRESSION.not_asked(why), FOOT_BEARING.not_asked(why)]
    pressed = -blown.tension
    row, column = divmod(int(np.argmax(pressed >= pressed.max() * (1 - 1e-9))), pressed.shape[1])
    force, bolt = float(pressed[row, column]), blown.standing[column]
    if force <= 0:
        return [
            COMPRESSION.not_asked("No bolt is in compression."),
            FOOT_BEARING.not_asked("No bolt is in compression."),
        ]
    load = blown.loads[row]
    calm = load.moment_kip_ft == 0 and load.shear_kip == 0
    where = f"bolt {bolt.mark}, {'no wind' if calm else wind_words(blown.from_deg[row])}, {load.name}"
    steps = column_steps(case.bolt.stress_area_in2, steels()[case.grade].yield_ksi, case.gap_in)
    holds = steps[-1].value
    free = f"{case.gap_in:g} in free"
    column_check = COMPRESSION.compare(
        demand=force,
        capacity=holds,
        case=where,
        note=f"{readable(force)} of {readable(holds)} kip, {free}, {where}",
        steps=steps,
    )
    return [column_check, _under_foot(case, bodies, bolt, force, where)]


def _under_foot(
    case: AnchorageCase, bodies: tuple[Block, ...], bolt: Bolt, force_kip: float, where: str
) -> Check:
    foot = foot_size(case.foot, case.bolt.diameter_in, case.plate_in, case.plate_thickness_in)
    if foot is None:
        named = "one plate or ring for all bolts" if case.foot == "one plate or ring" else "a hook"
        return FOOT_BEARING.open(HELD_OUTSIDE.format(foot=named))
    body = next(b for b in bodies if bolt in b.bolts)
    spot = (bolt.x_in, bolt.y_in)
    near = min(edge.distance(spot) for edge in edges(body.polygon))
    others = [math.dist(spot, (b.x_in, b.y_in)) for one in bodies for b in one.bolts if b != bolt]
    depth = case.thickness_ft * 12 + case.stump_in[1]
    left = LEFT.step(h=depth, hef=case.embedment_in, t=foot.thick_in)
    spread = SPREAD.step(c=near, s=min(others, default=2 * near), a=foot.side_in, z=max(0.0, left.value))
    stress = STRESS.step(P=force_kip, Abrg=case.bearing_in2)
    capacity = BEARING.step(fc=case.fc_psi, k=spread.value)
    return FOOT_BEARING.compare(
        demand=stress.value,
        capacity=capacity.value if left.value > 0 else 0.0,
        case=where,
        note=f"{readable(stress.value)} of {readable(capacity.value)} psi, {where}",
        steps=(case.bearing, stress, left, spread, capacity),
    )
