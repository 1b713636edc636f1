"""The smallest conductor for a run: both ampacity tests, its breaker, and the voltage limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from sitecalc.inputs import InputError, require_valid

from .ampacity import CONTINUOUS, ampacity
from .breaker import largest_breaker
from .run import Run
from .tables import SIZES, Size, named
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
    """Both ampacity tests, the lasting brake current, and protection by the run's breaker."""
    found = ampacity(run)
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
    size = _smallest(run, lambda r: carries(r) and voltage_drop(r).percent <= r.drop_limit_pct)
    chosen = replace(run, size=size)
    return Choice(
        size=size,
        for_ampacity=least,
        governs="ampacity" if size == least else "voltage",
        usable_a=ampacity(chosen).usable_a,
        drop_pct=voltage_drop(chosen).percent,
    )
