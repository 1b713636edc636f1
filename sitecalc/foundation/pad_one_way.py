"""One-way shear of a pad across full-width cuts."""

from __future__ import annotations

import numpy as np

from sitecalc.checks import Check, Known, Rule, readable
from sitecalc.foundation.pad_bending import BARS, cut_words, first_greatest, part_steps
from sitecalc.foundation.pad_forces import SHEAR_AT_CUT, CutForces, Factored, Station, part_beyond
from sitecalc.foundation.pad_shear import (
    ONE_WAY_DESIGN,
    ONE_WAY_RULE,
    RATIO,
    STRESS,
    OneWay,
    one_way_strength,
)
from sitecalc.foundation.rebar import Mat
from sitecalc.foundation.ring import Floats
from sitecalc.foundation.strength_case import (
    Stand,
    StrengthCase,
    crossing_bars,
    layer_depth_in,
    width_ft,
)

ONE_WAY = Rule("one-way shear", "One-way shear", "kip", ONE_WAY_RULE, Known.SECONDARY)


def one_way_shear(
    case: StrengthCase, stand: Stand, found: Factored, cuts: list[Station], forces: CutForces
) -> Check:
    """Shear of pressed parts at d from the face, of lifted parts, which hang, at the face itself; kip.

    phi 8 lambda rho^(1/3) sqrt f'c b d, full width. ACI 318-19, 22.5.5.1(c) (read in secondary copies).
    """
    demand, strengths, where = _shears(case, cuts, forces)
    if not where:
        return ONE_WAY.not_asked("The depth reaches past the edge of the pad; nothing is left to shear.")
    row, k = first_greatest(demand, np.array([s.design_kip for s in strengths]))
    (cut, mat, steel, width, depth), strength, shear = where[k], strengths[k], float(demand[row, k])
    how = "at d from the face" if mat == "lower" else "at the face, hanging"
    blows, mats = found.names[row], case.mats
    part = part_beyond(found, stand, cut, row)
    ratio = RATIO.step_of(f"{mat} mat, {BARS[cut.axis]}", As=steel, b=width, d=depth)
    stress = STRESS.step(la=case.light, fc=mats.fc_psi, size=strength.size_factor, rho=ratio.value)
    design = ONE_WAY_DESIGN.step(vc=stress.value, b=width, d=depth)
    return ONE_WAY.compare(
        demand=shear,
        capacity=design.value,
        case=blows,
        note=f"{readable(shear)} of {readable(design.value)} kip, {blows}, {cut_words(cut)}, {how}.",
        steps=(*part_steps(found, row, part), SHEAR_AT_CUT.step(**part.pressing), ratio, stress, design),
    )


Where = tuple[Station, Mat, float, float, float]


def _shears(
    case: StrengthCase, cuts: list[Station], forces: CutForces
) -> tuple[Floats, list[OneWay], list[Where]]:
    columns, strengths, where = [], [], []
    for i, cut in enumerate(cuts):
        mat: Mat = "lower" if "shear" in cut.use else "upper"
        if cut.use == ("moment",):
            continue
        pulled = forces.moment_kip_ft[:, i] > 0
        columns.append(np.where(pulled == (mat == "lower"), np.abs(forces.shear_kip[:, i]), 0.0))
        width, depth = 12 * width_ft(case, cut.axis, cut.off_ft), layer_depth_in(case, mat, cut.axis)
        steel = crossing_bars(case, mat, cut.axis, cut.off_ft) * case.mats.bar_of(mat).area_in2
        strengths.append(one_way_strength(width, depth, steel, case.mats.fc_psi, case.light))
        where.append((cut, mat, steel, width, depth))
    return (np.stack(columns, axis=1) if columns else np.zeros((0, 0))), strengths, where
