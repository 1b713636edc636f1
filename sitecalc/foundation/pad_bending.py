"""Bending and one-way shear of a pad across full-width cuts, and what steel and anchorage they ask for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Step, compare, not_checked, readable
from sitecalc.foundation.development import HOOK_RULE, STRAIGHT_RULE
from sitecalc.foundation.flexure import RULE, Flexure, bending_strength, steel_needed_in2
from sitecalc.foundation.pad_forces import CutForces, Factored, Station
from sitecalc.foundation.pad_shear import ONE_WAY_RULE, PHI, OneWay, one_way_strength
from sitecalc.foundation.ring import Floats
from sitecalc.foundation.steel import LEAST_RATIO
from sitecalc.foundation.strength_case import (
    Mat,
    Stand,
    StrengthCase,
    banded,
    crossing_bars,
    developed_bars,
    layer_depth_in,
    past_in,
    width_ft,
)
from sitecalc.foundation.tables import bars

SECTION_RULE = "table 13.2.7.1, full width"
_SAME = 1e-9
_BARS = ("bars east to west", "bars north to south")


@dataclass(frozen=True)
class Bent:
    """The hardest worked cut of one mat. ``moment`` 0: nothing pulls that mat."""

    mat: Mat
    row: int
    cut: Station
    moment_kip_ft: float
    steel_in2: float
    width_in: float
    depth_in: float
    strength: Flexure


def hardest_bent(
    case: StrengthCase, found: Factored, cuts: list[Station], forces: CutForces, mat: Mat
) -> Bent:
    """By moment over strength, of all winds, combinations and cuts."""
    sign = 1.0 if mat == "lower" else -1.0
    at = [i for i, cut in enumerate(cuts) if "moment" in cut.use]
    strengths = [_bent(case, cuts[i], mat) for i in at]
    demand = np.maximum(0.0, sign * forces.moment_kip_ft[:, at])
    row, k = _first_greatest(demand, np.array([s.strength.design_kip_ft for s in strengths]))
    worst = strengths[k]
    return Bent(
        mat,
        row,
        worst.cut,
        float(demand[row, k]),
        worst.steel_in2,
        worst.width_in,
        worst.depth_in,
        worst.strength,
    )


def _bent(case: StrengthCase, cut: Station, mat: Mat) -> Bent:
    bar = bars()[case.mats.size]
    steel = developed_bars(case, mat, cut.axis, cut.off_ft) * bar.area_in2 * banded(case, cut.axis)
    width = 12 * width_ft(case, cut.axis, cut.off_ft)
    depth = layer_depth_in(case, mat, cut.axis)
    strength = bending_strength(width, depth, steel, case.mats.fc_psi, case.mats.yield_ksi)
    return Bent(mat, 0, cut, 0.0, steel, width, depth, strength)


def _first_greatest(demand: Floats, capacity: Floats) -> tuple[int, int]:
    """(row, column) of the greatest ratio; of equal ones the first wind, which is nearest the prevailing."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(demand > 1e-9, demand / capacity, 0.0)
    most = ratio.max()
    row, column = divmod(int(np.argmax(ratio >= most * (1 - _SAME))), ratio.shape[1])
    return row, column


def bending(case: StrengthCase, found: Factored, bent: Bent) -> Check:
    title = f"Bending, {bent.mat} mat"
    source = f"{RULE}; {SECTION_RULE}"
    key = f"bending-{bent.mat}"
    if not bent.strength.tension_controlled and bent.steel_in2 > 0:
        why = "More steel than 7.3.3.1 lets a slab have: the concrete would crush first."
        return not_checked(key, title, why, source=source, known=Known.MEMORY, unit="kip-ft")
    design = bent.strength.design_kip_ft
    if bent.moment_kip_ft <= 1e-9:
        note, where = f"Nothing pulls the {bent.mat} mat; it holds {readable(design)} kip-ft.", ""
    else:
        where = found.names[bent.row]
        note = (
            f"{readable(bent.moment_kip_ft)} of {readable(design)} kip-ft, {where}, {_cut_words(bent.cut)}."
        )
    return compare(
        key,
        title,
        demand=bent.moment_kip_ft,
        capacity=design,
        unit="kip-ft",
        source=source,
        known=Known.MEMORY,
        case=where,
        note=note,
        steps=_bending_steps(case, bent),
    )


