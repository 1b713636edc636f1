"""Ampacity of a run: terminals, ambient, bundling, and the two tests a continuous current asks for.

Test 1: 125 % of the maximum current against the table value in the terminals' column, without
correction. Test 2: the maximum current itself against the corrected value. The 125 % is never put
on top of the correction.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step
from sitecalc.formula import Formula
from sitecalc.inputs import InputError

from .codes import CodeRule
from .run import Run, require_run
from .tables import INSULATIONS, named, rows, table_ampacity_a

AT_125 = CodeRule(
    "continuous", "conductor at 125 %", "A", "", Known.READ, ("continuous", "ampacity", "terminals")
)
CORRECTED = CodeRule(
    "corrected", "ampacity after correction", "A", "", Known.READ, ("ampacity", "ambient", "bundling")
)
BRAKED = CodeRule("brake", "braked turbine", "A", "", Known.READ, ("overcurrent",))

CONTINUOUS = Formula("I_125", "125 % of the maximum continuous current", "1.25*I", "A")
TERMINALS = Formula("I_t", "table value at the terminals", "n*I", "A")
CORRECTION = Formula("I_c", "corrected table value", "n*I*F_ambient*F_bundling", "A")
USABLE = Formula("I_u", "usable ampacity", "min(I_t,I_c)", "A")


@dataclass(frozen=True, kw_only=True)
class Ampacity:
    """All in A for all parallel sets together.

    terminal_a
        table value in the terminals' column, uncorrected.
    corrected_a
        table value in the insulation's column times both factors.
    usable_a
        the smaller of the two: what the overcurrent device must protect.
    """

    terminal_a: float
    corrected_a: float
    usable_a: float
    terminal_column_c: int
    insulation_column_c: int
    ambient_factor: float
    bundling_factor: float
    steps: tuple[Step, ...]


def celsius(fahrenheit: float) -> float:
    """Degrees C from degrees F."""
    return (fahrenheit - 32) / 1.8


def ambient_factor(ambient_f: float, column_c: int) -> float:
    """Factor (no unit) of the band the ambient falls in; a value between bands counts in the hotter one.

    ambient_f
        highest ambient, F.
    column_c
        column of the insulation, 60, 75 or 90 C.

    InputError where the table allows no current. NEC 2023 Table 310.15(B)(1)(1).
    """
    ambient_c = celsius(ambient_f)
    for row in rows("conductor_ambient"):
        if ambient_c <= float(row["up_to_c"]) + 1e-6:
            if not row[f"factor_{column_c}"]:
                break
            return float(row[f"factor_{column_c}"])
    raise InputError("ambient_f", f"{ambient_f:g} F is too hot for {column_c} C insulation.")


def bundling_factor(count: int) -> float:
    """Factor (no unit) for a number of current-carrying conductors in one conduit.

    1 for up to three. NEC 2023 Table 310.15(C)(1).
    """
    factor = 1.0
    for row in rows("conductor_bundling"):
        if count >= int(row["from_count"]):
            factor = float(row["factor"])
    return factor


def terminal_column_c(run: Run) -> int:
    """Column of the terminals, C: 60 up to 100 A unless they are marked 75, 75 above; never above the
    insulation's. NEC 110.14(C)(1) (from memory)."""
    if run.terminals_c is not None:
        column = run.terminals_c
    else:
        circuit_a = run.breaker_a if run.breaker_a is not None else CONTINUOUS.value(I=run.current_a)
        column = 60 if circuit_a <= 100 else 75
    return min(column, INSULATIONS[run.insulation][0])


def ampacity(run: Run) -> Ampacity:
    """Ampacity of a run in A, all parallel sets together.

    I_t = n I(terminals); I_c = n I(insulation) F_ambient F_bundling; usable is the smaller. Conductors of the
    table's sizes to 2 kV, in conduit or buried. InputError for a size or ambient the tables do not hold. NEC
    Table 310.16, 310.15(B) and (C), 110.14(C).
    """
    require_run(run)
    own, end = INSULATIONS[run.insulation][0], terminal_column_c(run)
    hot, many = ambient_factor(run.ambient_f, own), bundling_factor(run.carrying_count)
    terminal = TERMINALS.step_of(
        f"table value at {end} C terminals, {named(run.size)} {run.metal}",
        n=run.sets,
        I=table_ampacity_a(run.size, run.metal, end),
    )
    corrected = CORRECTION.step_of(
        f"corrected from the {own} C column: {run.ambient_f:g} F, {run.carrying_count} carrying",
        n=run.sets,
        I=table_ampacity_a(run.size, run.metal, own),
        F_ambient=hot,
        F_bundling=many,
    )
    usable = USABLE.step(I_t=terminal.value, I_c=corrected.value)
    return Ampacity(
        terminal_a=terminal.value,
        corrected_a=corrected.value,
        usable_a=usable.value,
        terminal_column_c=end,
        insulation_column_c=own,
        ambient_factor=hot,
        bundling_factor=many,
        steps=(terminal, corrected, usable),
    )


def ampacity_checks(run: Run, edition: str, key: str) -> list[Check]:
    """The two tests in A, and the lasting brake current where the turbine brakes by short circuit.

    ``key`` stands before the keys of the checks. NEC 694.12(B), 310.16, 110.14(C), 694.15(A).
    """
    found = ampacity(run)
    asked = CONTINUOUS.step(I=run.current_a)
    what = f"{named(run.size)} {run.metal}" + (f", {run.sets} sets" if run.sets > 1 else "")
    checks = [
        AT_125.of(edition, key, run.name).compare(
            demand=asked.value,
            capacity=found.terminal_a,
            note=f"1.25 x {run.current_a:.4g} = {asked.value:.4g} of {found.terminal_a:g} A, {what}, "
            f"{found.terminal_column_c} C terminals.",
            steps=(asked, found.steps[0]),
        ),
        CORRECTED.of(edition, key, run.name).compare(
            demand=run.current_a,
            capacity=found.corrected_a,
            note=f"{run.current_a:.4g} of {found.corrected_a:.4g} A, {what}, {run.ambient_f:g} F, "
            f"{run.carrying_count} current-carrying.",
            steps=found.steps,
        ),
    ]
    if run.short_circuit_a is not None:
        checks.append(
            BRAKED.of(edition, key, run.name).compare(
                demand=run.short_circuit_a,
                capacity=found.usable_a,
                note=f"lasting short-circuit current {run.short_circuit_a:.4g} of {found.usable_a:.4g} A.",
                steps=found.steps,
            )
        )
    return checks
