"""One run with all its checks, and the numbers that schedules and material lists take from it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sitecalc.cases import same_as
from sitecalc.checks import Check, worst_first
from sitecalc.inputs import InputError, quantity, require_valid

from .ampacity import ampacity, ampacity_checks
from .breaker import breaker_checks, smallest_breaker
from .choose import Choice, choose_conductor, smallest_for_ampacity
from .codes import Edition
from .conduit import cover_check, fill_check, run_wires, smallest_trade_size, support_check
from .figures import GroundStationFigures
from .grounding import equipment_ground, ground_check
from .run import Run
from .tables import area_cmil
from .voltage_drop import voltage_drop, voltage_drop_check


@dataclass(frozen=True, kw_only=True)
class RunResult:
    """``choice`` is None where no size in the tables will do; ``trade_size`` None for direct burial."""

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


def run_result(run: Run) -> RunResult:
    """Numbers of one run for schedules and material lists, with the smallest that would do."""
    found, drop = ampacity(run), voltage_drop(run)
    try:
        choice = choose_conductor(run)
    except InputError:
        choice = None
    ground = None
    if choice is not None and run.breaker_a is not None:
        used, least = area_cmil(run.size), area_cmil(choice.for_ampacity)
        ground = equipment_ground(run.breaker_a, run.metal, run.sets * used, run.sets * least)
    trade_size = None
    if run.conduit != "direct burial":
        try:
            trade_size = smallest_trade_size(run.conduit, run_wires(run))
        except InputError:
            trade_size = None
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
    return RunCaseResult(run_result(case.run), tuple(worst_first(map(begun, checks))))


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
    less = f" {' and '.join(others)} less." if others else ""
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
