"""Strength: what the tower lift requires, what cylinders show, and curves that only forecast.

29 CFR 1926.752(a)(1) and (b): steel is not set before written notice that the footing concrete has
attained, by an appropriate ASTM method on field-cured samples, 75 % of the intended minimum design
strength or enough for the loads of erection. Here both: the greater of the two is required.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.inputs import InputError, quantity, require_valid

Cure = Literal["field", "lab"]
LAW = "29 CFR 1926.752(a)(1), (b)"
ACCEPTANCE = "ACI 318-19 26.12.3.1(b), read in secondary copies"
SHARE = 0.75
LEAST_CYLINDERS = {4: 3, 6: 2}  # one strength test: ACI 318-19 26.12.1.1(a), read in secondary copies


@dataclass(frozen=True)
class Cylinder:
    mark: str = quantity("", "mark on the cylinder")
    cure: Cure = quantity("", "field: cured beside the pad; lab: standard cured")
    psi: float = quantity("psi", "compressive strength", low=0, high=20000)
    age_days: float = quantity("days", "age at test", low=0.2, high=400)
    diameter_in: int = quantity("in", "4 (4 by 8 in) or 6 (6 by 12 in)", low=4, high=6, default=4)


@dataclass(frozen=True)
class StrengthCase:
    fc_psi: float = quantity("psi", "specified compressive strength f'c", low=1000, high=12000)
    erection_psi: float | None = quantity(
        "psi", "strength the engineer requires for erection loads", low=500, high=12000, default=None
    )
    cylinders: tuple[Cylinder, ...] = quantity("", "cylinders tested", default=())


@dataclass(frozen=True)
class Strength:
    required_psi: float
    field_psi: float | None
    lab_psi: float | None
    checks: tuple[Check, ...]


def required_psi(fc_psi: float, erection_psi: float | None = None) -> float:
    """Field-cured strength (psi) before steel is set: the greater of 0.75 f'c and the engineer's value."""
    return max(SHARE * fc_psi, erection_psi or 0.0)


def strength(case: StrengthCase) -> Strength:
    """Field-cured average against what the tower lift requires; lab-cured cylinders never count here."""
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
    return Strength(needed, average(field_cured), average(lab_cured), tuple(checks))


def average(cylinders: Sequence[Cylinder]) -> float | None:
    """Mean strength, psi; None without cylinders."""
    return sum(c.psi for c in cylinders) / len(cylinders) if cylinders else None


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
    found = average(field_cured)
    if missing or found is None:
        note = f"{needed:,.0f} psi required; {missing}. Counts as not passing."
        return not_checked(
            "lift strength", "Strength for the lift", note, source=LAW, known=Known.READ, unit="psi"
        )
    erection = f"{case.erection_psi:,.0f}" if case.erection_psi else "none given"
    shown = " + ".join(f"{c.psi:,.0f}" for c in field_cured)
    steps = (
        Step(
            "r",
            "required",
            "max(0.75 f'c, engineer's value)",
            f"max(0.75 x {case.fc_psi:,.0f}, {erection})",
            needed,
            "psi",
        ),
        Step("s", "field-cured average", "sum / n", f"({shown}) / {len(field_cured)}", found, "psi"),
    )
    return compare(
        "lift strength",
        "Strength for the lift",
        demand=needed,
        capacity=found,
        unit="psi",
        source=LAW,
        known=Known.READ,
        case="field-cured",
        note=f"{found:,.0f} of {needed:,.0f} psi required, {len(field_cured)} field-cured cylinders "
        f"at {field_cured[0].age_days:g} days",
        steps=steps,
    )


def _field_against_lab(
    field_cured: Sequence[Cylinder], lab_cured: Sequence[Cylinder], fc_psi: float
) -> Check:
    """Field-cured at least 85 % of lab-cured of the same age, or f'c + 500 psi: curing is adequate."""
    source, known = "ACI 318-19 26.5.3.2(e)", Known.MEMORY
    title = "Protection and curing"
    if {c.age_days for c in field_cured} != {c.age_days for c in lab_cured} or len(
        {c.age_days for c in lab_cured}
    ) > 1:
        return not_checked(
            "curing quality",
            title,
            "field-cured and lab-cured cylinders are not of one age",
            source=source,
            known=known,
        )
    lab, field_mean = average(lab_cured) or 0.0, average(field_cured) or 0.0
    needed = min(0.85 * lab, fc_psi + 500)
    steps = (
        Step(
            "r",
            "required",
            "min(0.85 lab, f'c + 500)",
            f"min(0.85 x {lab:,.0f}, {fc_psi:,.0f} + 500)",
            needed,
            "psi",
        ),
    )
    return compare(
        "curing quality",
        title,
        demand=needed,
        capacity=field_mean,
        unit="psi",
        source=source,
        known=known,
        note=f"field-cured {field_mean:,.0f} psi against lab-cured {lab:,.0f} psi of the same age",
        steps=steps,
    )


