"""Every check of a pad's concrete and steel against factored loads, ACI 318-19, worst first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Step, compare, not_checked, readable, worst_first
from sitecalc.foundation.flexure import RULE
from sitecalc.foundation.pad_bending import anchored, bending, hardest_bent, least_steel
from sitecalc.foundation.pad_forces import Factored, cut_forces, factored, stations
from sitecalc.foundation.pad_one_way import one_way_shear
from sitecalc.foundation.pad_shear import ONE_WAY_RULE, TWO_WAY_RULE
from sitecalc.foundation.pedestal import on_concrete, pedestal_checks
from sitecalc.foundation.punching import WORDS, Perimeter, Punching, perimeters, punching
from sitecalc.foundation.ring import Floats
from sitecalc.foundation.steel import check_steel
from sitecalc.foundation.strength_case import (
    EDITION,
    Stand,
    StrengthCase,
    layer_depth_in,
    require_sound_strength,
)
from sitecalc.foundation.transfer import moment_transfer

LEAST_DEPTH_IN = 6.0
_STRENGTHS = (
    ("bending-lower", "Bending, lower mat", RULE),
    ("bending-upper", "Bending, upper mat", RULE),
    ("one-way shear", "One-way shear", ONE_WAY_RULE),
    ("two-way shear", "Two-way shear", TWO_WAY_RULE),
)


@dataclass(frozen=True)
class StrengthResult:
    checks: tuple[Check, ...]


def check_strength(case: StrengthCase) -> StrengthResult:
    """With the checks of ``check_steel``. What is not known here is not checked."""
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
    return [
        not_checked(key, title, why, source=source, known=Known.MEMORY) for key, title, source in _STRENGTHS
    ]


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


def _strength_of_concrete(case: StrengthCase) -> Check:
    """2,500 psi, 3,000 in seismic design categories D to F."""
    least = 3_000.0 if case.seismic is None or case.seismic in "DEF" else 2_500.0
    given = case.mats.fc_psi
    source = "ACI 318-19, table 19.2.1.1"
    if case.seismic is None and given < least:
        why = (
            f"f'c {readable(given)} psi is enough in seismic design categories A to C only; it is not given."
        )
        return not_checked("least strength", "Strength of concrete", why, source=source, known=Known.READ)
    said = f"category {case.seismic}" if case.seismic else "any seismic design category"
    return compare(
        "least strength",
        "Strength of concrete",
        demand=least,
        capacity=given,
        unit="psi",
        source=source,
        known=Known.READ,
        case=said,
        note=f"f'c {readable(given)} psi, at least {readable(least)} psi, {said}.",
    )


def _depth(case: StrengthCase) -> Check:
    depth = min(layer_depth_in(case, "lower", axis) for axis in (0, 1))
    return compare(
        "depth",
        "Depth of lower mat",
        demand=LEAST_DEPTH_IN,
        capacity=max(0.0, depth),
        unit="in",
        source="ACI 318-19, 13.3.1.2",
        known=Known.MEMORY,
        note=f"{readable(depth)} in above the inner layer, at least 6 in.",
    )


def _two_way(case: StrengthCase, stand: Stand, found: Factored) -> list[Check]:
    """Pressing and, of separate legs, pulling: each by the mat on the side that is pulled."""
    tried = perimeters(case, stand, found.corners)
    title, key = "Two-way shear", "two-way shear"
    if not tried:
        why = f"The critical section round the {stand.word} runs off the pad."
        return [not_checked(key, title, why, source=TWO_WAY_RULE, known=Known.MEMORY, unit="psi")]
    worked = punching(case, found, tried)
    strengths = np.array([worked.strength(case, k).design_psi for k in range(len(tried))])
    if stand.block or len(tried[0].legs) > 1:
        punched = _punched(case, stand, found, worked, worked.stress_psi, strengths, key, title)
        return [punched, moment_transfer(case, stand, found, worked)] if stand.block else [punched]
    checks = []
    for mat, sign in (("lower", 1.0), ("upper", -1.0)):
        counted = np.array([p.mat == mat for p in tried])
        stress = np.where(counted & (sign * worked.force_kip > 0), worked.stress_psi, 0.0)
        if stress.any():
            name, words = (key, title) if mat == "lower" else (f"{key}-pulled", f"{title}, pulled leg")
            checks.append(_punched(case, stand, found, worked, stress, strengths, name, words))
    return checks


def _punched(
    case: StrengthCase,
    stand: Stand,
    found: Factored,
    worked: Punching,
    stress: Floats,
    strengths: Floats,
    key: str,
    title: str,
) -> Check:
    ratio = stress / strengths
    row, k = divmod(int(np.argmax(ratio >= ratio.max() * (1 - 1e-9))), ratio.shape[1])
    at, blows = worked.perimeters[k], found.names[row]
    round_it = f"round all legs, {WORDS[at.alpha_s]}" if len(at.legs) > 1 else WORDS[at.alpha_s]
    demand, capacity = float(stress[row, k]), float(strengths[k])
    return compare(
        key,
        title,
        demand=demand,
        capacity=capacity,
        unit="psi",
        source=TWO_WAY_RULE,
        known=Known.MEMORY,
        case=blows,
        note=f"{readable(demand)} of {readable(capacity)} psi round the {stand.word}, {round_it}, {blows}.",
        steps=_two_way_steps(case, at, worked, row, k),
    )


def _two_way_steps(case: StrengthCase, at: Perimeter, worked: Punching, row: int, k: int) -> tuple[Step, ...]:
    force = float(worked.force_kip[row, k])
    moments = (float(worked.moment_x_kip_ft[row, k]), float(worked.moment_y_kip_ft[row, k]))
    strength, mat, lines = worked.strength(case, k), at.mat, worked.sections
    length, gamma, polar = float(lines.length_in[k]), lines.gamma_v[k], lines.polar_in4[k]
    rule = "min(4, 2 + alpha d / bo) lambda sqrt f'c"
    return (
        Step("d", f"mean depth, {mat} mat", "h - cover - db", f"{at.depth_in:g}", at.depth_in, "in"),
        Step(
            "bo", "critical section, d/2 out", "sum of its faces", f"{len(at.segments)} faces", length, "in"
        ),
        Step("Vu", "force through the section", "F - soil within it", "contact polygon", force, "kip"),
        *(
            Step(f"M{way}", "moment about its center", "M - soil within it", "contact polygon", m, "kip-ft")
            for way, m in zip("xy", moments, strict=True)
        ),
        *(
            Step(
                f"gv/J{way}",
                "share of the moment that shears, over Jc",
                "gamma_v / Jc",
                f"{gamma[axis]:.3f} / {polar[axis]:,.0f}",
                float(gamma[axis] / polar[axis]),
                "1/in4",
            )
            for axis, way in enumerate("xy")
        ),
        Step(
            "vu",
            "greatest stress, at an end of a face",
            "Vu / (bo d) + gv Mx x / Jx + gv My y / Jy",
            _stress_numbers(
                at, 1000 * force / length / at.depth_in, moments, gamma / polar, lines.center_ft[k]
            ),
            float(worked.stress_psi[row, k]),
            "psi",
        ),
        Step(
            "phi vc",
            "design strength, size effect neglected (13.2.6.2)",
            f"phi {rule}",
            f"0.75 x min(4, 2 + {at.alpha_s:g} x {at.depth_in:g} / {length:.1f}) x {case.light:g} "
            f"x sqrt {case.mats.fc_psi:g}",
            strength.design_psi,
            "psi",
        ),
    )


def _stress_numbers(
    at: Perimeter, straight: float, moments: tuple[float, float], share: Floats, center: Floats
) -> str:
    """The three terms at the end that is stressed most, psi."""
    ends = 12 * (np.array(at.segments).reshape(-1, 2) - center)
    turned = 12_000 * np.array(moments) * share * ends
    x, y = turned[int(np.argmax(np.abs(straight + turned.sum(axis=1))))]
    return f"|{straight:.2f} + {x:.2f} + {y:.2f}|"
