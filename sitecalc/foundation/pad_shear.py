"""One-way and two-way shear strength of a pad without stirrups. ACI 318-19, 22.5.5.1 and 22.6.5."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.inputs import quantity, require_valid

ONE_WAY_RULE = "ACI 318-19, 22.5.5.1(c); size effect neglected by 13.2.6.2"
TWO_WAY_RULE = "ACI 318-19, 22.6.5.2 and 8.4.4.2; size effect neglected by 13.2.6.2"
PHI = 0.75
GREATEST_ROOT_PSI = 100.0


@dataclass(frozen=True, kw_only=True)
class OneWayCase:
    width_in: float = quantity("in", "full width of the section", low=1, high=2_000)
    depth_in: float = quantity("in", "pressed face to the middle of that layer of bars", low=1, high=200)
    steel_in2: float = quantity("in2", "steel on the pulled side across the width", low=0, high=1_000)
    fc_psi: float = quantity("psi", "specified strength of the concrete", low=2_500, high=15_000)
    light: float = quantity("", "lambda, 1 for normal-weight concrete", low=0.75, high=1, default=1.0)
    footing: bool = quantity(
        "", "shallow foundation: the size effect may be neglected by 13.2.6.2", default=True
    )


@dataclass(frozen=True, kw_only=True)
class OneWay:
    steel_ratio: float
    size_factor: float
    stress_psi: float
    nominal_kip: float
    design_kip: float


@dataclass(frozen=True, kw_only=True)
class TwoWayCase:
    perimeter_in: float = quantity("in", "length of the critical section", low=1, high=5_000)
    depth_in: float = quantity("in", "mean depth of the two layers of bars", low=1, high=200)
    fc_psi: float = quantity("psi", "specified strength of the concrete", low=2_500, high=15_000)
    alpha_s: float = quantity("", "40 inside the pad, 30 at an edge, 20 at a corner", low=20, high=40)
    long_over_short: float = quantity("", "of the loaded area", low=1, high=20, default=1.0)
    light: float = quantity("", "lambda, 1 for normal-weight concrete", low=0.75, high=1, default=1.0)
    footing: bool = quantity(
        "", "shallow foundation: the size effect may be neglected by 13.2.6.2", default=True
    )


@dataclass(frozen=True, kw_only=True)
class TwoWay:
    factor: float
    size_factor: float
    nominal_psi: float
    design_psi: float
    design_kip: float


def size_factor(depth_in: float) -> float:
    """lambda_s, 22.5.5.1.3."""
    return min(1.0, math.sqrt(2 / (1 + depth_in / 10)))


def one_way(case: OneWayCase) -> OneWay:
    require_valid(case)
    return one_way_strength(
        case.width_in, case.depth_in, case.steel_in2, case.fc_psi, case.light, footing=case.footing
    )


def one_way_strength(
    width_in: float, depth_in: float, steel_in2: float, fc_psi: float, light: float, *, footing: bool = True
) -> OneWay:
    """8 lambda_s lambda rho^(1/3) sqrt f'c b d, at most 5 lambda sqrt f'c b d. The steel ratio is kept."""
    ratio = steel_in2 / (width_in * depth_in)
    size = 1.0 if footing else size_factor(depth_in)
    stress = light * _root(fc_psi) * min(8 * size * math.cbrt(ratio), 5.0)
    nominal = stress * width_in * depth_in / 1000
    return OneWay(
        steel_ratio=ratio, size_factor=size, stress_psi=stress, nominal_kip=nominal, design_kip=PHI * nominal
    )


def two_way(case: TwoWayCase) -> TwoWay:
    require_valid(case)
    return two_way_strength(
        case.perimeter_in,
        case.depth_in,
        case.fc_psi,
        case.alpha_s,
        case.light,
        long_over_short=case.long_over_short,
        footing=case.footing,
    )


def two_way_strength(
    perimeter_in: float,
    depth_in: float,
    fc_psi: float,
    alpha_s: float,
    light: float,
    *,
    long_over_short: float = 1.0,
    footing: bool = True,
) -> TwoWay:
    """Least of 4, 2 + 4 / beta and 2 + alpha_s d / bo, times lambda_s lambda sqrt f'c."""
    factor = min(4.0, 2 + 4 / long_over_short, 2 + alpha_s * depth_in / perimeter_in)
    size = 1.0 if footing else size_factor(depth_in)
    nominal = factor * size * light * _root(fc_psi)
    force = PHI * nominal * perimeter_in * depth_in / 1000
    return TwoWay(
        factor=factor, size_factor=size, nominal_psi=nominal, design_psi=PHI * nominal, design_kip=force
    )


def _root(fc_psi: float) -> float:
    return min(math.sqrt(fc_psi), GREATEST_ROOT_PSI)
