"""Ground under the outriggers: load on one outrigger, bearing of its mat, mat as a beam, trenches."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import quantity, require_valid
from sitecalc.lift.figures import LiftFigures

QUICK = (
    "Queensland mobile crane code of practice (Crane Industry Council of Australia): P = 0.65 (crane + load)"
)
RIGID = "Rigid carrier on four outriggers: P = V/4 +- Mx/(2 dt) +- My/(2 dl), slewed through 360 degrees"
TYPED = "crane maker's outrigger load, as given"
DUERR = "D. Duerr, Effective bearing length of crane mats (2010), eq. 1-8"
SLOPE = "Mats outside a 1:1 line from the toe of an excavation; fresh backfill bears nothing"

MAT_BEARING = Rule("mat-bearing", "Ground", "psf", DUERR, Known.READ)
MAT_BENDING = Rule("mat-bending", "Mat in bending", "psi", DUERR, Known.READ)
MAT_SHEAR = Rule("mat-shear", "Mat in shear", "psi", DUERR, Known.READ)
MAT_EXCAVATION = Rule("mat-excavation", "Excavation near the mats", "ft", SLOPE, Known.PRACTICE)

QUICK_LOAD = Formula("P", "greatest outrigger load", "0.65*(crane+load)", "lb")
RIGID_LOAD = Formula(
    "P",
    "greatest outrigger load, slewed over it",
    "V/4+M*cos(slew)/(2*dl)+M*sin(slew)/(2*dt)",
    "lb",
)
LENGTHWISE = Formula("Pl", "outrigger by the moment ahead", "M*cos(slew)/(2*dl)", "lb")
SIDEWAYS = Formula("Pt", "outrigger by the moment to the side", "M*sin(slew)/(2*dt)", "lb")
BEARING = Formula("q", "bearing under the mat", "(P+W)/(L*B)", "psf")
OVERHANG = Formula("a", "mat beyond the outrigger pad", "max((L-F)/2,0)", "ft")
MOMENT = Formula("M", "moment of the mat", "P*a**2/(2*L)", "ft-lb")
BENDING = Formula("fb", "mat in bending", "6*12*M/(12*B*d**2)", "psi")
MAT_FORCE = Formula("V", "shear of the mat, its thickness from the pad", "P*max(a-d/12,0)/L", "lb")
SHEAR = Formula("fv", "mat in shear", "1.5*V/(12*B*d)", "psi")


@dataclass(frozen=True, kw_only=True)
class OutriggerCase:
    """``outrigger_lb`` from the crane maker's tables wins over ``moment_ft_lb``, that over the quick rule."""

    crane_lb: float = quantity(
        "lb", "crane as set up, with counterweight", low=1000, high=3_000_000, shown_at="crane"
    )
    gross_lb: float = quantity("lb", "gross load on the hook", low=0, high=1_000_000, shown_at="weight_lb")
    outrigger_lb: float | None = same_as(LiftFigures, "outrigger_lb")
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
    """Rigid four-outrigger reactions in lb (front left and right, rear right and left); slew 0 is ahead.

    total_lb, moment_ft_lb
        weight on the outriggers, lb, and net moment about their middle, ft-lb.
    slew_deg, across_ft, along_ft
        boom from ahead, degrees; outrigger pads side to side and front to rear, ft.

    V/4 +- M cos(slew) / (2 dl) +- M sin(slew) / (2 dt). A rigid carrier on level ground, while no outrigger
    lifts. Statics.
    """
    lengthwise = LENGTHWISE.value(M=moment_ft_lb, slew=slew_deg, dl=along_ft)
    sideways = SIDEWAYS.value(M=moment_ft_lb, slew=slew_deg, dt=across_ft)
    quarter = total_lb / 4
    return (
        quarter + lengthwise + sideways,
        quarter + lengthwise - sideways,
        quarter - lengthwise - sideways,
        quarter - lengthwise + sideways,
    )


