"""Strength: what the tower lift requires, what cylinders show, and curves that only forecast.

29 CFR 1926.752(a)(1) and (b): steel is not set before written notice that the footing concrete has
attained, by an appropriate ASTM method on field-cured samples, 75 % of the intended minimum design
strength or enough for the loads of erection. Here both: the greater of the two is required.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.pour.figures import PourFigures

Cure = Literal["field", "lab"]
LAW = "29 CFR 1926.752(a)(1), (b)"
ACCEPTANCE = "ACI 318-19 26.12.3.1(b) (clause not verified)"
SHARE = 0.75

LIFT = Rule("lift strength", "Strength for the lift", "psi", LAW, Known.READ)
CURED = Rule("curing quality", "Protection and curing", "psi", "ACI 318-19 26.5.3.2(e)", Known.MEMORY)
THREE = Rule("acceptance three", "Average of three tests", "psi", ACCEPTANCE, Known.READ)
EACH = Rule("acceptance each", "Each strength test", "psi", ACCEPTANCE, Known.READ)

_FC = {"fc": "f'c"}
BY_SHARE = Formula("r", "required before steel is set", f"{SHARE}*fc", "psi", _FC)
GREATER = Formula("r", "required before steel is set", f"max({SHARE}*fc,s_e)", "psi", _FC)
AVERAGE = Formula("s", "average", "sum(S)/n", "psi")
OF_LAB = Formula("r", "required of the field-cured", "min(0.85*lab,fc+500)", "psi", _FC)
EACH_LEAST = Formula("r", "no test under", "fc-500", "psi", _FC)
EACH_LEAST_RICH = Formula("r", "no test under", "0.9*fc", "psi", _FC)
SHARE_AT = Formula("f", "share of the 28-day strength", "t/(A+B*t)", "")
STRENGTH_AT = Formula("S", "strength by the curve", "f28*f", "psi")
AGE_FOR = Formula("t", "equivalent age for a share of the 28-day strength", "A*f/(1-B*f)", "days")

# "nearest 10 psi": ASTM C39, calculation; read in "How precisely should labs round off compressive strength
# results?", The Concrete Producer (a trade journal's answer that cites it). Cylinders twice as long as wide
# need no correction for their length (ASTM C39, from memory).
BY_LOAD = Formula("S", "strength, to the nearest 10 psi", "10*floor(P/(pi*d**2/4)/10+0.5)", "psi")

LEAST_CYLINDERS = {4: 3, 6: 2}  # one strength test: ACI 318-19 26.12.1.1(a), read in secondary copies


@dataclass(frozen=True, kw_only=True)
class Cylinder:
    mark: str = quantity("", "mark on the cylinder")
    cure: Cure = quantity("", "field: cured beside the pad; lab: standard cured")
    psi: float = quantity("psi", "compressive strength", low=0, high=20000)
    age_days: float = quantity("days", "age at test", low=0.2, high=400)
    diameter_in: int = quantity("in", "4 (4 by 8 in) or 6 (6 by 12 in)", low=4, high=6, default=4)


@dataclass(frozen=True)
class StrengthCase:
    fc_psi: float = same_as(PourFigures, "fc_psi", required=True)
    erection_psi: float | None = same_as(PourFigures, "erection_psi")
    cylinders: tuple[Cylinder, ...] = quantity("", "cylinders tested", default=())


@dataclass(frozen=True, kw_only=True)
class Strength:
    required_psi: float
    field_psi: float | None
    lab_psi: float | None
    checks: tuple[Check, ...]


def required_psi(fc_psi: float, erection_psi: float | None = None) -> float:
    """Field-cured strength in psi before steel is set: the greater of 0.75 f'c and the engineer's value.

    fc_psi, erection_psi
        specified strength, and what the engineer requires for erection, psi; None where nothing is required.

    29 CFR 1926.752(a)(1), (b).
    """
    return _required(fc_psi, erection_psi).value


def _required(fc_psi: float, erection_psi: float | None) -> Step:
    return BY_SHARE.step(fc=fc_psi) if erection_psi is None else GREATER.step(fc=fc_psi, s_e=erection_psi)


def strength(case: StrengthCase) -> Strength:
    """Field-cured average in psi against what the tower lift requires; lab-cured cylinders never count here.

    29 CFR 1926.752(a)(1), (b); ACI 318-19 26.12.1.1(a), 26.5.3.2(e).
    """
    require_valid(case)
    for index, cylinder in enumerate(case.cylinders):
        if cylinder.diameter_in not in LEAST_CYLINDERS:
            raise InputError(f"cylinders[{index}].diameter_in", "is neither 4 nor 6 in.")
    field_cured = [c for c in case.cylinders if c.cure == "field"]
    lab_cured = [c for c in case.cylinders if c.cure == "lab"]
    needed = required_psi(case.fc_psi, case.erection_psi)
    checks = [_for_lift(field_cured, needed, case)]
    if field_cured and lab_cured:
        checks.append(_field_against_lab(field_cured, lab_cured, case.fc_psi))
    return Strength(
        required_psi=needed,
        field_psi=average(field_cured),
        lab_psi=average(lab_cured),
        checks=tuple(checks),
    )


def strength_of(load_lb: float, diameter_in: float) -> float:
    """Compressive strength in psi, to the nearest 10, of a cylinder twice as long as wide.

    load_lb, diameter_in
        load at which it broke, lb; diameter of the cylinder, in.

    S = P / (pi d^2 / 4). ASTM C39 (read in secondary copies).
    """
    return BY_LOAD.value(P=load_lb, d=diameter_in)


def average(cylinders: Sequence[Cylinder]) -> float | None:
    """Mean strength, psi; None without cylinders."""
    return _average(cylinders).value if cylinders else None


def _average(cylinders: Sequence[Cylinder]) -> Step:
    return AVERAGE.step_of(
        f"{cylinders[0].cure}-cured average", S=tuple(c.psi for c in cylinders), n=len(cylinders)
    )


def cylinders_missing(cylinders: Sequence[Cylinder]) -> str:
    """Why these are not one strength test, in words; empty if they are."""
    if not cylinders:
        return "no field-cured cylinder"
    if len({c.age_days for c in cylinders}) > 1:
        return "cylinders of different ages are not one test"
    if len({c.diameter_in for c in cylinders}) > 1:
        return "cylinders of different sizes are not one test"
    diameter = cylinders[0].diameter_in
    least = LEAST_CYLINDERS[diameter]
    if len(cylinders) < least:
        size = "4 by 8" if diameter == 4 else "6 by 12"
        return f"{len(cylinders)} of at least {least} field-cured {size} in cylinders"
    return ""


def _for_lift(field_cured: Sequence[Cylinder], needed: float, case: StrengthCase) -> Check:
    missing = cylinders_missing(field_cured)
    if missing:
        return LIFT.open(f"{needed:,.0f} psi required; {missing}")
    found = _average(field_cured)
    return LIFT.compare(
        demand=needed,
        capacity=found.value,
        case="field-cured",
        note=f"{found.value:,.0f} of {needed:,.0f} psi required, {len(field_cured)} field-cured cylinders "
        f"at {field_cured[0].age_days:g} days",
        steps=(_required(case.fc_psi, case.erection_psi), found),
    )


def _field_against_lab(
    field_cured: Sequence[Cylinder], lab_cured: Sequence[Cylinder], fc_psi: float
) -> Check:
    """Field-cured at least 85 % of lab-cured of the same age, or f'c + 500 psi: curing is adequate."""
    ages = {c.age_days for c in lab_cured}
    if {c.age_days for c in field_cured} != ages or len(ages) > 1:
        return CURED.open("field-cured and lab-cured cylinders are not of one age")
    lab, field_mean = _average(lab_cured), _average(field_cured)
    needed = OF_LAB.step(lab=lab.value, fc=fc_psi)
    return CURED.compare(
        demand=needed.value,
        capacity=field_mean.value,
        note=f"field-cured {field_mean.value:,.0f} psi against lab-cured {lab.value:,.0f} psi "
        "of the same age",
        steps=(lab, field_mean, needed),
    )


