"""Plans of a season: from the plan by hand (hint.py) to the best that was found, never a worse one. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import cycle
from time import monotonic

from crew.solver.hint import by_hand
from crew.solver.model import Build
from crew.solver.season import Placed, Score, Season, SeasonJob, score, week_of
from crew.solver.solving import Effort, Sofar, Told, solved

MORE_MOVED = 5  # days that a repair may move beyond those that must
GROUP = 6  # jobs that are made better together, while the others stay: measured
GROUP_S = 3.0  # at most for each


@dataclass(frozen=True, kw_only=True)
class Planned:
    """``bound``: no plan of this season can come to less; ``proven``: this one is as good as any.

    hand
        what the plan by the rules of the hand comes to.
    """

    days: tuple[Placed, ...]
    score: Score
    hand: Score
    bound: float
    proven: bool


def planned(
    season: Season,
    effort: Effort,
    told: Told | None = None,
    *,
    hint: tuple[Placed, ...] | None = None,
    most_moved: int | None = None,
) -> Planned:
    """The best plan found in that time. CannotLay where not even the hand finds one.

    ``most_moved`` is how many of the days that stand may get another date; then nothing better than the
    hint may be found, and the hint may move more.
    """
    start = by_hand(season) if hint is None else hint
    hand = score(season, start)
    left = replace(effort, quick=True)
    if most_moved is None and len(season.jobs) > GROUP:
        start = in_groups(season, start, effort, told)
        left = replace(left, seconds=effort.seconds / 3)
    build = Build(season, start)
    build.aims(most_moved)
    build.hint(start)
    found = solved(build.model, left, told)
    before = score(season, start)
    days = build.read(found.solver) if found.solver is not None else start
    mine = score(season, days)
    if mine.total > before.total and (most_moved is None or before.moved <= most_moved):
        days, mine = start, before
    return Planned(days=days, score=mine, hand=hand, bound=min(found.bound, mine.total), proven=found.proven)


def in_groups(
    season: Season, plan: tuple[Placed, ...], effort: Effort, told: Told | None = None
) -> tuple[Placed, ...]:
    """Neighbors in place or in time made better together, for two thirds of the time: all are many."""
    best = plan
    ends = monotonic() + effort.seconds * 2 / 3
    for jobs in cycle(_groups(season, plan)):
        if monotonic() > ends:
            break
        if told is not None:
            told(Sofar(score(season, best).total, None))
        others = tuple(day for day in best if day.job not in {job.key for job in jobs})
        part = _with_others(season, jobs, others)
        mine = tuple(day for day in best if day not in set(others))
        found = planned(part, replace(effort, seconds=GROUP_S), hint=mine)
        best = tuple(sorted((*others, *found.days)))
    return best


def _groups(season: Season, plan: tuple[Placed, ...]) -> list[tuple[SeasonJob, ...]]:
    """By group of sites and by the day on which they end, each job in several of them."""
    end = {job.key: max(day.on for day in plan if day.job == job.key) for job in season.jobs}
    by_time = sorted(season.jobs, key=lambda job: end[job.key])
    by_place = sorted(by_time, key=lambda job: job.area)
    found = []
    for shift in (0, GROUP // 2):
        for row in (by_place, by_time):
            found += [tuple(row[n : n + GROUP]) for n in range(shift, len(row), GROUP)]
    return found


def _with_others(season: Season, jobs: tuple[SeasonJob, ...], others: tuple[Placed, ...]) -> Season:
    """The season of these jobs, where the days of the others stay."""
    known = {job.key: job for job in season.jobs}
    busy, crane_busy = dict(season.busy), dict(season.crane_busy)
    mobilized = set(season.mobilized)
    for day in others:
        job = known[day.job]
        gangs = (g for t in job.tasks if t.phase == day.phase for g in t.gangs if g.crew == day.crew)
        busy |= dict.fromkeys(((person, day.on) for person in next(gangs).people), job.number)
        if day.crane is not None:
            crane_busy[day.crane, day.on] = job.number
            if not day.weather:
                mobilized.add((day.crane, week_of(day.on), job.area))
    return replace(season, jobs=jobs, busy=busy, crane_busy=crane_busy, mobilized=frozenset(mobilized))


def repaired(season: Season, effort: Effort, told: Told | None = None) -> Planned:
    """A plan that moves few days: first as few as can be, then the aims with MORE_MOVED beyond those."""
    start = by_hand(season)
    build = Build(season, start)
    build.fewest_moved()
    build.hint(start)
    half = replace(effort, seconds=effort.seconds / 2, quick=True)
    found = solved(build.model, half, told)
    if found.solver is not None:
        start = build.read(found.solver)
    most = score(season, start).moved + MORE_MOVED
    return planned(season, half, told, hint=start, most_moved=most)
