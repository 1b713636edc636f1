"""A season of jobs as plain values: what a plan by the machine is made from, and what it comes to. Pure.

The rules of planning by hand are asked, never written a second time: the order of phases and the cure
(crew/plan/order.py), working days (workdays.py), cards and absences (clashes.py), cranes (crane_clashes.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property

from crew.plan.clashes import PersonFact, short
from crew.plan.crane_clashes import CraneFacts
from crew.plan.order import JobPlan
from sitecalc.workdays import day_off

DAY = timedelta(days=1)
FEWEST = 2  # nobody works alone on a site where a crew of two or more is planned: common practice, no source
SPARE = timedelta(days=400)  # looked ahead beyond the day until which a season is planned


@dataclass(frozen=True, kw_only=True)
class Weights:
    """What one of each counts, the aims in their order; shown beside every plan. Common practice, no source.

    late
        a day that a job ends after its promised date (where none is promised: after the end of the season).
    mobilization
        a week in which a crane goes to a group of sites.
    signed
        a lift day on none of the days that its signed plan is for: it is to be signed anew.
    moved, shifted
        a day of the plan that stands that gets another date; each day by which it does.
    ends
        a day that a job ends later, which makes it end as early as the other aims let it.
    """

    late: int = 1000
    mobilization: int = 200
    signed: int = 150
    moved: int = 20
    shifted: int = 2
    ends: int = 1


@dataclass(frozen=True, kw_only=True)
class Gang:
    """A crew as it goes to a phase: who of it and beside it."""

    crew: int
    name: str
    people: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Task:
    """The days of one phase that are to be planned.

    gangs, cranes
        which of them can do it, the usual one first; no cranes for what is no lift.
    not_before
        from the forecast of its gate or what slipped, with the reason; None where nothing is known.
    stood, stood_free
        the dates of its work days and weather days in the plan that stands, in order.
    signed_for
        the days of a lift's plan that is signed and in force; none where there is no such plan.
    """

    phase: str
    days: int
    gangs: tuple[Gang, ...]
    skills: tuple[str, ...] = ()
    cranes: tuple[int, ...] = ()
    not_before: date | None = None
    not_before_why: str = ""
    stood: tuple[date, ...] = ()
    stood_free: tuple[date, ...] = ()
    signed_for: tuple[date, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SeasonJob:
    """``plan`` has the days that stay: behind, begun, and of phases that are not planned here.

    off
        days on which the site is not worked, with the reason.
    promised
        the date by which its last task is over.
    area
        sites with one number are near to one another: a crane goes to them together.
    """

    key: int
    number: str
    plan: JobPlan
    tasks: tuple[Task, ...]
    off: Mapping[date, str] = field(default_factory=dict)
    promised: date | None = None
    area: int = 0


@dataclass(frozen=True, kw_only=True)
class Season:
    """``busy`` and ``crane_busy`` are the days that stay, with the number of the job they are taken for.

    weather_days
        kept free behind each lift, by the month of the lift, January to December.
    until
        the day by which the jobs without a promised date are wanted.
    mobilized
        crane, week and group of sites: where one goes already, and goes again for nothing.
    """

    today: date
    first: date
    until: date
    jobs: tuple[SeasonJob, ...]
    people: Mapping[int, PersonFact]
    cranes: CraneFacts
    busy: Mapping[tuple[int, date], str] = field(default_factory=dict)
    crane_busy: Mapping[tuple[int, date], str] = field(default_factory=dict)
    mobilized: frozenset[tuple[int | None, tuple[int, int], int]] = frozenset()
    weather_days: tuple[int, ...] = (1,) * 12
    weights: Weights = Weights()

    @cached_property
    def last(self) -> date:
        """The last day that is looked at."""
        return max(self.until, self.first) + SPARE

    def kept_free(self, lift_on: date) -> int:
        return self.weather_days[lift_on.month - 1]

    def wanted_by(self, job: SeasonJob) -> date:
        return job.promised or self.until

    def present(self, gang: Gang, on: date) -> tuple[int, ...]:
        """Who of the gang works on the day: those that are here and not away."""
        known = (self.people[key] for key in gang.people if key in self.people)
        return tuple(p.pk for p in known if not p.left and p.away_on(on) is None)


@dataclass(frozen=True, order=True, kw_only=True)
class Placed:
    """A day of a plan. ``crane`` is of a lift alone."""

    on: date
    job: int
    phase: str
    weather: bool
    crew: int
    crane: int | None = None


def off_for_gang(season: Season, job: SeasonJob, task: Task, gang: Gang, on: date) -> str:
    """Why the gang cannot work this task on the day, by itself; "" where it can."""
    if off := day_off(on, job.off):
        return off
    if task.not_before and on < task.not_before:
        return task.not_before_why
    for key in gang.people:
        if (key, on) in season.busy:
            return f"{gang.name} is on {season.busy[key, on]}"
    here = season.present(gang, on)
    if len(here) < min(FEWEST, len(gang.people)):
        return f"{gang.name} has too few people that day"
    for skill in task.skills:
        if not any(season.people[key].holds(skill, on) for key in here):
            return f"no {skill} of {gang.name} with a certificate is there"
    return ""


def off_for_crane(season: Season, crane: int, on: date) -> str:
    """Why the crane cannot lift on the day: on a job that stays, or cancelled and not booked again."""
    name = season.cranes.cranes[crane].name
    if (crane, on) in season.crane_busy:
        return f"{name} is on {season.crane_busy[crane, on]}"
    covering = [b for b in season.cranes.bookings if b.covers(crane, on)]
    if covering and all(b.cancelled for b in covering):
        return f"{name} was cancelled for {short(on)}"
    return ""


@dataclass(frozen=True, kw_only=True)
class Score:
    """What a plan comes to: days late in all, crane mobilizations, lift days whose plan is to be signed anew,
    days moved, days they are shifted by."""

    late: int
    mobilizations: int
    signed: int
    moved: int
    shifted: int
    ends: int
    total: int


def score(season: Season, plan: tuple[Placed, ...]) -> Score:
    """``ends`` [days]: from the first day of the season to the end of each job, added up."""
    by_job: dict[int, list[Placed]] = {}
    for day in plan:
        by_job.setdefault(day.job, []).append(day)
    late = ends = signed = moved = shifted = 0
    went: set[tuple[int | None, tuple[int, int], int]] = set()
    for job in season.jobs:
        days = by_job.get(job.key, [])
        if not days:
            continue
        end = max(d.on for d in days if not d.weather)
        late += max((end - season.wanted_by(job)).days, 0)
        ends += (end - season.first).days
        went |= {(d.crane, week_of(d.on), job.area) for d in days if d.crane is not None and not d.weather}
        for task in job.tasks:
            mine = sorted(d.on for d in days if d.phase == task.phase and not d.weather)
            gaps = [abs((on - stood).days) for on, stood in zip(mine, task.stood, strict=False)]
            signed += sum(on not in task.signed_for for on in mine) if task.signed_for else 0
            moved += sum(gap > 0 for gap in gaps)
            shifted += sum(gaps)
    went -= season.mobilized
    w = season.weights
    total = w.late * late + w.mobilization * len(went) + w.signed * signed
    total += w.moved * moved + w.shifted * shifted + w.ends * ends
    return Score(
        late=late,
        mobilizations=len(went),
        signed=signed,
        moved=moved,
        shifted=shifted,
        ends=ends,
        total=total,
    )


def week_of(on: date) -> tuple[int, int]:
    """Year and week: a crane is paid by the week (ISO 8601 weeks)."""
    return on.isocalendar()[:2]
