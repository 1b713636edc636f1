"""A plan of the season by the rules of the hand: each job as a chain, one after the other. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from crew.plan.chain import ChainCase, lay
from crew.plan.order import LIFTS
from crew.solver.season import (
    Gang,
    Placed,
    Season,
    SeasonJob,
    Task,
    off_for_crane,
    off_for_gang,
    score,
)


class CannotLay(ValueError):
    """A job has no place by the hand rules; ``job`` is its number."""

    def __init__(self, job: str, words: str) -> None:
        super().__init__(f"{job}: {words}")
        self.job, self.words = job, words


@dataclass(frozen=True)
class _Way:
    """Who does each phase, with which crane."""

    gangs: Mapping[str, Gang]
    cranes: Mapping[str, int | None]


def by_hand(season: Season) -> tuple[Placed, ...]:
    """The better of two: laid anew in order of the promised dates, and with what stands kept where it can.

    CannotLay where neither comes to an end.
    """
    found, fault = [], None
    for keeping in (False, True):
        try:
            found.append(_laid(season, keeping))
        except CannotLay as error:
            fault = error
    if not found:
        assert fault is not None
        raise fault
    return min(found, key=lambda plan: score(season, plan).total)


def _laid(season: Season, keeping: bool) -> tuple[Placed, ...]:
    plan: list[Placed] = []
    busy, crane_busy = dict(season.busy), dict(season.crane_busy)
    for job in sorted(season.jobs, key=lambda j: _turn(season, j, keeping)):
        known = replace(season, busy=busy, crane_busy=crane_busy)
        mine = _job(known, job, keeping)
        for day in mine:
            people = next(
                g.people for t in job.tasks if t.phase == day.phase for g in t.gangs if g.crew == day.crew
            )
            busy |= dict.fromkeys(((key, day.on) for key in people), job.number)
            if day.crane is not None:
                crane_busy[day.crane, day.on] = job.number
        plan += mine
    return tuple(sorted(plan))


def _turn(season: Season, job: SeasonJob, keeping: bool) -> tuple[bool, date, str]:
    """Where days are kept, jobs whose days can all stay come first: they give way to none that must move."""
    disturbed = keeping and any(
        on < season.first or off_for_gang(season, job, task, task.gangs[0], on)
        for task in job.tasks
        for on in task.stood
    )
    return disturbed, season.wanted_by(job), job.number


def _job(season: Season, job: SeasonJob, keeping: bool) -> list[Placed]:
    """The chain that ends first, over the crews and cranes that could do it."""
    ways = [
        _Way(
            {t.phase: t.gangs[min(g, len(t.gangs) - 1)] for t in job.tasks},
            {t.phase: (t.cranes[min(c, len(t.cranes) - 1)] if t.cranes else None) for t in job.tasks},
        )
        for g in range(max((len(t.gangs) for t in job.tasks), default=1))
        for c in range(max((len(t.cranes) for t in job.tasks), default=1))
    ]
    found, fault = [], None
    for way in ways:
        try:
            found.append(_chain(season, job, way, keeping))
        except ValueError as error:
            fault = error
    if not found:
        raise CannotLay(job.number, str(fault))
    return min(found, key=lambda days: max((d.on for d in days), default=season.first))


def _chain(season: Season, job: SeasonJob, way: _Way, keeping: bool) -> list[Placed]:
    """A key a phase stands for its gang: what keeps one from a day is another for each phase."""
    keys = {task.phase: n for n, task in enumerate(job.tasks)}
    gangs = way.gangs
    case = ChainCase(
        plan=job.plan,
        first=season.first,
        days={task.phase: task.days for task in job.tasks},
        crew=keys,
        weather_days=max(season.weather_days),
        off=job.off,
        taken={keys[task.phase]: _Taken(season, job, task, way, keeping) for task in job.tasks},
        shares={
            n: frozenset(
                m
                for other, m in keys.items()
                if m != n and set(gangs[phase].people) & set(gangs[other].people)
            )
            for phase, n in keys.items()
        },
    )
    laid = [
        Placed(
            on=each.on,
            job=job.key,
            phase=each.phase,
            weather=each.weather,
            crew=gangs[each.phase].crew,
            crane=way.cranes[each.phase],
        )
        for each in lay(case)
    ]
    if len({d.phase for d in laid}) < len(job.tasks):
        raise ValueError("A phase is begun, or has its days already.")
    if any(d.on > season.last for d in laid):
        raise ValueError("It does not end within what is looked ahead.")
    return [d for d in laid if not d.weather or _wanted(season, laid, d)]


def _wanted(season: Season, laid: list[Placed], free: Placed) -> bool:
    """A day is kept free only where the month of its lift asks for it."""
    lifted = max(d.on for d in laid if d.phase == free.phase and not d.weather)
    nth = sum(d.phase == free.phase and d.weather and d.on <= free.on for d in laid)
    return nth <= season.kept_free(lifted)


class _Taken(dict[date, str]):
    """By date why a phase cannot be worked on it, asked when it is looked up."""

    def __init__(self, season: Season, job: SeasonJob, task: Task, way: _Way, keeping: bool) -> None:
        super().__init__()
        self.season, self.job, self.task = season, job, task
        self.gang, self.crane = way.gangs[task.phase], way.cranes[task.phase]
        self.stands = task.stood[0] if keeping and task.stood else date.min

    def get(self, on: date, default: str = "") -> str:  # type: ignore[override]  # of a Mapping the one use
        if on < self.stands:
            return "it stands on a later day"
        why = off_for_gang(self.season, self.job, self.task, self.gang, on)
        if not why and self.task.phase in LIFTS and self.crane is not None:
            why = off_for_crane(self.season, self.crane, on)
        return why or default
