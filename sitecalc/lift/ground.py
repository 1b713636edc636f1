"""Ground under the outriggers: load on one outrigger, bearing of its mat, mat as a beam, trenches."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked, readable
from sitecalc.inputs import quantity, require_valid

QUICK = (
    "Queensland mobile crane code of practice (Crane Industry Council of Australia): P = 0.65 (crane + load)"
)
RIGID = "Rigid carrier on four outriggers: P = V/4 +- Mx/(2 dt) +- My/(2 dl), slewed through 360 degrees"
TYPED = "crane maker's outrigger load, as given"
DUERR = "D. Duerr, Effective bearing length of crane mats (2010), eq. 1-8"
SLOPE = "Mats outside a 1:1 line from the toe of an excavation; fresh backfill bears nothing"
QUICK_SHARE = 0.65


@dataclass(frozen=True, kw_only=True)
class OutriggerCase:
    """``outrigger_lb`` from the crane maker's tables wins over ``moment_ft_lb``, that over the quick rule."""

    crane_lb: float = quantity("lb", "crane as set up, with counterweight", low=1000, high=3_000_000)
    gross_lb: float = quantity("lb", "gross load on the hook", low=0, high=1_000_000)
    outrigger_lb: float | None = quantity(
        "lb", "greatest outrigger load by the maker", low=0, high=2_000_000, default=None
    )
    moment_ft_lb: float | None = quantity(
        "ft-lb", "net moment about the middle of the outriggers", low=0, high=100_000_000, default=None
    )
    across_ft: float | None = quantity("ft", "outrigger pads, side to side", low=3, high=60, default=None)
    along_ft: float | None = quantity("ft", "outrigger pads, front to rear", low=3, high=60, default=None)


@dataclass(frozen=True)
class OutriggerLoad:
    """``lifts``: an outrigger would come off the ground, so the rigid formula does not hold."""

    load_lb: float
    how: str
    lifts: bool


def outrigger_reactions(
    total_lb: float, moment_ft_lb: float, slew_deg: float, across_ft: float, along_ft: float
) -> tuple[float, float, float, float]:
    """Rigid four-outrigger reactions (front left and right, rear right and left); slew 0 is ahead."""
    slew = math.radians(slew_deg)
    lengthwise = moment_ft_lb * math.cos(slew) / (2 * along_ft)
    sideways = moment_ft_lb * math.sin(slew) / (2 * across_ft)
    quarter = total_lb / 4
    return (
        quarter + lengthwise + sideways,
        quarter + lengthwise - sideways,
        quarter - lengthwise - sideways,
        quarter - lengthwise + sideways,
    )


def greatest_outrigger_load(case: OutriggerCase) -> OutriggerLoad:
    require_valid(case)
    total = case.crane_lb + case.gross_lb
    if case.outrigger_lb is not None:
        return OutriggerLoad(case.outrigger_lb, TYPED, False)
    if case.moment_ft_lb is None or case.across_ft is None or case.along_ft is None:
        return OutriggerLoad(QUICK_SHARE * total, QUICK, False)
    swept = [
        outrigger_reactions(total, case.moment_ft_lb, slew, case.across_ft, case.along_ft)
        for slew in range(360)
    ]
    return OutriggerLoad(max(map(max, swept)), RIGID, min(map(min, swept)) < 0)


@dataclass(frozen=True, kw_only=True)
class MatCase:
    outriggers: OutriggerCase
    mat_length_ft: float = quantity("ft", "mat, longer side", low=0.5, high=40)
    mat_width_ft: float = quantity("ft", "mat, shorter side", low=0.5, high=20)
    mat_thick_in: float = quantity("in", "mat thickness", low=0.5, high=36)
    mat_lb: float = quantity("lb", "weight of one mat", low=0, high=50_000)
    float_ft: float = quantity("ft", "outrigger pad on the mat, along the mat", low=0.2, high=10)
    soil_psf: float | None = quantity(
        "psf", "allowable bearing under the mats", low=0, high=20_000, default=None
    )
    on_backfill: bool | None = quantity("", "a mat stands on backfill or fill nobody tested", default=None)
    excavation_off_ft: float | None = quantity(
        "ft", "nearest mat edge to the toe of an excavation or its backfill", low=0, high=2000, default=None
    )
    excavation_deep_ft: float | None = quantity(
        "ft", "depth of that excavation", low=0, high=100, default=None
    )
    mat_bending_psi: float | None = quantity(
        "psi", "allowable bending stress of the mat", low=1, high=60_000, default=None
    )
    mat_shear_psi: float | None = quantity(
        "psi", "allowable shear stress of the mat", low=1, high=40_000, default=None
    )


@dataclass(frozen=True)
class MatBeam:
    """The mat as two cantilevers from the outrigger pad, over the whole mat."""

    bearing_psf: float
    overhang_ft: float
    moment_ft_lb: float
    bending_psi: float
    shear_lb: float
    shear_psi: float


@dataclass(frozen=True)
class GroundResult:
    outrigger: OutriggerLoad
    mat: MatBeam
    checks: tuple[Check, ...]


