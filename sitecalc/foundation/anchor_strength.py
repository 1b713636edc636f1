"""Strengths of cast-in headed anchors, ACI 318-19 chapter 17, inch-pound: lb, in, psi.

The constants are those of inch-pound units (24, 16, 8, 160, 7, 9). The metric edition prints others for the
same rules (10, 3.9, 8, 13, 0.6, 3.7); mixing them is wrong by a factor of up to four. Clauses and constants
were read where :mod:`sitecalc.foundation.anchor_rules` says; the numbers are held against printed examples.
"""

from __future__ import annotations

from typing import TypeVar

from sitecalc.checks import Step
from sitecalc.formula import Formula
from sitecalc.foundation.ring import Floats

Off = TypeVar("Off", float, Floats)  # one, or one of each wind
CHAPTER = "ACI 318-19, chapter 17"
DEEP_IN, DEEPEST_IN = 11.0, 25.0

_PRINTED = {
    "fc": "f'c",
    "la": "lambda",
    "psi_cp": "psi_c,P",
    "c": "ca,min",
    "bearing": "Abrg",
    "corner": "corner factor",
}
# f'c of cast-in anchors counts up to 10,000 psi, 17.3.1
# a heavy hex nut is 1-1/2 d + 1/8 in across flats, ASME B18.2.2
FUTA = Formula("futa", "strength of the steel", "min(fu, 1.9*fy, 125)", "ksi")
NUT_BEARING = Formula(
    "Abrg", "net bearing area, nut less bolt", "sqrt(3)/2*(1.5*d + 0.125)**2 - pi/4*d**2", "in2"
)
PLATE_BEARING = Formula(
    "Abrg",
    "net bearing area: plate b, no farther than its thickness t past the nut, less the bolt",
    "min(b, 1.5*d + 0.125 + 2*t)**2 - pi/4*d**2",
    "in2",
)
BREAKOUT = Formula("Nb", "basic strength", "kc*la*sqrt(min(fc, 10000))*hef**1.5", "lb", _PRINTED)
DEEP_BREAKOUT = Formula(
    "Nb", "basic strength, 11 to 25 in deep", "16*la*sqrt(min(fc, 10000))*hef**(5/3)", "lb", _PRINTED
)
PULLOUT = Formula("Npn", "pullout", "psi_cp*8*bearing*min(fc, 10000)", "lb", _PRINTED)
BLOWOUT = Formula(
    "Nsb",
    "side-face blowout",
    "corner*160*ca1*sqrt(bearing)*la*sqrt(min(fc, 10000))",
    "lb",
    _PRINTED,
)
ROW_BLOWOUT = Formula(
    "Nsbg",
    "side-face blowout of a row",
    "(1 + s/(6*ca1))*160*ca1*sqrt(bearing)*la*sqrt(min(fc, 10000))",
    "lb",
    _PRINTED,
)
BASIC_SHEAR = Formula(
    "Vb",
    "basic strength",
    "min(7*(min(hef, 8*da)/da)**0.2*sqrt(da), 9)*la*sqrt(min(fc, 10000))*ca1**1.5",
    "lb",
    _PRINTED,
)
NEAR_EDGE = Formula("psi_ed", "edge", "min(1, 0.7 + 0.3*c/reach)", "", _PRINTED)


def futa(yield_ksi: float, tensile_ksi: float) -> Step:
    """Strength of the steel in ksi by its yield and tensile strengths in ksi: min(fu, 1.9 fy, 125).

    ACI 318-19, 17.6.1.2.
    """
    return FUTA.step(fu=tensile_ksi, fy=yield_ksi)


def nut_bearing(diameter_in: float) -> Step:
    """Net bearing area in in2 of a heavy hex nut on a bolt of a diameter in in.

    Hexagon less the bolt: 0.866 F^2 - pi d^2 / 4 with F of ASME B18.2.2.
    """
    return NUT_BEARING.step(d=diameter_in)


def plate_bearing(diameter_in: float, plate_in: float, thickness_in: float) -> Step:
    """Net bearing area in in2 of a square plate under a nut; bolt, side and thickness in in.

    A plate over a nut bears no farther than its thickness past the nut: min(b, F + 2 t)^2 - pi d^2 / 4 with F
    of ASME B18.2.2. The spread of one thickness: ACI 318-19, 17.6.2.1.3 (from memory).
    """
    return PLATE_BEARING.step(b=plate_in, d=diameter_in, t=thickness_in)