def _bending_steps(case: StrengthCase, bent: Bent) -> tuple[Step, ...]:
    mats, s = case.mats, bent.strength
    fc, fy = mats.fc_psi, mats.yield_ksi
    push = (
        "soil up, weight and legs down" if bent.mat == "lower" else "weight and legs on the part that lifts"
    )
    bar, share = bars()[mats.size], banded(case, bent.cut.axis)
    count = round(bent.steel_in2 / bar.area_in2 / share)
    counted = "" if share == 1 else f" x {share:.3f}"
    return (
        Step(
            "Mu", f"moment beyond the cut, {push}", "sum F x", "contact polygon", bent.moment_kip_ft, "kip-ft"
        ),
        Step(
            "As",
            _BARS[bent.cut.axis],
            "n Ab" if share == 1 else "n Ab (b + 1) / (2 b), middle band of 13.3.3.3",
            f"{count} x {bar.area_in2:g}{counted}",
            bent.steel_in2,
            "in2",
        ),
        Step(
            "d", "depth of that layer", "h - cover - db/2 or 3db/2", f"{bent.depth_in:g}", bent.depth_in, "in"
        ),
        Step(
            "a",
            "depth of the stress block",
            "As fy / (0.85 f'c b)",
            f"{bent.steel_in2:.2f} x {fy:g} / (0.85 x {fc / 1000:g} x {bent.width_in:.1f})",
            s.block_in,
            "in",
        ),
        Step(
            "phi Mn",
            "design strength",
            "phi As fy (d - a/2)",
            f"{s.phi:.2f} x {bent.steel_in2:.2f} x {fy:g} x ({bent.depth_in:g} - {s.block_in:.3f}/2) / 12",
            s.design_kip_ft,
            "kip-ft",
        ),
    )


def _cut_words(cut: Station) -> str:
    at = abs(cut.off_ft)
    side = (("east", "west"), ("north", "south"))[cut.axis][cut.off_ft < 0]
    return "cut through the middle" if at < 1e-3 else f"cut {readable(round(at, 2))} ft {side} of the middle"


def least_steel(case: StrengthCase, bent: Bent) -> Check | None:
    """0.0018 of the gross section near the pulled face; of an upper mat a third more than needed will do."""
    key, title = f"minimum-{bent.mat}", f"Minimum steel, {bent.mat} mat"
    bar, height = bars()[case.mats.size], case.pad.thickness_ft * 12
    axis = min((0, 1), key=lambda a: crossing_bars(case, a, 0.0) / width_ft(case, a, 0.0))
    width = 12 * width_ft(case, axis, 0.0)
    given, gross = crossing_bars(case, axis, 0.0) * bar.area_in2, LEAST_RATIO * width * height
    steps = [
        Step("As,min", "least steel", "0.0018 b h", f"0.0018 x {width:.1f} x {height:g}", gross, "in2"),
        Step(
            "As",
            "steel of that mat",
            "n Ab",
            f"{crossing_bars(case, axis, 0.0)} x {bar.area_in2:g}",
            given,
            "in2",
        ),
    ]
    needed, rule, known = gross, "ACI 318-19, 7.6.1.1 and 8.6.1.1, near the pulled face", Known.MEMORY
    if bent.mat == "upper":
        if bent.moment_kip_ft <= 1e-9:
            return None
        mats = case.mats
        worked = steel_needed_in2(
            bent.moment_kip_ft, bent.width_in, bent.depth_in, mats.fc_psi, mats.yield_ksi
        )
        steps.append(
            Step(
                "4/3 As", "a third more than Mu needs", "4/3 As", f"4/3 x {worked:.2f}", 4 / 3 * worked, "in2"
            )
        )
        if 4 / 3 * worked < gross:
            needed, known = 4 / 3 * worked, Known.PRACTICE
            rule = "a third more steel than is needed, as for beams by ACI 318-19, 9.6.1.3"
    note = f"{given:.2f} in² each way in the {bent.mat} mat, {needed:.2f} in² required."
    return compare(
        key,
        title,
        demand=needed,
        capacity=given,
        unit="in2",
        source=rule,
        known=known,
        case=_BARS[axis],
        note=note,
        steps=steps,
    )