@dataclass(frozen=True)
class AcceptanceCase:
    """Strength tests of lab-cured cylinders at 28 days (or the designated age), in order of sampling."""

    fc_psi: float = same_as(PourFigures, "fc_psi", required=True)
    tests_psi: tuple[float, ...] = quantity("psi", "strength tests in order", low=0, high=20000)


@dataclass(frozen=True)
class Acceptance:
    checks: tuple[Check, ...]


def each_at_least(fc_psi: float) -> float:
    """No strength test under this, psi: f'c - 500 psi, or 0.90 f'c over 5,000 psi.

    ACI 318-19 26.12.3.1(b), read in secondary copies.
    """
    return _each_at_least(fc_psi).value


def _each_at_least(fc_psi: float) -> Step:
    return (EACH_LEAST if fc_psi <= 5000 else EACH_LEAST_RICH).step(fc=fc_psi)


def acceptance(case: AcceptanceCase) -> Acceptance:
    """Every average of three consecutive tests at least f'c, no test more than 500 psi (10 %) under it, psi.

    ACI 318-19 26.12.3.1(b), read in secondary copies.
    """
    require_valid(case)
    if not case.tests_psi:
        return Acceptance(tuple(rule.open("no strength test recorded") for rule in (THREE, EACH)))
    lowest, floor = min(case.tests_psi), _each_at_least(case.fc_psi)
    each = EACH.compare(
        demand=floor.value,
        capacity=lowest,
        note=f"lowest {lowest:,.0f} psi, none under {floor.value:,.0f} psi",
        steps=(floor,),
    )
    return Acceptance((_three(case), each))


