"""Strengths of cast-in headed anchors, ACI 318-19 chapter 17, inch-pound: lb, in, psi.

The constants are those of inch-pound units (24, 16, 8, 160, 7, 9). The metric edition prints others for the
same rules (10, 3.9, 8, 13, 0.6, 3.7); mixing them is wrong by a factor of up to four.
"""

from __future__ import annotations

import math
from typing import TypeVar

from sitecalc.foundation.ring import Floats

Off = TypeVar("Off", float, Floats)  # one, or one of each wind
CHAPTER = "ACI 318-19, chapter 17"
GREATEST_FC_PSI = 10_000.0  # 17.3.1, cast-in
DEEP_IN, DEEPEST_IN = 11.0, 25.0
FUTA_LIMIT_KSI = 125.0


def futa_ksi(yield_ksi: float, tensile_ksi: float) -> float:
    """17.6.1.2: not more than 1.9 fya and 125 ksi."""
    return min(tensile_ksi, 1.9 * yield_ksi, FUTA_LIMIT_KSI)


def heavy_hex_width_in(diameter_in: float) -> float:
    """Across flats of a heavy hex nut: 1-1/2 d + 1/8 in (ASME B18.2.2)."""
    return 1.5 * diameter_in + 0.125


def nut_bearing_in2(diameter_in: float) -> float:
    """Hexagon less the bolt: 0.866 F^2 - pi d^2 / 4."""
    return math.sqrt(3) / 2 * heavy_hex_width_in(diameter_in) ** 2 - math.pi / 4 * diameter_in**2


def plate_bearing_in2(diameter_in: float, plate_in: float, thickness_in: float) -> float:
    """A plate over a nut bears no farther than its thickness past the nut; a square less the bolt."""
    width = min(plate_in, heavy_hex_width_in(diameter_in) + 2 * thickness_in)
    return width**2 - math.pi / 4 * diameter_in**2


def root_fc(fc_psi: float) -> float:
    return math.sqrt(min(fc_psi, GREATEST_FC_PSI))


def basic_breakout_lb(hef_in: float, fc_psi: float, light: float = 1.0, kc: float = 24.0) -> float:
    """Nb: kc la sqrt(f'c) hef^1.5; cast in headed from 11 to 25 in deep 16 la sqrt(f'c) hef^(5/3)."""
    if kc == 24.0 and DEEP_IN <= hef_in <= DEEPEST_IN:
        return 16 * light * root_fc(fc_psi) * math.pow(hef_in, 5 / 3)
    return kc * light * root_fc(fc_psi) * math.pow(hef_in, 1.5)


def pullout_lb(bearing_in2: float, fc_psi: float, *, cracked: bool = True) -> float:
    """Npn = psi_c,P 8 Abrg f'c."""
    return (1.0 if cracked else 1.4) * 8 * bearing_in2 * min(fc_psi, GREATEST_FC_PSI)


def blowout_lb(ca1_in: float, bearing_in2: float, fc_psi: float, light: float = 1.0) -> float:
    """Nsb = 160 ca1 sqrt(Abrg) la sqrt(f'c), far from a corner."""
    return 160 * ca1_in * math.sqrt(bearing_in2) * light * root_fc(fc_psi)


def corner_factor(ca1_in: float, ca2_in: float) -> float:
    """17.6.4.1.1: (1 + ca2/ca1) / 4 where ca2 < 3 ca1, ca2/ca1 from 1 to 3."""
    return 1.0 if ca2_in >= 3 * ca1_in else (1 + max(1.0, ca2_in / ca1_in)) / 4


def basic_shear_lb(
    ca1_in: float, hef_in: float, diameter_in: float, fc_psi: float, light: float = 1.0
) -> float:
    """Vb, the lesser of 7 (le/da)^0.2 sqrt(da) la sqrt(f'c) ca1^1.5 and 9 la sqrt(f'c) ca1^1.5."""
    le = min(hef_in, 8 * diameter_in)
    factor = min(7 * math.pow(le / diameter_in, 0.2) * math.sqrt(diameter_in), 9.0)
    return factor * light * root_fc(fc_psi) * math.pow(ca1_in, 1.5)


def eccentric(off_in: Off, reach_in: float) -> Off:
    """psi_ec = 1 / (1 + e' / reach); reach is 1.5 hef in tension, 1.5 ca1 in shear."""
    return 1 / (1 + off_in / reach_in)


def near_edge(nearest_in: float, reach_in: float) -> float:
    """psi_ed = 0.7 + 0.3 c / reach, 1 where the edge is beyond reach."""
    return 1.0 if nearest_in >= reach_in else 0.7 + 0.3 * nearest_in / reach_in
