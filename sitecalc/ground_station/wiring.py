"""One run with all its checks, and the numbers that schedules and material lists take from it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sitecalc.cases import same_as
from sitecalc.checks import Check, worst_first
from sitecalc.inputs import InputError, quantity, require_valid

from .ampacity import ampacity, ampacity_checks
from .breaker import breaker_checks, smallest_breaker
from .choose import Choice, choose_together, smallest_for_ampacity
from .codes import Edition
from .conduit import (
    cover_check,
    fill_check,
    longest_hang_ft,
    run_wires,
    smallest_trade_size,
    support_check,
)
from .figures import GroundStationFigures
from .grounding import equipment_ground, ground_check
from .run import Run
from .tables import SIZES, Size, area_cmil
from .voltage_drop import voltage_drop, voltage_drop_check


@dataclass(frozen=True, kw_only=True)
class RunResult:
    """Numbers of a run as it is, and what would do in its place.

    ``choice`` is None where no size in the tables will do. ``ground_size``, ``trade_size`` (None for direct
    burial) and ``support_ft`` go with the choice, or with the run's own conductor while there is none.
    """

    name: str
    terminal_a: float
    corrected_a: float
    usable_a: float
    breaker_a: int
    drop_pct: float
    drop_v: float
    loss_w: float
    choice: Choice | None
    ground_size: str | None
    trade_size: str | None
    ground_metal: str = ""
    support_ft: float | None = None


def run_checks(run: Run, edition: str, key: str) -> list[Check]:
    """All checks of one run, ``key`` before each of their keys. InputError for what the tables do not hold.

    NEC Articles 240, 250, 300, 310, 694; Chapter 9 Tables 1, 4, 5, 8, 9.
    """
    checks = [
        *ampacity_checks(run, edition, key),
        voltage_drop_check(run, edition, key),
        *breaker_checks(run, edition, key),
        _ground(run, edition, key),
        fill_check(run, edition, key),
        cover_check(run, edition, key),
        support_check(run, edition, key),
    ]
    return [check for check in checks if check is not None]


def _ground(run: Run, edition: str, key: str) -> Check:
    try:
        least = smallest_for_ampacity(run)
    except InputError:
        least = run.size  # nothing larger would carry it: the ampacity checks say so
    return ground_check(run, least, edition, key)


def runs_results(runs: Sequence[Run], limit_pct: float = math.inf) -> list[RunResult]:
    """Of runs in a row; what would do keeps their drops or rises together within a limit in %."""
    chosen = choose_together(runs, limit_pct)
    return [run_result(run, choice) for run, choice in zip(runs, chosen, strict=True)]


def _ground_for(run: Run, choice: Choice) -> Size | None:
    """The ground that goes with that conductor; None where the tables end."""
    if run.breaker_a is None:
        # no row of the table: as large as the phase conductor is enough, of the same metal or of copper
        return choice.size if run.ground_of in (run.metal, "copper") else None
    used, least = run.sets * area_cmil(choice.size), run.sets * area_cmil(choice.for_ampacity)
    try:
        found = equipment_ground(run.breaker_a, run.ground_of, used, least, run.metal)
    except InputError:
        return None
    return next((size for size in SIZES if size == found), None)


def run_result(run: Run, choice: Choice | None) -> RunResult:
    """Numbers of one run for schedules and material lists, with the smallest that would do."""
    found, drop = ampacity(run), voltage_drop(run)
    ground, laid = None, run
    if choice is not None:
        ground = _ground_for(run, choice)
        laid = replace(run, size=choice.size, ground_size=ground or run.ground_size)
    trade_size = None
    if run.conduit != "direct burial":
        try:
            trade_size = smallest_trade_size(run.conduit, run_wires(laid))
        except InputError:
            trade_size = None
    support = None
    if run.vertical_ft:
        support = min(run.support_ft or run.vertical_ft, longest_hang_ft(laid.size, run.metal))
    return RunResult(
        name=run.name,
        terminal_a=found.terminal_a,
        corrected_a=found.corrected_a,
        usable_a=found.usable_a,
        breaker_a=smallest_breaker(run.current_a),
        drop_pct=drop.percent,
        drop_v=drop.volts,
        loss_w=drop.loss_w,
        choice=choice,
        ground_size=ground,
        trade_size=trade_size,
        ground_metal=run.ground_of,
        support_ft=support,
    )


@dataclass(frozen=True)
class RunCase:
    """One run by itself."""

    edition: Edition = same_as(GroundStationFigures, "edition", required=True)
    run: Run = quantity("", "the run")


@dataclass(frozen=True)
class RunCaseResult:
    result: RunResult
    checks: tuple[Check, ...]


def check_run(case: RunCase) -> RunCaseResult:
    """One run by itself, by the edition of the case: as of :func:`run_result` and :func:`run_checks`."""
    require_valid(case)
    checks = run_checks(case.run, case.edition, "run")
    return RunCaseResult(runs_results([case.run])[0], tuple(worst_first(map(begun, checks))))


def governed(checks: Iterable[Check]) -> list[Check]:
    """Of the runs' checks of one kind that pass, the one that governs; what does not pass stands by itself.

    The steps of all are kept, each with its run's name.
    """
    kept: list[Check] = []
    kinds: dict[str, list[Check]] = {}
    for check in checks:
        if check.passes and check.key.startswith("run-"):
            kinds.setdefault(check.key.split("-", 2)[2], []).append(check)
        else:
            kept.append(check)
    return [*kept, *(_governing(kind, same) for kind, same in kinds.items())]


def _governing(kind: str, same: Sequence[Check]) -> Check:
    worst = max(same, key=lambda check: check.ratio or 0.0)
    name, _, what = worst.title.partition(": ")
    others = [check.title.partition(": ")[0] for check in same if check is not worst]
    less = f" {' and '.join(others)} lower." if others else ""
    steps = tuple(
        step.called(f"{check.title.partition(': ')[0]}: {step.meaning}")
        for check in same
        for step in check.steps
    )
    return replace(
        worst,
        key=f"runs-{kind}",
        title=what[:1].upper() + what[1:],
        note=f"{name}, {worst.note}{less}",
        case=name,
        steps=steps,
    )


def begun(check: Check) -> Check:
    """The note as a sentence after its title."""
    return replace(check, note=check.note[:1].upper() + check.note[1:])