def greatest_outrigger_load(case: OutriggerCase) -> OutriggerLoad:
    """Greatest load of one outrigger in lb: the maker's, else the rigid carrier's, else by the quick rule.

    P = 0.65 (crane + load), Queensland mobile crane code of practice; rigid as of
    :func:`outrigger_reactions`, at every degree of slew.
    """
    require_valid(case)
    load = _load_step(case).value
    if case.outrigger_lb is not None:
        return OutriggerLoad(load, TYPED, False)
    if case.moment_ft_lb is None or case.across_ft is None or case.along_ft is None:
        return OutriggerLoad(load, QUICK, False)
    total = case.crane_lb + case.gross_lb
    swept = (
        outrigger_reactions(total, case.moment_ft_lb, slew, case.across_ft, case.along_ft)
        for slew in QUARTER_TURN
    )
    return OutriggerLoad(load, RIGID, min(map(min, swept)) < 0)


# the four outriggers take their turns: a quarter of the circle holds every load of one
QUARTER_TURN = range(91)


def _load_step(case: OutriggerCase) -> Step:
    """How the greatest outrigger load comes about."""
    if case.outrigger_lb is not None:
        how = "the crane maker's table"
        return looked_up("P", "greatest outrigger load", how, "as given", case.outrigger_lb, "lb")
    if case.moment_ft_lb is None or case.across_ft is None or case.along_ft is None:
        return QUICK_LOAD.step(crane=case.crane_lb, load=case.gross_lb)
    numbers = {
        "V": case.crane_lb + case.gross_lb,
        "M": case.moment_ft_lb,
        "dl": case.along_ft,
        "dt": case.across_ft,
    }
    slew = max(QUARTER_TURN, key=lambda degrees: RIGID_LOAD.value(slew=degrees, **numbers))
    return RIGID_LOAD.step(slew=slew, **numbers)


@dataclass(frozen=True, kw_only=True)
class MatCase:
    outriggers: OutriggerCase
    mat_length_ft: float = same_as(LiftFigures, "mat_length_ft", required=True)
    mat_width_ft: float = same_as(LiftFigures, "mat_width_ft", required=True)
    mat_thick_in: float = same_as(LiftFigures, "mat_thick_in", required=True)
    mat_lb: float = same_as(LiftFigures, "mat_lb")
    float_ft: float = quantity(
        "ft", "outrigger pad on the mat, along the mat", low=0.2, high=10, shown_at="crane"
    )
    soil_psf: float | None = same_as(LiftFigures, "soil_psf")
    on_backfill: bool | None = quantity("", "a mat stands on backfill or fill nobody tested", default=None)
    excavation_off_ft: float | None = same_as(LiftFigures, "excavation_off_ft")
    excavation_deep_ft: float | None = same_as(LiftFigures, "excavation_deep_ft")
    mat_bending_psi: float | None = same_as(LiftFigures, "mat_bending_psi")
    mat_shear_psi: float | None = same_as(LiftFigures, "mat_shear_psi")


@dataclass(frozen=True, kw_only=True)
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
    """Bearing in psf with the mat's own weight; bending and shear in psi without it, it bears where it lies.

    load_lb, mat_lb
        greatest outrigger load and weight of the mat, lb.
    length_ft, width_ft, thick_in, float_ft
        the mat, ft and in, and the outrigger pad along it, ft.

    q = (P + W) / (L B), M = P a^2 / (2 L), fb = 6 M / (B d^2), fv = 1.5 V / (B d). The mat bears evenly over
    all of its length: rigid against its soil. D. Duerr (2010), eq. 1-8.
    """
    overhang = OVERHANG.value(L=length_ft, F=float_ft)
    moment = MOMENT.value(P=load_lb, a=overhang, L=length_ft)
    shear = MAT_FORCE.value(P=load_lb, a=overhang, d=thick_in, L=length_ft)
    return MatBeam(
        bearing_psf=BEARING.value(P=load_lb, W=mat_lb, L=length_ft, B=width_ft),
        overhang_ft=overhang,
        moment_ft_lb=moment,
        bending_psi=BENDING.value(M=moment, B=width_ft, d=thick_in),
        shear_lb=shear,
        shear_psi=SHEAR.value(V=shear, B=width_ft, d=thick_in),
    )


