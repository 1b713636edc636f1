"""Bending of a pad across full-width cuts, and what steel and anchorage of bars it asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Step, compare, not_checked, readable
from sitecalc.foundation.development import HOOK_RULE, STRAIGHT_RULE
from sitecalc.foundation.flexure import RULE, Flexure, bending_strength, steel_needed_in2
from sitecalc.foundation.pad_forces import CutForces, Factored, Part, Station, part_beyond
from sitecalc.foundation.rebar import Mat
from sitecalc.foundation.ring import Floats
from sitecalc.foundation.steel import LEAST_RATIO
from sitecalc.foundation.strength_case import (
    Stand,
    StrengthCase,
    banded,
    crossing_bars,
    developed_bars,
    layer_depth_in,
    past_in,
    width_ft,
)

SECTION_RULE = "table 13.2.7.1, full width"
_SAME = 1e-9
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
        note = f"{readable(bent.moment_kip_ft)} of {readable(design)} kip-ft, {where}, {cut_words(bent.cut)}."
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
        steps=_bending_steps(case, stand, found, bent),
    )


def part_steps(part: Part) -> tuple[Step, ...]:
    soil, weight = (f"{arm:.2f} ft from the cut" for arm in (part.soil_arm_ft, part.weight_arm_ft))
    return (
        Step("Q", "soil on the part beyond the cut", "contact polygon", soil, part.soil_kip, "kip"),
        Step("W", "factored pad and backfill there, less water", "w A", weight, part.weight_kip, "kip"),
        Step("F", "legs there, pressing", "sum F", "", part.legs_kip, "kip"),
    )


def _moment_steps(part: Part) -> tuple[Step, ...]:
    return (
        *part_steps(part),
        Step("Mf", "legs about the cut, with their shear", "sum F x + H h", "", part.legs_kip_ft, "kip-ft"),
        Step(
            "Mu",
            "moment at the cut; below 0 it pulls the upper mat",
            "Q xq - W xw - Mf",
            f"{part.soil_kip:.2f} x {part.soil_arm_ft:.3f} "
            f"- {part.weight_kip:.2f} x {part.weight_arm_ft:.3f} - {part.legs_kip_ft:.2f}",
            part.moment_kip_ft,
            "kip-ft",
        ),
    )


def _bending_steps(case: StrengthCase, stand: Stand, found: Factored, bent: Bent) -> tuple[Step, ...]:
    mats, s = case.mats, bent.strength
    fc, fy = mats.fc_psi, mats.yield_ksi
    bar, share = mats.bar_of(bent.mat), banded(case, bent.cut.axis)
    count = round(bent.steel_in2 / bar.area_in2 / share)
    counted = "" if share == 1 else f" x {share:.3f}"
    return (
        *_moment_steps(part_beyond(found, stand, bent.cut, bent.row)),
        Step(
            "As",
            BARS[bent.cut.axis],
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


def cut_words(cut: Station) -> str:
    at = abs(cut.off_ft)
    side = (("east", "west"), ("north", "south"))[cut.axis][cut.off_ft < 0]
    return "cut through the middle" if at < 1e-3 else f"cut {readable(round(at, 2))} ft {side} of the middle"


def least_steel(case: StrengthCase, bent: Bent) -> Check | None:
    """0.0018 of the gross section near the pulled face; of an upper mat a third more than needed will do."""
    key, title = f"minimum-{bent.mat}", f"Minimum steel, {bent.mat} mat"
    bar, height = case.mats.bar_of(bent.mat), case.pad.thickness_ft * 12
    crossing = [crossing_bars(case, bent.mat, a, 0.0) for a in (0, 1)]
    axis = min((0, 1), key=lambda a: crossing[a] / width_ft(case, a, 0.0))
    width = 12 * width_ft(case, axis, 0.0)
    given, gross = crossing[axis] * bar.area_in2, LEAST_RATIO * width * height
    steps = [
        Step("As,min", "least steel", "0.0018 b h", f"0.0018 x {width:.1f} x {height:g}", gross, "in2"),
        Step(
            "As",
            "steel of that mat",
            "n Ab",
            f"{crossing[axis]} x {bar.area_in2:g}",
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
        case=BARS[axis],
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
    lengths = [(case.development_in[bent.mat, a], past_in(case, bent.mat, a, off), a) for off, a in out]
    both, given, axis = max(lengths, key=lambda x: x[0][hooked] / max(x[1], 1e-9))
    note = (
        f"{readable(given)} in past the {'face' if stand.block else 'legs'}, "
        f"{readable(both[hooked])} in required, {'hooked' if hooked else 'straight'}."
    )
    if not hooked and both[0] > given >= both[1]:
        note += f" With standard hooks {readable(both[1])} in will do."
    mats = case.mats
    numbers = f"{mats.size_of(bent.mat)}, f'c {mats.fc_psi:g} psi, fy {mats.yield_ksi:g} ksi"
    return compare(
        f"development-{bent.mat}",
        f"Development, {bent.mat} mat",
        demand=both[hooked],
        capacity=max(0.0, given),
        unit="in",
        source=HOOK_RULE if hooked else STRAIGHT_RULE,
        known=Known.MEMORY,
        case=BARS[axis],
        note=note,
        steps=(
            Step("ld", "straight", "fy psi db / (25 or 20 sqrt f'c)", numbers, both[0], "in"),
            Step("ldh", "hooked", "fy psi db^1.5 / (55 sqrt f'c)", numbers, both[1], "in"),
            Step("l", "bar past the critical section", "half side - cover - face", "", given, "in"),
        ),
    )
