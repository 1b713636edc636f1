"""Every check of a pad's concrete and steel against factored loads, ACI 318-19, worst first.

Where this and the modules it calls say "read in secondary copies": the clauses were read in public
clause-by-clause notes on ACI 318M-19 (chapters 7, 8, 13, 16, 20 to 22), the inch-pound constants of 22.5.5.1,
22.6.5.2, 22.2.2.4.3 and 25.4 in a teacher's summary and in public texts that restate them, 25.2.1, 25.3 and
25.5.2.1 in the latter alone. Nobody read the standard itself for them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Rule, Step, readable, worst_first
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.pad_bending import BENDING, anchored, bending, hardest_bent, least_steel, soil_step
from sitecalc.foundation.pad_forces import Factored, cut_forces, factored, stations
from sitecalc.foundation.pad_one_way import ONE_WAY, one_way_shear
from sitecalc.foundation.pad_shear import (
    FACTOR,
    NEAR_LEAST,
    TWO_WAY_DESIGN,
    TWO_WAY_RULE,
    TWO_WAY_STRESS,
    little_shear_psi,
)
from sitecalc.foundation.pedestal import on_concrete, pedestal_checks
from sitecalc.foundation.punching import WORDS, Perimeter, Punching, perimeters, punching
from sitecalc.foundation.ring import Floats
from sitecalc.foundation.steel import check_steel
from sitecalc.foundation.strength_case import (
    EDITION,
    FEET_ROOM,
    Stand,
    StrengthCase,
    layer_depth_in,
    punching_depth_in,
    punching_depth_step,
    require_sound_strength,
)
from sitecalc.foundation.transfer import moment_transfer

LEAST_DEPTH_IN = 6.0
STRENGTH_OF_CONCRETE = Rule(
    "least strength", "Strength of concrete", "psi", "ACI 318-19, table 19.2.1.1", Known.READ
)
DEPTH = Rule("depth", "Depth of lower mat", "in", "ACI 318-19, 13.3.1.2", Known.SECONDARY)
TWO_WAY = Rule("two-way shear", "Two-way shear", "psi", TWO_WAY_RULE, Known.SECONDARY)
# That 13.3.3.1 leads there was read in "Punching Shear in Spread Footings", S. K. Ghosh Associates, August
# 2025; the clause's own figures are from memory.
GRADE_60_PSI = 60_000.0
STEEL_NEAR = Rule(
    "steel near legs",
    "Steel near the legs for two-way shear",
    "psi",
    "ACI 318-19, 8.6.1.2 by 13.3.3.1",
    Known.MEMORY,
)
TWO_WAY_PULLED = Rule(
    "two-way shear-pulled", "Two-way shear, leg in uplift", "psi", TWO_WAY_RULE, Known.SECONDARY
)

PERIMETER = Formula("bo", "critical section, d/2 out", "sum(l)", "in", {"l": "its faces"})
SHARE = Formula("gv/J", "share of the moment that shears, over Jc", "gv/J", "1/in4")
GREATEST = Formula(
    "vu",
    "greatest stress, at an end of a face",
    "abs(1000*Vu/(bo*d) + 12000*gx*Mx*x + 12000*gy*My*y)",
    "psi",
    {"gx": "(gv/Jx)", "gy": "(gv/Jy)"},
)


@dataclass(frozen=True)
class StrengthResult:
    checks: tuple[Check, ...]


def check_strength(case: StrengthCase) -> StrengthResult:
    """Every check of concrete and steel in every wind, worst first, with those of ``check_steel``.

    What is not known is not checked. ACI 318-19 only; InputError for figures that make no pad.
    """
    require_sound_strength(case)
    if case.edition != EDITION:
        why = f"Only {EDITION} is known here, not {case.edition or 'an unnamed edition'}."
        return StrengthResult(tuple(_unchecked(why)))
    checks = [*check_steel(case.mats).checks, _strength_of_concrete(case), _depth(case)]
    stand = case.stand
    found = factored(case, stand) if stand else None
    if stand is None:
        checks += _unchecked("What stands on the pad is not known: legs, their spacing and base plates.")
    elif found is None:
        checks += _unchecked("Dead load, wind moment, shear and what kind of load they are must be given.")
    elif not found.balanced.all():
        name = found.names[int(np.argmin(found.balanced))]
        checks += _unchecked(f"No soil pressure balances {name}.")
    else:
        checks += _worked(case, stand, found)
    return StrengthResult(tuple(worst_first(checks)))


def _unchecked(why: str) -> list[Check]:
    return [rule.open(why) for rule in (BENDING["lower"], BENDING["upper"], ONE_WAY, TWO_WAY)]


def _worked(case: StrengthCase, stand: Stand, found: Factored) -> list[Check]:
    cuts = stations(case, stand)
    forces = cut_forces(found, stand, cuts)
    checks: list[Check | None] = []
    for mat in ("lower", "upper"):
        bent = hardest_bent(case, found, cuts, forces, mat)
        checks += [bending(case, stand, found, bent), least_steel(case, bent), anchored(case, stand, bent)]
    checks.append(one_way_shear(case, stand, found, cuts, forces))
    checks += _two_way(case, stand, found)
    checks.append(on_concrete(case, stand, found))
    checks += pedestal_checks(case)
    return [check for check in checks if check is not None]


def _steel_near(case: StrengthCase, stand: Stand, found: Factored, worked: Punching) -> Check:
    """Where the direct shear round a leg is little no steel is asked near it beyond the minimum.

    13.3.3.1 sends two-way footings to chapter 8, so 8.6.1.2 is taken to count for them; ACI MNL-17(21) works
    a footing without it. Where it would ask for more, the engineer says whether it does.
    """
    depths = np.array([p.depth_in for p in worked.perimeters])
    limits = np.array([little_shear_psi(d, case.mats.fc_psi, case.light) for d in depths])
    direct = 1000 * np.abs(worked.force_kip) / (worked.sections.length_in * depths)
    ratio = direct / limits
    row, k = divmod(int(ratio.argmax()), ratio.shape[1])
    stress, limit, at = float(direct[row, k]), float(limits[k]), worked.perimeters[k]
    said = f"{readable(stress)} psi direct shear round the {stand.word}, {found.names[row]}"
    if stress <= limit:
        return STEEL_NEAR.not_asked(
            f"{said}, is not over {readable(limit)} psi: no steel beyond the minimum is asked near it."
        )
    across = 12 * stand.side_ft + 3 * 12 * case.pad.thickness_ft
    length = float(worked.sections.length_in[k])
    asked = NEAR_LEAST.value(v=stress, bslab=across, bo=length, alpha=at.alpha_s, fy=GRADE_60_PSI)
    return STEEL_NEAR.open(
        f"{said}, is over {readable(limit)} psi: {readable(asked)} in2 each way within "
        f"{readable(across / 12)} ft round it, unless the engineer says that a footing needs none."
    )


def _strength_of_concrete(case: StrengthCase) -> Check:
    """2,500 psi, 3,000 in seismic design categories D to F."""
    least = 3_000.0 if case.seismic is None or case.seismic in "DEF" else 2_500.0
    given = case.mats.fc_psi
    if case.seismic is None and given < least:
        return STRENGTH_OF_CONCRETE.open(
            f"f'c {readable(given)} psi is enough in seismic design categories A to C only; it is not given."
        )
    said = f"category {case.seismic}" if case.seismic else "any seismic design category"
    return STRENGTH_OF_CONCRETE.compare(
        demand=least,
        capacity=given,
        case=said,
        note=f"f'c {readable(given)} psi, at least {readable(least)} psi, {said}.",
    )


def _depth(case: StrengthCase) -> Check:
    depth = min(layer_depth_in(case, "lower", axis) for axis in (0, 1))
    return DEPTH.compare(
        demand=LEAST_DEPTH_IN,
        capacity=max(0.0, depth),
        note=f"{readable(depth)} in above the inner layer, at least 6 in.",
    )


def _two_way(case: StrengthCase, stand: Stand, found: Factored) -> list[Check]:
    """Pressing and, of separate legs, pulling: each by the mat on the side that is pulled."""
    if punching_depth_in(case, "lower") <= 0:
        return [TWO_WAY.open(FEET_ROOM)]
    tried = perimeters(case, stand, found.corners)
    if not tried:
        return [TWO_WAY.open(f"The critical section round the {stand.word} runs off the pad.")]
    worked = punching(case, found, tried)
    near = _steel_near(case, stand, found, worked)
    strengths = np.array([worked.strength(case, k).design_psi for k in range(len(tried))])
    if stand.block or len(tried[0].legs) > 1:
        punched = _punched(case, stand, found, worked, worked.stress_psi, strengths, TWO_WAY)
        return [punched, near, *([moment_transfer(case, stand, found, worked)] if stand.block else [])]
    checks = [near]
    for mat, sign in (("lower", 1.0), ("upper", -1.0)):
        counted = np.array([p.mat == mat for p in tried])
        stress = np.where(counted & (sign * worked.force_kip > 0), worked.stress_psi, 0.0)
        if stress.any():
            rule = TWO_WAY if mat == "lower" else TWO_WAY_PULLED
            checks.append(_punched(case, stand, found, worked, stress, strengths, rule))
    return checks


def _punched(
    case: StrengthCase,
    stand: Stand,
    found: Factored,
    worked: Punching,
    stress: Floats,
    strengths: Floats,
    rule: Rule,
) -> Check:
    ratio = stress / strengths
    row, k = divmod(int(np.argmax(ratio >= ratio.max() * (1 - 1e-9))), ratio.shape[1])
    at, blows = worked.perimeters[k], found.names[row]
    round_it = f"round all legs, {WORDS[at.alpha_s]}" if len(at.legs) > 1 else WORDS[at.alpha_s]
    demand, capacity = float(stress[row, k]), float(strengths[k])
    return rule.compare(
        demand=demand,
        capacity=capacity,
        case=blows,
        note=f"{readable(demand)} of {readable(capacity)} psi round the {stand.word}, {round_it}, {blows}.",
        steps=(soil_step(found, row), *_two_way_steps(case, at, worked, row, k)),
    )


def _two_way_steps(case: StrengthCase, at: Perimeter, worked: Punching, row: int, k: int) -> tuple[Step, ...]:
    force = float(worked.force_kip[row, k])
    moments = (float(worked.moment_x_kip_ft[row, k]), float(worked.moment_y_kip_ft[row, k]))
    lines, beta, how = worked.sections, 1.0, "contact polygon"  # the loaded area is a square
    depth = punching_depth_step(case, at.mat)
    length = PERIMETER.step(l=tuple(12 * math.dist(p, q) for p, q in at.segments))
    shares = [
        SHARE.step_of(SHARE.meaning, f"gv/J{way}", gv=float(gamma), J=float(polar))
        for way, gamma, polar in zip("xy", lines.gamma_v[k], lines.polar_in4[k], strict=True)
    ]
    numbers = {"Vu": force, "bo": length.value, "d": depth.value}
    numbers |= {"gx": shares[0].value, "Mx": moments[0], "gy": shares[1].value, "My": moments[1]}
    # the end of a face that is stressed most
    ends = [(float(x), float(y)) for x, y in 12 * (np.array(at.segments).reshape(-1, 2) - lines.center_ft[k])]
    x, y = max(ends, key=lambda end: GREATEST.value(**numbers, x=end[0], y=end[1]))
    factor = FACTOR.step(beta=beta, alpha=at.alpha_s, d=depth.value, bo=length.value)
    stress = TWO_WAY_STRESS.step(k=factor.value, size=1.0, la=case.light, fc=case.mats.fc_psi)
    return (
        depth,
        length,
        looked_up("Vu", "force through the section", "F - soil within it", how, force, "kip"),
        *(
            looked_up(f"M{way}", "moment about its center", "M - soil within it", how, moment, "kip-ft")
            for way, moment in zip("xy", moments, strict=True)
        ),
        *shares,
        GREATEST.step(**numbers, x=x, y=y),
        factor,
        stress,
        TWO_WAY_DESIGN.step(vc=stress.value),
    )