def ground_under_mats(case: MatCase) -> GroundResult:
    """Greatest load on one mat in lb, its bearing in psf, the mat's own stresses in psi, excavations near by.

    As of :func:`greatest_outrigger_load` and :func:`mat_beam`; mats outside a 1:1 line from the toe of an
    excavation is common practice.
    """
    load = greatest_outrigger_load(case.outriggers)
    require_valid(case)
    mat = mat_beam(
        load.load_lb, case.mat_length_ft, case.mat_width_ft, case.mat_thick_in, case.float_ft, case.mat_lb
    )
    checks = [_bearing_check(case, load, mat), *_strength_checks(case, load, mat), _excavation_check(case)]
    return GroundResult(load, mat, tuple(checks))


def _bearing_rule(load: OutriggerLoad) -> Rule:
    """The mat's bearing, with the source of the load on it."""
    return MAT_BEARING.stated(source=f"{load.how}; {DUERR}")


def _bearing_check(case: MatCase, load: OutriggerLoad, mat: MatBeam) -> Check:
    rule = _bearing_rule(load)
    if load.lifts:
        return rule.open("An outrigger would lift: the crane maker's outrigger loads are needed.")
    if case.soil_psf is None:
        return rule.open(
            f"{mat.bearing_psf:,.0f} psf under {load.load_lb:,.0f} lb; allowable bearing is not given."
        )
    bearing = BEARING.step(P=load.load_lb, W=case.mat_lb, L=case.mat_length_ft, B=case.mat_width_ft)
    return rule.compare(
        demand=bearing.value,
        capacity=case.soil_psf,
        note=f"{mat.bearing_psf:,.0f} of {case.soil_psf:,.0f} psf, at most {load.load_lb:,.0f} lb on one mat "
        f"{readable(case.mat_length_ft)} by {readable(case.mat_width_ft)} ft.",
        steps=(_load_step(case.outriggers), bearing),
    )


def _strength_checks(case: MatCase, load: OutriggerLoad, mat: MatBeam) -> list[Check]:
    overhang = OVERHANG.step(L=case.mat_length_ft, F=case.float_ft)
    moment = MOMENT.step(P=load.load_lb, a=mat.overhang_ft, L=case.mat_length_ft)
    force = MAT_FORCE.step(P=load.load_lb, a=mat.overhang_ft, d=case.mat_thick_in, L=case.mat_length_ft)
    section = {"B": case.mat_width_ft, "d": case.mat_thick_in}
    rows = (
        (MAT_BENDING, case.mat_bending_psi, (overhang, moment, BENDING.step(M=moment.value, **section))),
        (MAT_SHEAR, case.mat_shear_psi, (overhang, force, SHEAR.step(V=force.value, **section))),
    )
    checks = []
    for rule, allowed, steps in rows:
        stress = steps[-1].value
        if allowed is None or load.lifts:
            why = f"{stress:,.0f} psi in the mat; its allowable stress is not given."
            checks.append(rule.open(why))
        else:
            checks.append(rule.compare(demand=stress, capacity=allowed, steps=steps))
    return checks


def _excavation_check(case: MatCase) -> Check:
    if case.on_backfill is None or case.excavation_off_ft is None or case.excavation_deep_ft is None:
        return MAT_EXCAVATION.open("Distance of the mats to excavations, trenches and backfill is not given.")
    off = 0.0 if case.on_backfill else case.excavation_off_ft
    note = (
        "A mat stands on backfill: it bears nothing until tested."
        if case.on_backfill
        else f"No mat within {readable(case.excavation_deep_ft)} ft of the toe; {readable(off)} ft kept."
    )
    # at least a foot, so that a mat on backfill of a shallow cut fails too
    required = max(case.excavation_deep_ft, 1.0)
    return MAT_EXCAVATION.compare(demand=required, capacity=off, note=note)
