"""One-way and two-way shear strength of a pad without stirrups. ACI 318-19, 22.5.5.1 and 22.6.5."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.formula import Formula
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.inputs import quantity, require_valid

ONE_WAY_RULE = "ACI 318-19, 22.5.5.1(c); size effect neglected by 13.2.6.2"
TWO_WAY_RULE = "ACI 318-19, 22.6.5.2 and 8.4.4.2; size effect neglected by 13.2.6.2"

_PRINTED = {"fc": "f'c", "la": "lambda", "size": "lambda_s", "alpha": "alpha_s"}
# the root of f'c counts up to 100 psi, 22.5.3.1 and 22.6.3.1
RATIO = Formula("rho", "steel ratio", "As/(b*d)", "")
STRESS = Formula(
    "vc",
    "stress the concrete holds, size effect neglected (13.2.6.2)",
    "la*min(sqrt(fc), 100)*min(8*size*cbrt(rho), 5)",
    "psi",
    _PRINTED,
)
ONE_WAY_DESIGN = Formula("phi Vc", "design strength", "0.75*vc*b*d/1000", "kip")
FACTOR = Formula("k", "of 22.6.5.2", "min(4, 2 + 4/beta, 2 + alpha*d/bo)", "", _PRINTED)
TWO_WAY_STRESS = Formula(
    "vc",
    "stress the concrete holds, size effect neglected (13.2.6.2)",
    "k*size*la*min(sqrt(fc), 100)",
    "psi",
    _PRINTED,
)
TWO_WAY_DESIGN = Formula("phi vc", "design strength", "0.75*vc", "psi")


LITTLE_SHEAR = Formula(
    "vuv", "direct shear that asks no steel near a leg", "0.75*2*size*la*sqrt(fc)", "psi", _PRINTED
)
NEAR_LEAST = Formula(
    "As,min", "steel each way near a leg", "5*v*bslab*bo/(0.75*alpha*fy)", "in2", {"v": "vuv", **_PRINTED}
)


@dataclass(frozen=True, kw_only=True)
class OneWayCase:
    width_in: float = quantity("in", "full width of the section", low=1, high=2_000)
    depth_in: float = quantity("in", "compression face to the middle of that layer of bars", low=1, high=200)
    steel_in2: float = quantity("in2", "steel on the tension side across the width", low=0, high=1_000)
    fc_psi: float = same_as(FoundationFigures, "fc_psi", required=True)
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
    fc_psi: float = same_as(FoundationFigures, "fc_psi", required=True)
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
    """lambda_s of a depth in in: sqrt(2 / (1 + d / 10)), at most 1. ACI 318-19, 22.5.5.1.3."""
    return min(1.0, math.sqrt(2 / (1 + depth_in / 10)))


def little_shear_psi(depth_in: float, fc_psi: float, light: float) -> float:
    """Direct two-way shear in psi up to which 8.6.1.2 asks no steel beyond the minimum.

    depth_in, fc_psi, light
        mean depth of the two layers of bars, in; specified strength; lambda.

    phi 2 lambda_s lambda sqrt f'c, the size effect not neglected. ACI 318-19, 8.6.1.2 (from memory).
    """
    return LITTLE_SHEAR.value(size=size_factor(depth_in), la=light, fc=fc_psi)


def one_way(case: OneWayCase) -> OneWay:
    """Strength of a section as of :func:`one_way_strength`; InputError out of the case's ranges."""
    require_valid(case)
    return one_way_strength(
        case.width_in, case.depth_in, case.steel_in2, case.fc_psi, case.light, footing=case.footing
    )


def one_way_strength(
    width_in: float, depth_in: float, steel_in2: float, fc_psi: float, light: float, *, footing: bool = True
) -> OneWay:
    """One-way shear strength of a section without stirrups.

    width_in, depth_in
        of the section, and compression face to the middle of the bars, in.
    steel_in2, fc_psi, light
        bars on the pulled side, specified strength, lambda (1 for normal-weight concrete).
    footing
        the size effect lambda_s is neglected, 13.2.6.2.

    8 lambda_s lambda rho^(1/3) sqrt f'c b d, at most 5 lambda sqrt f'c b d, phi 0.75.
    ACI 318-19, 22.5.5.1(c).
    """
    ratio = RATIO.value(As=steel_in2, b=width_in, d=depth_in)
    size = 1.0 if footing else size_factor(depth_in)
    stress = STRESS.value(la=light, fc=fc_psi, size=size, rho=ratio)
    return OneWay(
        steel_ratio=ratio,
        size_factor=size,
        stress_psi=stress,
        nominal_kip=stress * width_in * depth_in / 1000,
        design_kip=ONE_WAY_DESIGN.value(vc=stress, b=width_in, d=depth_in),
    )


def two_way(case: TwoWayCase) -> TwoWay:
    """Strength of a section as of :func:`two_way_strength`; InputError out of the case's ranges."""
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
    """Two-way shear strength of a critical section without stirrups.

    perimeter_in, depth_in
        length of the section and mean depth of the two layers of bars, in.
    fc_psi, light
        specified strength, lambda (1 for normal-weight concrete).
    alpha_s, long_over_short
        40 inside the pad, 30 at an edge, 20 at a corner; long over short side of the loaded area.
    footing
        the size effect lambda_s is neglected, 13.2.6.2.

    Least of 4, 2 + 4 / beta and 2 + alpha_s d / bo, times lambda_s lambda sqrt f'c, phi 0.75.
    ACI 318-19, 22.6.5.2.
    """
    factor = FACTOR.value(beta=long_over_short, alpha=alpha_s, d=depth_in, bo=perimeter_in)
    size = 1.0 if footing else size_factor(depth_in)
    nominal = TWO_WAY_STRESS.value(k=factor, size=size, la=light, fc=fc_psi)
    design = TWO_WAY_DESIGN.value(vc=nominal)
    return TwoWay(
        factor=factor,
        size_factor=size,
        nominal_psi=nominal,
        design_psi=design,
        design_kip=design * perimeter_in * depth_in / 1000,
    )