def mat_beam(
    load_lb: float, length_ft: float, width_ft: float, thick_in: float, float_ft: float, mat_lb: float
) -> MatBeam:
    """Bearing with the mat's own weight; bending and shear without it, as it bears where it lies."""
    bearing = (load_lb + mat_lb) / (length_ft * width_ft)
    upward = load_lb / (length_ft * width_ft)
    overhang = max((length_ft - float_ft) / 2, 0.0)
    moment = upward * width_ft * overhang**2 / 2
    width_in = 12 * width_ft
    shear = upward * width_ft * max(overhang - thick_in / 12, 0.0)
    return MatBeam(
        bearing,
        overhang,
        moment,
        12 * moment / (width_in * thick_in**2 / 6),
        shear,
        1.5 * shear / (width_in * thick_in),
    )


def ground_under_mats(case: MatCase) -> GroundResult:
    """Greatest load on one mat, its bearing on the soil, the mat's own strength, and excavations near by."""
    load = greatest_outrigger_load(case.outriggers)
    require_valid(case)
    mat = mat_beam(
        load.load_lb, case.mat_length_ft, case.mat_width_ft, case.mat_thick_in, case.float_ft, case.mat_lb
    )
    checks = [_bearing_check(case, load, mat), *_strength_checks(case, load, mat), _excavation_check(case)]
    return GroundResult(load, mat, tuple(checks))


def _bearing_check(case: MatCase, load: OutriggerLoad, mat: MatBeam) -> Check:
    known = Known.READ
    source = f"{load.how}; {DUERR}"
    if load.lifts:
        why = "An outrigger would lift: the crane maker's outrigger loads are needed."
        return not_checked("mat-bearing", "Ground", why, source=source, known=known, unit="psf")
    if case.soil_psf is None:
        why = f"{mat.bearing_psf:,.0f} psf under {load.load_lb:,.0f} lb; allowable bearing is not given."
        return not_checked("mat-bearing", "Ground", why, source=source, known=known, unit="psf")
    area = case.mat_length_ft * case.mat_width_ft
    return compare(
        "mat-bearing",
        "Ground",
        demand=mat.bearing_psf,
        capacity=case.soil_psf,
        unit="psf",
        note=f"{mat.bearing_psf:,.0f} of {case.soil_psf:,.0f} psf, at most {load.load_lb:,.0f} lb on one mat "
        f"{readable(case.mat_length_ft)} by {readable(case.mat_width_ft)} ft.",
        source=source,
        known=known,
        steps=(
            Step(
                "P",
                "greatest outrigger load",
                load.how.rsplit(": ", 1)[-1],
                _load_numbers(case),
                load.load_lb,
                "lb",
            ),
            Step(
                "q",
                "bearing under the mat",
                "q = (P + W) / (L B)",
                f"({load.load_lb:,.0f} + {case.mat_lb:,.0f}) / {area:.1f}",
                mat.bearing_psf,
                "psf",
            ),
        ),
    )


def _load_numbers(case: MatCase) -> str:
    given = case.outriggers
    if given.outrigger_lb is not None:
        return f"{given.outrigger_lb:,.0f}"
    if given.moment_ft_lb is None:
        return f"0.65 ({given.crane_lb:,.0f} + {given.gross_lb:,.0f})"
    return f"V {given.crane_lb + given.gross_lb:,.0f}, M {given.moment_ft_lb:,.0f}"


def _strength_checks(case: MatCase, load: OutriggerLoad, mat: MatBeam) -> list[Check]:
    rows = (
        ("mat-bending", "Mat in bending", mat.bending_psi, case.mat_bending_psi, "fb = 6 M / (B d2)"),
        ("mat-shear", "Mat in shear", mat.shear_psi, case.mat_shear_psi, "fv = 1.5 V / (B d)"),
    )
    checks = []
    for key, title, stress, allowed, formula in rows:
        if allowed is None or load.lifts:
            why = f"{stress:,.0f} psi in the mat; its allowable stress is not given."
            checks.append(not_checked(key, title, why, source=DUERR, known=Known.READ, unit="psi"))
            continue
        number = mat.moment_ft_lb if key == "mat-bending" else mat.shear_lb
        step = Step("f", title.lower(), formula, f"from {number:,.0f}", stress, "psi")
        checks.append(
            compare(
                key,
                title,
                demand=stress,
                capacity=allowed,
                unit="psi",
                source=DUERR,
                known=Known.READ,
                steps=(step,),
            )
        )
    return checks


def _excavation_check(case: MatCase) -> Check:
    key, title = "mat-excavation", "Excavation near the mats"
    if case.on_backfill is None or case.excavation_off_ft is None or case.excavation_deep_ft is None:
        why = "Distance of the mats to excavations, trenches and backfill is not given."
        return not_checked(key, title, why, source=SLOPE, known=Known.PRACTICE, unit="ft")
    off = 0.0 if case.on_backfill else case.excavation_off_ft
    note = (
        "A mat stands on backfill: it bears nothing until tested."
        if case.on_backfill
        else f"No mat within {readable(case.excavation_deep_ft)} ft of the toe; {readable(off)} ft kept."
    )
    # at least a foot, so that a mat on backfill of a shallow cut fails too
    required = max(case.excavation_deep_ft, 1.0)
    return compare(
        key, title, demand=required, capacity=off, unit="ft", note=note, source=SLOPE, known=Known.PRACTICE
    )
