"""Bending strength of a rectangular section with bars on its pulled side only. ACI 318-19, 22.2 and 21.2."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.formula import Formula
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.inputs import quantity, require_valid

RULE = "ACI 318-19, 22.2.2.4 and table 21.2.2"
CRUSHING = 0.003

BLOCK = Formula("a", "depth of the stress block", "As*fy*1000/(0.85*fc*b)", "in", {"fc": "f'c"})
NOMINAL = Formula("Mn", "strength", "As*fy*(d - a/2)/12", "kip-ft")
DESIGN = Formula("phi Mn", "design strength", "phi*As*fy*(d - a/2)/12", "kip-ft")
NEEDED = Formula(
    "As",
    "steel that Mu needs, phi 0.9",
    "0.85*fc*b*(d - sqrt(d**2 - 2*Mu*12000/(0.9*0.85*fc*b)))/(1000*fy)",
    "in2",
    {"fc": "f'c"},
)
STEEL_KSI = 29_000.0


@dataclass(frozen=True, kw_only=True)
class FlexureCase:
    width_in: float = quantity("in", "width", low=1, high=2_000)
    depth_in: float = quantity("in", "compression face to the middle of the bars", low=1, high=200)
    steel_in2: float = quantity("in2", "steel on the tension side", low=0, high=1_000)
    fc_psi: float = same_as(FoundationFigures, "fc_psi", required=True)
    yield_ksi: float = quantity("ksi", "yield strength of the bars", low=40, high=80, default=60.0)


@dataclass(frozen=True, kw_only=True)
class Flexure:
    """``tension_controlled`` False: more steel than 7.3.3.1 lets a slab have."""

    block_in: float
    axis_in: float
    strain: float
    phi: float
    nominal_kip_ft: float
    design_kip_ft: float
    tension_controlled: bool


def flexure(case: FlexureCase) -> Flexure:
    """Bending strength of a section as of :func:`bending_strength`; InputError out of the case's ranges."""
    require_valid(case)
    return bending_strength(case.width_in, case.depth_in, case.steel_in2, case.fc_psi, case.yield_ksi)


def bending_strength(
    width_in: float, depth_in: float, steel_in2: float, fc_psi: float, yield_ksi: float
) -> Flexure:
    """Bending strength of a rectangular section with bars on its pulled side only.

    width_in, depth_in
        of the section, and compression face to the middle of the bars, in.
    steel_in2, yield_ksi, fc_psi
        area and yield strength of the bars, specified strength of the concrete.

    phi As fy (d - a/2) with a = As fy / (0.85 f'c b); phi 0.90 where the bars stretch 0.003 past their yield,
    else less, to 0.65. Where the bars do not yield there is no strength.
    ACI 318-19, 22.2.2.4 and table 21.2.2.
    """
    block = block_in(steel_in2, width_in, fc_psi, yield_ksi)
    axis = block / beta1(fc_psi)
    strain = CRUSHING * (depth_in - axis) / axis if axis > 0 else math.inf
    yielding = yield_ksi / STEEL_KSI
    phi = 0.65 + 0.25 * min(1.0, max(0.0, (strain - yielding) / 0.003))
    # past the balanced point the bars do not yield and this is no strength at all
    yields = strain >= yielding
    numbers = {"As": steel_in2, "fy": yield_ksi, "d": depth_in, "a": block}
    nominal = NOMINAL.value(**numbers) if yields else 0.0
    design = DESIGN.value(phi=phi, **numbers) if yields else 0.0
    return Flexure(
        block_in=block,
        axis_in=axis,
        strain=strain,
        phi=phi,
        nominal_kip_ft=nominal,
        design_kip_ft=design,
        tension_controlled=strain >= yielding + 0.003 - 1e-12,
    )


def block_in(steel_in2: float, width_in: float, fc_psi: float, yield_ksi: float) -> float:
    """Depth in in of the stress block of bars (in2, ksi) across a width (in), f'c in psi.

    As fy / (0.85 f'c b). ACI 318-19, 22.2.2.4.1.
    """
    return BLOCK.value(As=steel_in2, fy=yield_ksi, fc=fc_psi, b=width_in)


def beta1(fc_psi: float) -> float:
    """Depth of the stress block over that of the neutral axis, by the concrete's strength in psi.

    0.85 to 4,000 psi, 0.05 less for each further 1,000, at least 0.65. ACI 318-19, table 22.2.2.4.3.
    """
    return min(0.85, max(0.65, 0.85 - 0.05 * (fc_psi - 4_000) / 1_000))


def steel_needed_in2(
    moment_kip_ft: float, width_in: float, depth_in: float, fc_psi: float, yield_ksi: float
) -> float:
    """Least steel in in2 whose design strength, at phi 0.9, is this moment in kip-ft; infinite where none is.

    Section, concrete and bars as in :func:`bending_strength`, whose equation is solved for As.
    """
    pulled = moment_kip_ft * 12_000 / 0.9  # lb-in
    inner = depth_in**2 - 2 * pulled / (0.85 * fc_psi * width_in)
    if inner < 0:
        return math.inf
    return NEEDED.value(fc=fc_psi, b=width_in, d=depth_in, Mu=moment_kip_ft, fy=yield_ksi)
