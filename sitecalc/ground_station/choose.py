"""The smallest conductor for a run: both ampacity tests, its breaker, and the voltage limit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sitecalc.inputs import InputError, require_valid

from .ampacity import CONTINUOUS, ampacity
from .breaker import WORST, largest_breaker
from .run import Run
from .tables import SIZES, Size, area_cmil, named
from .voltage_drop import voltage_drop


@dataclass(frozen=True, kw_only=True)
class Choice:
    """``size`` passes everything; ``for_ampacity`` would do without the voltage limit.

    ``governs`` says which of the two asked for the larger conductor. Usable ampacity in A, drop in %.
    """

    size: Size
    for_ampacity: Size
    governs: str
    usable_a: float
    drop_pct: float


def carries(run: Run) -> bool:
    """Both ampacity tests, the lasting brake current, and the breaker, or no need of one."""
    found = ampacity(run)
    if run.breaker_a is None and run.short_circuit_a is not None and run.backfeed_a is not None:
        asked = CONTINUOUS.value(I=run.current_a)
        worst = WORST.value(I_sc=run.short_circuit_a, I_b=run.backfeed_a, I_125=asked)
        if found.usable_a < worst - 1e-9:
            return False
    return (
        found.terminal_a >= CONTINUOUS.value(I=run.current_a) - 1e-9
        and found.corrected_a >= run.current_a - 1e-9
        and (run.short_circuit_a is None or found.usable_a >= run.short_circuit_a)
        and (run.breaker_a is None or largest_breaker(found.usable_a, run.size, run.metal) >= run.breaker_a)
    )


def _smallest(run: Run, passes: Callable[[Run], bool]) -> Size:
    for size in SIZES:
        candidate = replace(run, size=size)
        try:
            if passes(candidate):
                return size
        except InputError as error:
            if error.field not in ("size", "sets"):
                raise
    raise InputError("size", f"no single size up to {named(SIZES[-1])} will do; try more parallel sets.")


def smallest_for_ampacity(run: Run) -> Size:
    """Smallest size with enough ampacity, whatever the voltage; InputError if none is.

    NEC 310.16, 110.14(C), 240.4, 694.12(B).
    """
    return _smallest(run, carries)


def choose_conductor(run: Run) -> Choice:
    """Smallest size that passes ampacity and the run's own voltage limit; its ``size`` is not looked at.

    Of the sizes of NEC Table 310.16 up to 500 kcmil; InputError if none does.
    """
    require_valid(run)
    least = smallest_for_ampacity(run)
    return _choice(run, least, _smallest(run, lambda r: carries(r) and _within(r)))


def _within(run: Run) -> bool:
    return voltage_drop(run).percent <= run.drop_limit_pct


def _choice(run: Run, least: Size, size: Size, by: str = "voltage") -> Choice:
    chosen = replace(run, size=size)
    return Choice(
        size=size,
        for_ampacity=least,
        governs="ampacity" if size == least else by,
        usable_a=ampacity(chosen).usable_a,
        drop_pct=voltage_drop(chosen).percent,
    )


def choose_together(runs: Sequence[Run], limit_pct: float) -> list[Choice | None]:
    """A conductor for each run, the sum of their drops or rises within ``limit_pct`` too.

    Where the sum is too much, the run grows by a size that gains the most for its length of metal; None for
    all where none can grow, and for a run that no size carries.
    """
    found: list[Choice | None] = []
    for run in runs:
        try:
            found.append(choose_conductor(run))
        except InputError:
            found.append(None)
    chosen = [choice for choice in found if choice is not None]
    if len(chosen) < len(runs):
        return found
    while sum(choice.drop_pct for choice in chosen) > limit_pct:
        grown = [(i, up) for i, run in enumerate(runs) if (up := _grown(run, chosen[i])) is not None]
        if not grown:
            return [None] * len(runs)
        at, larger = max(grown, key=lambda each: _gained(runs[each[0]], chosen[each[0]], each[1]))
        chosen[at] = larger
    return list(chosen)


def _grown(run: Run, chosen: Choice) -> Choice | None:
    """The next larger size of those that carry it; None at the end of the table."""
    for size in SIZES[SIZES.index(chosen.size) + 1 :]:
        try:
            if carries(replace(run, size=size)) and _within(replace(run, size=size)):
                return _choice(run, chosen.for_ampacity, size, "voltage over all runs")
        except InputError as error:
            if error.field not in ("size", "sets"):
                raise
    return None


def _gained(run: Run, chosen: Choice, larger: Choice) -> float:
    """Percent of voltage gained by a cubic inch of metal, so to say."""
    metal = (area_cmil(larger.size) - area_cmil(chosen.size)) * run.length_ft * run.sets
    return (chosen.drop_pct - larger.drop_pct) / metal
