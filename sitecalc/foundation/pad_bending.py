"""Bending of a pad across full-width cuts, and what steel and anchorage of bars it asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.bearing import contact_step
from sitecalc.foundation.development import HOOK_RULE, STRAIGHT_RULE, development_steps
from sitecalc.foundation.flexure import (
    BLOCK,
    DESIGN,
    NEEDED,
    RULE,
    Flexure,
    bending_strength,
    steel_needed_in2,
)
from sitecalc.foundation.pad_forces import MOMENT_AT_CUT, CutForces, Factored, Part, Station, part_beyond
from sitecalc.foundation.rebar import Mat
from sitecalc.foundation.ring import Floats
from sitecalc.foundation.steel import GROSS, LEAST
from sitecalc.foundation.strength_case import (
    Stand,
    StrengthCase,
    band_ratio,
    banded,
    crossing_bars,
    developed_bars,
    layer_depth_in,
    layer_depth_step,
    past_in,
    past_step,
    width_ft,
)

SECTION_RULE = "table 13.2.7.1, full width"
_SAME = 1e-9
PULLED_FACE = "ACI 318-19, 7.6.1.1 and 8.6.1.1, near the tension face"
BENDING: dict[Mat, Rule] = {
    "lower": Rule(
        "bending-lower", "Bending, lower mat", "kip-ft", f"{RULE}; {SECTION_RULE}", Known.SECONDARY
    ),
    "upper": Rule(
        "bending-upper", "Bending, upper mat", "kip-ft", f"{RULE}; {SECTION_RULE}", Known.SECONDARY
    ),
}
MINIMUM: dict[Mat, Rule] = {
    "lower": Rule("minimum-lower", "Minimum steel, lower mat", "in2", PULLED_FACE, Known.SECONDARY),
    "upper": Rule("minimum-upper", "Minimum steel, upper mat", "in2", PULLED_FACE, Known.SECONDARY),
}
# the same minimum, where the mat lies too deep to count
FAR: dict[Mat, Rule] = {
    mat: Rule(rule.key, rule.title, "in", f"{PULLED_FACE}: how near is common practice", Known.PRACTICE)
    for mat, rule in MINIMUM.items()
}
MINIMUM_BY_NEED = MINIMUM["upper"].stated(
    source="a third more steel than is needed, as for beams by ACI 318-19, 9.6.1.3", known=Known.PRACTICE
)
DEVELOPMENT: dict[Mat, Rule] = {
    "lower": Rule("development-lower", "Development, lower mat", "in", STRAIGHT_RULE, Known.SECONDARY),
    "upper": Rule("development-upper", "Development, upper mat", "in", STRAIGHT_RULE, Known.SECONDARY),
}

STEEL = Formula("As", "steel", "n*Ab", "in2")
STEEL_IN_BAND = Formula("As", "steel, by the middle band of 13.3.3.3", "n*Ab*(b + 1)/(2*b)", "in2")
THIRD_MORE = Formula("4/3 As", "a third more than Mu needs", "4/3*As", "in2")

NEAR_SHARE, LEAST_COVER_IN = 6, 3.0

BARS = ("bars east to west", "bars north to south")


@dataclass(frozen=True, kw_only=True)
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
    # a pad is alike to both sides of its middle
    places = [(cuts[i].axis, round(abs(cuts[i].off_ft), 9)) for i in at]
    known = {place: _bent(case, cuts[i], mat) for place, i in dict(zip(places, at, strict=True)).items()}
    strengths = [known[place] for place in places]
    demand = np.maximum(0.0, sign * forces.moment_kip_ft[:, at])
    row, k = first_greatest(demand, np.array([s.strength.design_kip_ft for s in strengths]))
    worst = strengths[k]
    return Bent(
        mat=mat,
        row=row,
        cut=cuts[at[k]],
        moment_kip_ft=float(demand[row, k]),
        steel_in2=worst.steel_in2,
        width_in=worst.width_in,
        depth_in=worst.depth_in,
        strength=worst.strength,
    )


def _bent(case: StrengthCase, cut: Station, mat: Mat) -> Bent:
    bar = case.mats.bar_of(mat)
    steel = developed_bars(case, mat, cut.axis, cut.off_ft) * bar.area_in2 * banded(case, cut.axis)
    width = 12 * width_ft(case, cut.axis, cut.off_ft)
    depth = layer_depth_in(case, mat, cut.axis)
    strength = bending_strength(width, depth, steel, case.mats.fc_psi, case.mats.yield_ksi)
    return Bent(
        mat=mat,
        row=0,
        cut=cut,
        moment_kip_ft=0.0,
        steel_in2=steel,
        width_in=width,
        depth_in=depth,
        strength=strength,
    )


def first_greatest(demand: Floats, capacity: Floats) -> tuple[int, int]:
    """(row, column) of the greatest ratio; of equal ones the first wind, which is nearest the prevailing."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(demand > 1e-9, demand / capacity, 0.0)
    most = ratio.max()
    row, column = divmod(int(np.argmax(ratio >= most * (1 - _SAME))), ratio.shape[1])
    return row, column


