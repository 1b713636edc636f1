"""Overcurrent protection of a transformer to 1,000 V.

With a source on each side the calculation is made twice, each side once as the primary.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import ranged_as, same_as
from sitecalc.checks import Check, Known, Step
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import quantity, require_valid

from .breaker import next_standard, standard_sizes
from .codes import CodeRule, Edition
from .fault import full_load
from .figures import GroundStationFigures, RunRow
from .words import GridSystem

DEVICE = {
    "primary": CodeRule(
        "transformer-primary", "Transformer primary device", "A", "", Known.READ, ("transformer",)
    ),
    "secondary": CodeRule(
        "transformer-secondary", "Transformer secondary device", "A", "", Known.READ, ("transformer",)
    ),
}

AT_125 = Formula("B", "125 % of full load", "1.25*I_fl", "A")
AT_167 = Formula("B", "167 % of full load", "1.67*I_fl", "A")
AT_250 = Formula("B", "250 % of full load", "2.5*I_fl", "A")
AT_300 = Formula("B", "300 % of full load", "3*I_fl", "A")


@dataclass(frozen=True, kw_only=True)
class TransformerCase:
    edition: Edition = same_as(GroundStationFigures, "edition", required=True)
    system: GridSystem = quantity("", "1-phase or 3-phase")
    kva: float = quantity("kVA", "rating", low=0.5, high=5000)
    primary_v: float = quantity("V", "primary", low=24, high=1000)
    secondary_v: float = quantity("V", "secondary", low=24, high=1000)
    primary_a: float = ranged_as(RunRow, "breaker_a", "device on the primary")
    secondary_a: float | None = ranged_as(RunRow, "breaker_a", "device on the secondary", default=None)


@dataclass(frozen=True, kw_only=True)
class TransformerResult:
    primary_full_a: float
    secondary_full_a: float
    primary_limit_a: float
    secondary_limit_a: float | None
    checks: tuple[Check, ...]


def primary_only_a(full_a: float) -> float:
    """Largest device where only the primary has one, from the full load, both in A.

    125 % with the next size up from 9 A, 167 % from 2 A, 300 % below. To 1,000 V. NEC Table 450.3(B).
    """
    if full_a >= 9:
        return float(next_standard(AT_125.value(I_fl=full_a)))
    return (AT_167 if full_a >= 2 else AT_300).value(I_fl=full_a)


def primary_with_secondary_a(full_a: float) -> float:
    """Largest device on the primary where the secondary has one too, from the full load, both in A.

    250 %, not rounded up: the largest standard size below it, or the number itself under 15 A. NEC Table
    450.3(B).
    """
    limit = AT_250.value(I_fl=full_a)
    return float(max((s for s in standard_sizes() if s <= limit), default=limit))


def secondary_a(full_a: float) -> float:
    """Largest device on the secondary, from the full load, both in A.

    125 % with the next size up from 9 A, 167 % below. NEC Table 450.3(B).
    """
    return float(next_standard(AT_125.value(I_fl=full_a))) if full_a >= 9 else AT_167.value(I_fl=full_a)


def check_transformer(case: TransformerCase) -> TransformerResult:
    """The calculation ``ground_station.transformer``. NEC Table 450.3(B)."""
    require_valid(case)
    first = full_load(case.kva, case.primary_v, case.system)
    second = full_load(case.kva, case.secondary_v, case.system)
    both = case.secondary_a is not None
    first_limit = primary_with_secondary_a(first.value) if both else primary_only_a(first.value)
    checks = [_check("primary", case, case.primary_a, first, first_limit)]
    second_limit = None
    if case.secondary_a is not None:
        second_limit = secondary_a(second.value)
        checks.append(_check("secondary", case, case.secondary_a, second, second_limit))
    return TransformerResult(
        primary_full_a=first.value,
        secondary_full_a=second.value,
        primary_limit_a=first_limit,
        secondary_limit_a=second_limit,
        checks=tuple(checks),
    )


def _check(side: str, case: TransformerCase, device_a: float, full: Step, limit_a: float) -> Check:
    return (
        DEVICE[side]
        .of(case.edition)
        .compare(
            demand=device_a,
            capacity=limit_a,
            note=f"{device_a:g} of {limit_a:.4g} A, {case.kva:g} kVA, full load {full.value:.4g} A.",
            steps=(
                full.called(f"{side} full load"),
                looked_up(
                    "B_max",
                    "largest device",
                    "by the table of transformers",
                    f"full load {full.value:.4g} A",
                    limit_a,
                    "A",
                ),
            ),
        )
    )