@dataclass(frozen=True)
class AcceptanceCase:
    """Strength tests of lab-cured cylinders at 28 days (or the designated age), in order of sampling."""

    fc_psi: float = quantity("psi", "specified compressive strength f'c", low=1000, high=12000)
    tests_psi: tuple[float, ...] = quantity("psi", "strength tests in order", low=0, high=20000)


@dataclass(frozen=True)
class Acceptance:
    checks: tuple[Check, ...]


def each_at_least(fc_psi: float) -> float:
    """No strength test under this: f'c - 500 psi, or 0.90 f'c over 5,000 psi."""
    return fc_psi - 500 if fc_psi <= 5000 else 0.9 * fc_psi


def acceptance(case: AcceptanceCase) -> Acceptance:
    """Every average of three consecutive tests at least f'c, no test more than 500 psi (10 %) under it."""
    require_valid(case)
    tests = case.tests_psi
    floor = each_at_least(case.fc_psi)
    lowest, three = "acceptance each", "acceptance three"
    if not tests:
        why = "no strength test recorded"
        return Acceptance(
            tuple(
                not_checked(k, "Acceptance", why, source=ACCEPTANCE, known=Known.READ)
                for k in (three, lowest)
            )
        )
    each = compare(
        lowest,
        "Each strength test",
        demand=floor,
        capacity=min(tests),
        unit="psi",
        source=ACCEPTANCE,
        known=Known.READ,
        note=f"lowest {min(tests):,.0f} psi, none under {floor:,.0f} psi",
    )
    if len(tests) < 3:
        of = f"{len(tests)} test{'s' if len(tests) > 1 else ''}, an average takes three"
        averaged = not_checked(three, "Average of three tests", of, source=ACCEPTANCE, known=Known.READ)
    else:
        worst = min(sum(tests[i : i + 3]) / 3 for i in range(len(tests) - 2))
        averaged = compare(
            three,
            "Average of three tests",
            demand=case.fc_psi,
            capacity=worst,
            unit="psi",
            source=ACCEPTANCE,
            known=Known.READ,
            note=f"lowest average {worst:,.0f} psi of three in a row, f'c {case.fc_psi:,.0f} psi",
        )
    return Acceptance((averaged, each))


# --- forecasts: for planning, never evidence ------------------------------------------------------


@dataclass(frozen=True)
class CurveCase:
    fc28_psi: float = quantity("psi", "strength expected at 28 days at 68 F", low=500, high=20000)
    age_days: float = quantity("days", "age at 68 F (equivalent age)", low=0, high=1000)
    a_days: float = quantity(
        "days", "A of t/(A + B t); type I moist 4.0, type III 2.3", low=0.1, high=30, default=4.0
    )
    b: float = quantity(
        "", "B of t/(A + B t); type I moist 0.85, type III 0.92", low=0.5, high=1.1, default=0.85
    )


@dataclass(frozen=True)
class Curve:
    """A forecast. ``ratio`` is of the 28-day strength."""

    ratio: float
    psi: float
    label: str


def forecast_strength(case: CurveCase) -> Curve:
    """Strength by the hyperbolic curve of ACI 209R, f(t) = f28 t/(A + B t). A forecast, never evidence."""
    require_valid(case)
    ratio = case.age_days / (case.a_days + case.b * case.age_days)
    return Curve(ratio, ratio * case.fc28_psi, "forecast, ACI 209R curve; not evidence of strength")


def age_for(psi: float, fc28_psi: float, a_days: float = 4.0, b: float = 0.85) -> float | None:
    """Equivalent days after which the curve reaches ``psi``; None if it never does. A forecast."""
    ratio = psi / fc28_psi
    if ratio * b >= 1:
        return None
    return a_days * ratio / (1 - b * ratio)