def bending(case: StrengthCase, stand: Stand, found: Factored, bent: Bent) -> Check:
    """Moment at the hardest worked cut against phi As fy (d - a/2), kip-ft.

    Full width of the pad, table 13.2.7.1; more steel than 7.3.3.1 lets a slab have is not checked.
    ACI 318-19, 22.2.2.4 (read in secondary copies).
    """
    rule = BENDING[bent.mat]
    if not bent.strength.tension_controlled and bent.steel_in2 > 0:
        return rule.open("More steel than 7.3.3.1 lets a slab have: the concrete would crush first.")
    design = bent.strength.design_kip_ft
    if bent.moment_kip_ft <= 1e-9:
        note, where = f"Nothing pulls the {bent.mat} mat; it holds {readable(design)} kip-ft.", ""
    else:
        where = found.names[bent.row]
        note = f"{readable(bent.moment_kip_ft)} of {readable(design)} kip-ft, {where}, {cut_words(bent.cut)}."
    return rule.compare(
        demand=bent.moment_kip_ft,
        capacity=design,
        case=where,
        note=note,
        steps=_bending_steps(case, stand, found, bent),
    )


def part_steps(found: Factored, row: int, part: Part) -> tuple[Step, ...]:
    """What presses on the part beyond a cut, kip, by statics: soil, weight, legs; and the soil's pressure."""
    soil, weight = (f"{arm:.2f} ft from the cut" for arm in (part.soil_arm_ft, part.weight_arm_ft))
    filled = "factored pad and backfill there, less water"
    return (
        soil_step(found, row),
        looked_up("Q", "soil on the part beyond the cut", "contact polygon", soil, part.soil_kip, "kip"),
        looked_up("W", filled, "w A of that part", weight, part.weight_kip, "kip"),
        looked_up("F", "legs there, pressing", "sum of F", "rigid base", part.legs_kip, "kip"),
    )


def soil_step(found: Factored, row: int) -> Step:
    """Factored pressure of the soil in that wind, ksf, by the statics of a rigid pad."""
    a, b, c = (1000 * float(value) for value in found.planes[row])
    return contact_step(found.corners, (a, b, c), "qu")


def _moment_steps(found: Factored, row: int, part: Part) -> tuple[Step, ...]:
    legs, turned = "legs about the cut, with their shear", "sum of F x + H h"
    return (
        *part_steps(found, row, part),
        looked_up("Mf", legs, turned, "rigid base", part.legs_kip_ft, "kip-ft"),
        MOMENT_AT_CUT.step(**part.turning),
    )


def _bending_steps(case: StrengthCase, stand: Stand, found: Factored, bent: Bent) -> tuple[Step, ...]:
    mats, axis = case.mats, bent.cut.axis
    bar, share = mats.bar_of(bent.mat), banded(case, axis)
    count = round(bent.steel_in2 / bar.area_in2 / share)
    if share == 1:
        steel = STEEL.step_of(BARS[axis], n=count, Ab=bar.area_in2)
    else:
        steel = STEEL_IN_BAND.step_of(
            f"{BARS[axis]}, by the middle band of 13.3.3.3",
            n=count,
            Ab=bar.area_in2,
            b=band_ratio(case, axis),
        )
    depth = layer_depth_step(case, bent.mat, axis)
    block = BLOCK.step(As=steel.value, fy=mats.yield_ksi, fc=mats.fc_psi, b=bent.width_in)
    design = DESIGN.step(
        phi=bent.strength.phi, As=steel.value, fy=mats.yield_ksi, d=depth.value, a=block.value
    )
    return (
        *_moment_steps(found, bent.row, part_beyond(found, stand, bent.cut, bent.row)),
        steel,
        depth,
        block,
        design,
    )


def cut_words(cut: Station) -> str:
    """Where the cut is, as a sentence says it."""
    at = abs(cut.off_ft)
    side = (("east", "west"), ("north", "south"))[cut.axis][cut.off_ft < 0]
    return "cut through the middle" if at < 1e-3 else f"cut {readable(round(at, 2))} ft {side} of the middle"