def _three(case: AcceptanceCase) -> Check:
    tests = case.tests_psi
    if len(tests) < 3:
        return THREE.open(f"{len(tests)} test{'s' if len(tests) > 1 else ''}, an average takes three")
    averages = [
        AVERAGE.step_of("lowest average of three tests", S=tests[i : i + 3], n=3)
        for i in range(len(tests) - 2)
    ]
    worst = min(averages, key=lambda step: step.value)
    return THREE.compare(
        demand=case.fc_psi,
        capacity=worst.value,
        note=f"lowest average {worst.value:,.0f} psi of three in a row, f'c {case.fc_psi:,.0f} psi",
        steps=(worst,),
    )


# --- forecasts: for planning, never evidence ------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class CurveCase:
    fc28_psi: float = same_as(PourFigures, "expected_28_psi", required=True)
    age_days: float = quantity("days", "age at 68 F (equivalent age)", low=0, high=1000)
    a_days: float = same_as(PourFigures, "curve_a_days")
    b: float = same_as(PourFigures, "curve_b")


@dataclass(frozen=True)
class Curve:
    """A forecast. ``ratio`` is of the 28-day strength."""

    ratio: float
    psi: float
    label: str


def forecast_strength(case: CurveCase) -> Curve:
    """Strength in psi by the hyperbolic curve f(t) = f28 t/(A + B t). A forecast, never evidence.

    Moist-cured concrete of the cements the constants are for, age in days at 68 F. ACI 209R-92, eq. 2-1.
    """
    require_valid(case)
    ratio = SHARE_AT.value(t=case.age_days, A=case.a_days, B=case.b)
    psi = STRENGTH_AT.value(f28=case.fc28_psi, f=ratio)
    return Curve(ratio, psi, "forecast, ACI 209R curve; not evidence of strength")


def age_for(psi: float, fc28_psi: float, a_days: float, b: float) -> float | None:
    """Equivalent days after which the curve reaches ``psi``; None if it never does. A forecast.

    psi, fc28_psi
        strength asked for, and expected at 28 days, psi.
    a_days, b
        constants of the curve of :func:`forecast_strength`, days and no unit.
    """
    ratio = psi / fc28_psi
    if ratio * b >= 1:
        return None
    return AGE_FOR.value(A=a_days, f=ratio, B=b)