def basic_breakout_lb(hef_in: float, fc_psi: float, light: float = 1.0, kc: float = 24.0) -> float:
    """Nb in lb of one anchor by its embedment in in, f'c in psi, lambda, and kc: 24 cast in, 17 set later.

    kc lambda sqrt(f'c) hef^1.5; cast-in headed ones from 11 to 25 in deep 16 lambda sqrt(f'c) hef^(5/3).
    f'c up to 10,000 psi. ACI 318-19, 17.6.2.2.
    """
    return basic_breakout_step(hef_in, fc_psi, light, kc).value


def basic_breakout_step(hef_in: float, fc_psi: float, light: float, kc: float) -> Step:
    """The same with its arithmetic."""
    if kc == 24.0 and DEEP_IN <= hef_in <= DEEPEST_IN:
        return DEEP_BREAKOUT.step(la=light, fc=fc_psi, hef=hef_in)
    return BREAKOUT.step(kc=kc, la=light, fc=fc_psi, hef=hef_in)


def pullout(bearing_in2: float, fc_psi: float, *, cracked: bool = True) -> Step:
    """Npn in lb of one headed anchor, by its bearing area in in2 and f'c in psi.

    psi_c,P 8 Abrg f'c, psi_c,P 1 in cracked concrete, else 1.4; f'c up to 10,000 psi. ACI 318-19, 17.6.3.
    """
    return PULLOUT.step(psi_cp=1.0 if cracked else 1.4, bearing=bearing_in2, fc=fc_psi)


def blowout(
    ca1_in: float, bearing_in2: float, fc_psi: float, light: float = 1.0, corner: float = 1.0
) -> Step:
    """Nsb in lb of one anchor; edge distance in in, bearing area in in2, f'c in psi, lambda, corner factor.

    160 ca1 sqrt(Abrg) lambda sqrt(f'c), less near a corner, for anchors deeper than 2.5 ca1; f'c up to
    10,000 psi. ACI 318-19, 17.6.4.1.
    """
    return BLOWOUT.step(corner=corner, ca1=ca1_in, bearing=bearing_in2, la=light, fc=fc_psi)


def row_blowout(spread_in: float, ca1_in: float, bearing_in2: float, fc_psi: float, light: float) -> Step:
    """Nsbg in lb of a row ``spread_in`` long of anchors less than 6 ca1 apart; else as :func:`blowout`.

    (1 + s / (6 ca1)) Nsb. ACI 318-19, 17.6.4.2.
    """
    return ROW_BLOWOUT.step(s=spread_in, ca1=ca1_in, bearing=bearing_in2, la=light, fc=fc_psi)


def corner_factor(ca1_in: float, ca2_in: float) -> float:
    """(1 + ca2 / ca1) / 4 where ca2 < 3 ca1, ca2 / ca1 from 1 to 3; both in in. ACI 318-19, 17.6.4.1.1."""
    return 1.0 if ca2_in >= 3 * ca1_in else (1 + max(1.0, ca2_in / ca1_in)) / 4


def basic_shear_lb(
    ca1_in: float, hef_in: float, diameter_in: float, fc_psi: float, light: float = 1.0
) -> float:
    """Vb in lb of one anchor before an edge; distances and diameter in in, f'c in psi, lambda.

    The lesser of 7 (le/da)^0.2 sqrt(da) lambda sqrt(f'c) ca1^1.5 and 9 lambda sqrt(f'c) ca1^1.5, le the
    embedment up to 8 da; f'c up to 10,000 psi. ACI 318-19, 17.7.2.2.1.
    """
    return BASIC_SHEAR.value(hef=hef_in, da=diameter_in, la=light, fc=fc_psi, ca1=ca1_in)


def printed_off(off_in: float) -> float:
    """An eccentricity in in as a step prints it: under a billionth of an inch is rounding. Arithmetic."""
    return 0.0 if abs(off_in) < 1e-9 else float(off_in)


def eccentric(off_in: Off, reach_in: float) -> Off:
    """psi_ec = 1 / (1 + e' / reach), both in in; reach is 1.5 hef in tension, 1.5 ca1 in shear.

    ACI 318-19, 17.6.2.3.1 and 17.7.2.3.1.
    """
    return 1 / (1 + off_in / reach_in)


def near_edge(nearest_in: float, reach_in: float) -> float:
    """psi_ed = 0.7 + 0.3 c / reach, both in in, 1 where the edge is beyond reach.

    ACI 318-19, 17.6.2.4.1 and 17.7.2.4.1.
    """
    return NEAR_EDGE.value(c=nearest_in, reach=reach_in)
