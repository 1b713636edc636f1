"""Overcurrent devices: standard sizes, the 125 % of a continuous current, and what protects a conductor."""

from __future__ import annotations

from sitecalc.checks import Check, Step, compare, not_checked
from sitecalc.inputs import InputError

from .ampacity import CONTINUOUS, ampacity
from .codes import by
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


def standard_sizes() -> list[int]:
    """Standard ampere ratings. NEC 2023 240.6(A)."""
    return [int(row["amps"]) for row in rows("standard_breakers")]


def next_standard(amps: float) -> int:
    """The standard size at or above ``amps``; InputError above 6,000 A."""
    for size in standard_sizes():
        if size >= amps - 1e-9:
            return size
    raise InputError("breaker_a", f"no standard size is as large as {amps:,.0f} A.")


def smallest_breaker(current_a: float) -> int:
    """Smallest standard device for a continuous current, A: at least 125 % of it."""
    return next_standard(CONTINUOUS * current_a)


def largest_breaker(usable_a: float, size: str, metal: str) -> float:
    """Largest device that protects the conductor, A.

    To 800 A the next standard size above the ampacity will do, above 800 A none larger than the
    ampacity; small conductors have limits of their own. NEC 240.4(B), (C), (D).
    """
    if usable_a <= 800:
        largest = float(next_standard(usable_a))
    else:
        largest = float(max(s for s in standard_sizes() if s <= usable_a))
    return min(largest, SMALL.get((size, metal), largest))


def breaker_checks(run: Run, edition: str, key: str) -> list[Check]:
    """Size of the run's breaker for its current, and whether it protects the run's conductors."""
    asked = CONTINUOUS * run.current_a
    found = ampacity(run)
    if run.breaker_a is None:
        return [_without_breaker(run, edition, key)]
    largest = largest_breaker(found.usable_a, run.size, run.metal)
    ask = Step(
        "I_125",
        "125 % of the maximum continuous current",
        "I_125 = 1.25 I",
        f"1.25 x {run.current_a:.4g}",
        asked,
        "A",
    )
    protect = Step(
        "B_max",
        "largest device for the conductor: next standard size to 800 A; small conductors as listed",
        "B_max = f(I_u)",
        f"f({found.usable_a:.4g} A, {named(run.size)} {run.metal})",
        largest,
        "A",
    )
    checks = [
        compare(
            f"{key}-breaker",
            f"{run.name}: breaker size",
            demand=asked,
            capacity=run.breaker_a,
            unit="A",
            note=f"1.25 x {run.current_a:.4g} = {asked:.4g} of {run.breaker_a:g} A; "
            f"smallest standard size {smallest_breaker(run.current_a)} A.",
            **by(edition, "continuous", "standard sizes"),
            steps=(ask,),
        ),
        compare(
            f"{key}-protection",
            f"{run.name}: breaker protects conductor",
            demand=run.breaker_a,
            capacity=largest,
            unit="A",
            note=f"{run.breaker_a:g} of {largest:g} A for {named(run.size)} {run.metal} "
            f"with {found.usable_a:.4g} A usable.",
            **by(edition, "protection"),
            steps=(*found.steps, protect),
        ),
    ]
    if run.breaker_a not in standard_sizes():
        checks.append(
            not_checked(
                f"{key}-standard",
                f"{run.name}: standard size",
                f"{run.breaker_a:g} A is no standard size; an adjustable device needs its setting written.",
                **by(edition, "standard sizes"),
            )
        )
    return checks


def _without_breaker(run: Run, edition: str, key: str) -> Check:
    """A turbine output circuit may do without a device where no source can exceed its ampacity."""
    found = ampacity(run)
    title = f"{run.name}: no breaker"
    if run.short_circuit_a is None or run.backfeed_a is None:
        why = (
            "no breaker is given; the turbine's lasting short-circuit current and what the inverter "
            "can send back must both be known."
        )
        return not_checked(f"{key}-no-breaker", title, why, **by(edition, "overcurrent"))
    worst = max(run.short_circuit_a, run.backfeed_a, CONTINUOUS * run.current_a)
    return compare(
        f"{key}-no-breaker",
        title,
        demand=worst,
        capacity=found.usable_a,
        unit="A",
        note=f"largest current from any source {worst:.4g} of {found.usable_a:.4g} A.",
        **by(edition, "overcurrent"),
        steps=(
            Step(
                "I_s",
                "largest of braked turbine, backfeed, 125 % of the maximum current",
                "I_s = max(I_sc, I_b, 1.25 I)",
                f"max({run.short_circuit_a:g}, {run.backfeed_a:g}, {CONTINUOUS * run.current_a:.4g})",
                worst,
                "A",
            ),
            *found.steps,
        ),
    )
