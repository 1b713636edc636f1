"""Ampacity of a run: terminals, ambient, bundling, and the two tests a continuous current asks for.

Test 1: 125 % of the maximum current against the table value in the terminals' column, without
correction. Test 2: the maximum current itself against the corrected value. The 125 % is never put
on top of the correction.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.checks import Check, Step, compare
from sitecalc.inputs import InputError

from .codes import by
from .run import Run, require_run
from .tables import INSULATIONS, named, rows, table_ampacity_a

CONTINUOUS = 1.25


@dataclass(frozen=True)
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
    return (fahrenheit - 32) / 1.8


def ambient_factor(ambient_f: float, column_c: int) -> float:
    """Factor of the band the ambient falls in; a value between bands counts in the hotter one.

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
    """Factor for current-carrying conductors in one conduit. NEC 2023 Table 310.15(C)(1)."""
    factor = 1.0
    for row in rows("conductor_bundling"):
        if count >= int(row["from_count"]):
            factor = float(row["factor"])
    return factor


def terminal_column_c(run: Run) -> int:
    """60 C up to 100 A unless the terminals are marked 75 C, 75 C above; never above the insulation's."""
    if run.terminals_c is not None:
        column = run.terminals_c
    else:
        circuit_a = run.breaker_a or CONTINUOUS * run.current_a
        column = 60 if circuit_a <= 100 else 75
    return min(column, INSULATIONS[run.insulation][0])


def ampacity(run: Run) -> Ampacity:
    """InputError for a size or ambient the tables do not hold. NEC Table 310.16, 110.14(C)."""
    require_run(run)
    own, end = INSULATIONS[run.insulation][0], terminal_column_c(run)
    hot, many = ambient_factor(run.ambient_f, own), bundling_factor(run.carrying_count)
    table_end = table_ampacity_a(run.size, run.metal, end)
    table_own = table_ampacity_a(run.size, run.metal, own)
    terminal, corrected = run.sets * table_end, run.sets * table_own * hot * many
    steps = (
        Step(
            "I_t",
            f"table value at {end} C terminals, {named(run.size)} {run.metal}",
            "I_t = n x table value",
            f"{run.sets} x {table_end:g}",
            terminal,
            "A",
        ),
        Step(
            "I_c",
            f"corrected from the {own} C column: {run.ambient_f:g} F, {run.carrying_count} carrying",
            "I_c = n x table value x F_ambient x F_bundling",
            f"{run.sets} x {table_own:g} x {hot:.2f} x {many:.2f}",
            corrected,
            "A",
        ),
        Step(
            "I_u",
            "usable ampacity",
            "I_u = min(I_t, I_c)",
            f"min({terminal:g}, {corrected:.4g})",
            min(terminal, corrected),
            "A",
        ),
    )
    return Ampacity(terminal, corrected, min(terminal, corrected), end, own, hot, many, steps)


def ampacity_checks(run: Run, edition: str, key: str) -> list[Check]:
    """The two tests, and the lasting brake current where the turbine brakes by short circuit."""
    found = ampacity(run)
    asked = CONTINUOUS * run.current_a
    what = f"{named(run.size)} {run.metal}" + (f", {run.sets} sets" if run.sets > 1 else "")
    checks = [
        compare(
            f"{key}-continuous",
            f"{run.name}: conductor at 125 %",
            demand=asked,
            capacity=found.terminal_a,
            unit="A",
            note=f"1.25 x {run.current_a:.4g} = {asked:.4g} of {found.terminal_a:g} A, {what}, "
            f"{found.terminal_column_c} C terminals.",
            **by(edition, "continuous", "ampacity", "terminals"),
            steps=(
                Step(
                    "I_125",
                    "125 % of the maximum continuous current",
                    "I_125 = 1.25 I",
                    f"1.25 x {run.current_a:.4g}",
                    asked,
                    "A",
                ),
                found.steps[0],
            ),
        ),
        compare(
            f"{key}-corrected",
            f"{run.name}: ampacity after correction",
            demand=run.current_a,
            capacity=found.corrected_a,
            unit="A",
            note=f"{run.current_a:.4g} of {found.corrected_a:.4g} A, {what}, {run.ambient_f:g} F, "
            f"{run.carrying_count} current-carrying.",
            **by(edition, "ampacity", "ambient", "bundling"),
            steps=found.steps,
        ),
    ]
    if run.short_circuit_a is not None:
        checks.append(
            compare(
                f"{key}-brake",
                f"{run.name}: braked turbine",
                demand=run.short_circuit_a,
                capacity=found.usable_a,
                unit="A",
                note=f"lasting short-circuit current {run.short_circuit_a:.4g} of {found.usable_a:.4g} A.",
                **by(edition, "overcurrent"),
                steps=found.steps,
            )
        )
    return checks
