"""Overcurrent devices: standard sizes, the 125 % of a continuous current, and what protects a conductor."""

from __future__ import annotations

from sitecalc.checks import Check, Known
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError

from .ampacity import CONTINUOUS, ampacity
from .codes import CodeRule
from .run import Run
from .tables import named, rows

# largest device for small conductors, A, whatever their ampacity: NEC 240.4(D)
SMALL = {
    ("14", "copper"): 15,
    ("12", "copper"): 20,
    ("10", "copper"): 30,
    ("12", "aluminum"): 15,
    ("10", "aluminum"): 25,
}

SIZE = CodeRule("breaker", "breaker size", "A", "", Known.READ, ("continuous", "standard sizes"))
PROTECTION = CodeRule("protection", "breaker protects conductor", "A", "", Known.READ, ("protection",))
STANDARD = CodeRule("standard", "standard size", "A", "", Known.READ, ("standard sizes",))
NO_BREAKER = CodeRule("no-breaker", "no breaker", "A", "", Known.READ, ("overcurrent",))

WORST = Formula(
    "I_s", "largest of braked turbine, backfeed, 125 % of the maximum current", "max(I_sc,I_b,I_125)", "A"
)


def standard_sizes() -> list[int]:
    """Standard ampere ratings, A. NEC 2023 240.6(A)."""
    return [int(row["amps"]) for row in rows("standard_breakers")]


def next_standard(amps: float) -> int:
    """The standard size in A at or above ``amps`` (A); InputError above 6,000 A. NEC 2023 240.6(A)."""
    for size in standard_sizes():
        if size >= amps - 1e-9:
            return size
    raise InputError("breaker_a", f"no standard size is as large as {amps:,.0f} A.")


def smallest_breaker(current_a: float) -> int:
    """Smallest standard device for a continuous current, both in A: at least 125 % of it. NEC 694.12(B)."""
    return next_standard(CONTINUOUS.value(I=current_a))


def largest_breaker(usable_a: float, size: str, metal: str) -> float:
    """Largest device that protects the conductor, A.

    usable_a
        usable ampacity of all sets, A.
    size, metal
        of one conductor.

    To 800 A the next standard size above the ampacity will do, above 800 A none larger than the
    ampacity; small conductors have limits of their own. NEC 240.4(B), (C), (D).
    """
    if usable_a <= 800:
        largest = float(next_standard(usable_a))
    else:
        largest = float(max(s for s in standard_sizes() if s <= usable_a))
    return min(largest, SMALL.get((size, metal), largest))


def breaker_checks(run: Run, edition: str, key: str) -> list[Check]:
    """Size of the run's breaker in A for its current, and whether it protects the run's conductors.

    ``key`` stands before the keys of the checks. NEC 694.12(B), 240.6(A), 240.4, 694.15(A).
    """
    asked = CONTINUOUS.step(I=run.current_a)
    found = ampacity(run)
    if run.breaker_a is None:
        return [_without_breaker(run, edition, key)]
    largest = looked_up(
        "B_max",
        "largest device for the conductor",
        "next standard size to 800 A; small conductors as listed",
        f"{found.usable_a:.4g} A, {named(run.size)} {run.metal}",
        largest_breaker(found.usable_a, run.size, run.metal),
        "A",
    )
    checks = [
        SIZE.of(edition, key, run.name).compare(
            demand=asked.value,
            capacity=run.breaker_a,
            note=f"1.25 x {run.current_a:.4g} = {asked.value:.4g} of {run.breaker_a:g} A; "
            f"smallest standard size {smallest_breaker(run.current_a)} A.",
            steps=(asked,),
        ),
        PROTECTION.of(edition, key, run.name).compare(
            demand=run.breaker_a,
            capacity=largest.value,
            note=f"{run.breaker_a:g} of {largest.value:g} A for {named(run.size)} {run.metal} "
            f"with {found.usable_a:.4g} A usable.",
            steps=(*found.steps, largest),
        ),
    ]
    if run.breaker_a not in standard_sizes():
        checks.append(
            STANDARD.of(edition, key, run.name).open(
                f"{run.breaker_a:g} A is no standard size; an adjustable device needs its setting written."
            )
        )
    return checks


def _without_breaker(run: Run, edition: str, key: str) -> Check:
    """A turbine output circuit may do without a device where no source can exceed its ampacity."""
    found, rule = ampacity(run), NO_BREAKER.of(edition, key, run.name)
    if run.short_circuit_a is None or run.backfeed_a is None:
        return rule.open(
            "no breaker is given; the turbine's lasting short-circuit current and what the inverter "
            "can send back must both be known."
        )
    asked = CONTINUOUS.step(I=run.current_a)
    worst = WORST.step(I_sc=run.short_circuit_a, I_b=run.backfeed_a, I_125=asked.value)
    return rule.compare(
        demand=worst.value,
        capacity=found.usable_a,
        note=f"largest current from any source {worst.value:.4g} of {found.usable_a:.4g} A.",
        steps=(asked, worst, *found.steps),
    )
