"""Overcurrent protection of a transformer to 1,000 V.

With a source on each side the calculation is made twice, each side once as the primary.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Step, compare
from sitecalc.inputs import quantity, require_valid

from .breaker import next_standard, standard_sizes
from .codes import Edition, by
from .fault import full_load_a


@dataclass(frozen=True)
class TransformerCase:
    edition: Edition = quantity("", "edition of the NEC")
    system: Literal["1-phase", "3-phase"] = quantity("", "1-phase or 3-phase")
    kva: float = quantity("kVA", "rating", low=0.5, high=5000)
    primary_v: float = quantity("V", "primary", low=24, high=1000)
    secondary_v: float = quantity("V", "secondary", low=24, high=1000)
    primary_a: float = quantity("A", "device on the primary", low=1, high=6000)
    secondary_a: float | None = quantity("A", "device on the secondary", low=1, high=6000, default=None)


@dataclass(frozen=True)
class TransformerResult:
    primary_full_a: float
    secondary_full_a: float
    primary_limit_a: float
    secondary_limit_a: float | None
    checks: tuple[Check, ...]


def primary_only_a(full_a: float) -> float:
    """Largest device where only the primary has one, A: 125 % with the next size up, 167 %, 300 %."""
    if full_a >= 9:
        return float(next_standard(1.25 * full_a))
    return (1.67 if full_a >= 2 else 3.0) * full_a


def primary_with_secondary_a(full_a: float) -> float:
    """250 %, not rounded up: the largest standard size below it, or the number itself under 15 A."""
    limit = 2.5 * full_a
    return float(max((s for s in standard_sizes() if s <= limit), default=limit))


def secondary_a(full_a: float) -> float:
    """125 % with the next size up from 9 A, 167 % below."""
    return float(next_standard(1.25 * full_a)) if full_a >= 9 else 1.67 * full_a


def check_transformer(case: TransformerCase) -> TransformerResult:
    """The calculation ``ground_station.transformer``. NEC Table 450.3(B)."""
    require_valid(case)
    first = full_load_a(case.kva, case.primary_v, case.system)
    second = full_load_a(case.kva, case.secondary_v, case.system)
    both = case.secondary_a is not None
    first_limit = primary_with_secondary_a(first) if both else primary_only_a(first)
    checks = [_check("primary", case, case.primary_a, first, first_limit)]
    second_limit = None
    if case.secondary_a is not None:
        second_limit = secondary_a(second)
        checks.append(_check("secondary", case, case.secondary_a, second, second_limit))
    return TransformerResult(first, second, first_limit, second_limit, tuple(checks))


def _check(side: str, case: TransformerCase, device_a: float, full_a: float, limit_a: float) -> Check:
    return compare(
        f"transformer-{side}",
        f"Transformer {side} device",
        demand=device_a,
        capacity=limit_a,
        unit="A",
        note=f"{device_a:g} of {limit_a:.4g} A, {case.kva:g} kVA, full load {full_a:.4g} A.",
        **by(case.edition, "transformer"),
        steps=(
            Step(
                "I_fl",
                f"{side} full load",
                "I_fl = kVA / (V k)",
                f"{case.kva:g} kVA, {case.system}",
                full_a,
                "A",
            ),
            Step("B_max", "largest device", "by Table 450.3(B)", f"f({full_a:.4g} A)", limit_a, "A"),
        ),
    )