def anchored(case: StrengthCase, stand: Stand, bent: Bent) -> Check | None:
    """Bars run far enough past the outermost cut to be pulled to yield there."""
    if bent.mat == "upper" and bent.moment_kip_ft <= 1e-9:
        return None
    hooked = case.mats.ends != "straight"
    out = [
        (max(abs(place[a]) for place in stand.places) + (stand.side_ft / 2 if stand.block else 0.0), a)
        for a in (0, 1)
    ]
    lengths = [(case.development_in[bent.mat, a], past_in(case, a, off), a) for off, a in out]
    both, given, axis = max(lengths, key=lambda x: x[0][hooked] / max(x[1], 1e-9))
    note = (
        f"{readable(given)} in past the {'face' if stand.block else 'legs'}, "
        f"{readable(both[hooked])} in required, {'hooked' if hooked else 'straight'}."
    )
    if not hooked and both[0] > given >= both[1]:
        note += f" With standard hooks {readable(both[1])} in will do."
    mats = case.mats
    numbers = f"{mats.size}, f'c {mats.fc_psi:g} psi, fy {mats.yield_ksi:g} ksi"
    return compare(
        f"development-{bent.mat}",
        f"Development, {bent.mat} mat",
        demand=both[hooked],
        capacity=max(0.0, given),
        unit="in",
        source=HOOK_RULE if hooked else STRAIGHT_RULE,
        known=Known.MEMORY,
        case=_BARS[axis],
        note=note,
        steps=(
            Step("ld", "straight", "fy psi db / (25 or 20 sqrt f'c)", numbers, both[0], "in"),
            Step("ldh", "hooked", "fy psi db^1.5 / (55 sqrt f'c)", numbers, both[1], "in"),
            Step("l", "bar past the critical section", "half side - cover - face", "", given, "in"),
        ),
    )


def one_way_shear(case: StrengthCase, found: Factored, cuts: list[Station], forces: CutForces) -> Check:
    """Pressed parts at d from the face, lifted parts, which hang from it, at the face itself."""
    demand, strengths, where = _shears(case, cuts, forces)
    if not where:
        return compare(
            "one-way shear",
            "One-way shear",
            demand=0.0,
            capacity=1.0,
            unit="kip",
            source=ONE_WAY_RULE,
            known=Known.MEMORY,
            note="The depth reaches past the edge of the pad; nothing is left to shear.",
        )
    row, k = _first_greatest(demand, np.array([s.design_kip for s in strengths]))
    (cut, mat, steel, width, depth), strength, shear = where[k], strengths[k], float(demand[row, k])
    how = "at d from the face" if mat == "lower" else "at the face, hanging"
    blows = found.names[row]
    mats = case.mats
    return compare(
        "one-way shear",
        "One-way shear",
        demand=shear,
        capacity=strength.design_kip,
        unit="kip",
        source=ONE_WAY_RULE,
        known=Known.MEMORY,
        case=blows,
        note=f"{readable(shear)} of {readable(strength.design_kip)} kip, {blows}, {_cut_words(cut)}, {how}.",
        steps=(
            Step("Vu", "shear beyond the cut", "sum F", "contact polygon", shear, "kip"),
            Step(
                "rho",
                f"{mat} mat, {_BARS[cut.axis]}",
                "As / (b d)",
                f"{steel:.2f} / ({width:.1f} x {depth:g})",
                strength.steel_ratio,
                "",
            ),
            Step(
                "vc",
                "stress the concrete holds, size effect neglected (13.2.6.2)",
                "8 lambda rho^(1/3) sqrt f'c <= 5 lambda sqrt f'c",
                f"8 x {case.light:g} x {strength.steel_ratio:.5f}^(1/3) x sqrt {mats.fc_psi:g}",
                strength.stress_psi,
                "psi",
            ),
            Step(
                "phi Vc",
                "design strength",
                "phi vc b d",
                f"{PHI:g} x {strength.stress_psi:.1f} x {width:.1f} x {depth:g} / 1000",
                strength.design_kip,
                "kip",
            ),
        ),
    )


Where = tuple[Station, Mat, float, float, float]


def _shears(
    case: StrengthCase, cuts: list[Station], forces: CutForces
) -> tuple[Floats, list[OneWay], list[Where]]:
    columns, strengths, where = [], [], []
    bar = bars()[case.mats.size]
    for i, cut in enumerate(cuts):
        mat: Mat = "lower" if "shear" in cut.use else "upper"
        if cut.use == ("moment",):
            continue
        pulled = forces.moment_kip_ft[:, i] > 0
        columns.append(np.where(pulled == (mat == "lower"), np.abs(forces.shear_kip[:, i]), 0.0))
        width, depth = 12 * width_ft(case, cut.axis, cut.off_ft), layer_depth_in(case, mat, cut.axis)
        steel = crossing_bars(case, cut.axis, cut.off_ft) * bar.area_in2
        strengths.append(one_way_strength(width, depth, steel, case.mats.fc_psi, case.light))
        where.append((cut, mat, steel, width, depth))
    return (np.stack(columns, axis=1) if columns else np.zeros((0, 0))), strengths, where