def least_steel(case: StrengthCase, bent: Bent) -> Check | None:
    """0.0018 b h of steel near the tension face, in2; of an upper mat a third more than Mu needs will do.

    None where nothing pulls the upper mat. ACI 318-19, 7.6.1.1 and 8.6.1.1 (read in secondary copies).
    """
    rule, mats = MINIMUM[bent.mat], case.mats
    crossing = [crossing_bars(case, bent.mat, a, 0.0) for a in (0, 1)]
    axis = min((0, 1), key=lambda a: crossing[a] / width_ft(case, a, 0.0))
    gross = GROSS.step(b=12 * width_ft(case, axis, 0.0), h=case.pad.thickness_ft * 12)
    least = LEAST.step(Ag=gross.value)
    given = STEEL.step_of("steel of that mat", n=crossing[axis], Ab=mats.bar_of(bent.mat).area_in2)
    steps, needed = [gross, least, given], least.value
    if bent.mat == "upper":
        if bent.moment_kip_ft <= 1e-9:
            return None
        more = _third_more(case, bent)
        steps += more
        if more and more[-1].value < needed:
            rule, needed = MINIMUM_BY_NEED, more[-1].value
    note = f"{given.value:.2f} in² each way in the {bent.mat} mat, {needed:.2f} in² required."
    far, near = _from_face_in(case, bent.mat), near_face_in(case, bent.mat)
    if far > near:
        place = f"{readable(far)} in inside the tension face, near is up to {readable(near)} in"
        return FAR[bent.mat].compare(demand=far, capacity=near, note=f"The mat lies {place}; {note}")
    return rule.compare(demand=needed, capacity=given.value, case=BARS[axis], note=note, steps=steps)


def _from_face_in(case: StrengthCase, mat: Mat) -> float:
    """Between the two layers of a mat and the face on its side, in."""
    return case.mats.cover_of(mat) + case.mats.bar_of(mat).diameter_in


def near_face_in(case: StrengthCase, mat: Mat) -> float:
    """How far in a mat may lie and still be near its face: a sixth of the thickness, or least cover and bars.

    Common practice, no source: the code says near and no number.
    """
    return max(
        case.pad.thickness_ft * 12 / NEAR_SHARE, LEAST_COVER_IN + 2 * case.mats.bar_of(mat).diameter_in
    )


def _third_more(case: StrengthCase, bent: Bent) -> list[Step]:
    """What Mu needs and a third more; nothing where no steel would do."""
    fc, fy = case.mats.fc_psi, case.mats.yield_ksi
    if not math.isfinite(steel_needed_in2(bent.moment_kip_ft, bent.width_in, bent.depth_in, fc, fy)):
        return []
    worked = NEEDED.step(fc=fc, b=bent.width_in, d=bent.depth_in, Mu=bent.moment_kip_ft, fy=fy)
    return [worked, THIRD_MORE.step(As=worked.value)]


def _development_rule(mat: Mat, hooked: bool) -> Rule:
    """Of hooked and of straight bars."""
    return DEVELOPMENT[mat].stated(source=HOOK_RULE) if hooked else DEVELOPMENT[mat]


def anchored(case: StrengthCase, stand: Stand, bent: Bent) -> Check | None:
    """Bars run ld, with hooks ldh, past the outermost cut, in, so that they can be pulled to yield there.

    ACI 318-19, 25.4 (read in secondary copies); None where nothing pulls the upper mat.
    """
    if bent.mat == "upper" and bent.moment_kip_ft <= 1e-9:
        return None
    hooked = case.mats.ends != "straight"
    out = [
        (max(abs(place[a]) for place in stand.places) + (stand.side_ft / 2 if stand.block else 0.0), a)
        for a in (0, 1)
    ]
    lengths = [(case.development_in[bent.mat, a], past_in(case, bent.mat, a, off), a, off) for off, a in out]
    both, given, axis, off = max(lengths, key=lambda x: x[0][hooked] / max(x[1], 1e-9))
    note = (
        f"{readable(given)} in past the {'face' if stand.block else 'legs'}, "
        f"{readable(both[hooked])} in required, {'hooked' if hooked else 'straight'}."
    )
    if not hooked and both[0] > given >= both[1]:
        note += f" With standard hooks {readable(both[1])} in will do."
    return _development_rule(bent.mat, hooked).compare(
        demand=both[hooked],
        capacity=max(0.0, given),
        case=BARS[axis],
        note=note,
        steps=(
            *development_steps(case.bar_in_concrete(bent.mat, axis)),
            past_step(case, bent.mat, axis, off),
        ),
    )
