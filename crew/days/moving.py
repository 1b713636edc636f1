"""A crew day that is moved: what must go with it, and what would not fit then."""

from __future__ import annotations

import copy
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.morning.office import JobMorning, Morning, load_morning
from crew.plan.along import Slot, along
from crew.plan.clashes import Clash, DayFact, clashes, short
from crew.plan.crane_clashes import crane_clashes
from crew.plan.facts import UNKNOWN_CURE, closed_days, day_facts, job_plan, with_days
from crew.plan.models import CrewDay
from crew.plan.order import CureTerms
from crew.plan.services import move_day
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.people.models import User
from installs.sent.seen import Seen, of_lines, of_row
from sitecalc.workdays import holidays_between

LOOKED_AHEAD = timedelta(days=800)


@dataclass(frozen=True)
class Along:
    """A day that must go with the one that is moved."""

    day: CrewDay
    to: date

    @property
    def words(self) -> str:
        kind = ", weather day" if self.day.kind == CrewDay.Kind.WEATHER else ""
        return f"{BY_KEY[self.day.phase].title}{kind}, {short(self.day.on)} to {short(self.to)}"


@dataclass(frozen=True)
class Moves:
    """``conflicts`` are those that were not there before, with everything moved."""

    day: CrewDay
    to: date
    along: tuple[Along, ...] = ()
    conflicts: tuple[Clash, ...] = ()
    used_up: CrewDay | None = None  # kept free for it on the day to which it moves

    @property
    def seen(self) -> Seen:
        """What whoever moves it has before them."""
        also = of_lines((f"along-{a.day.pk}", "Goes with it", a.words) for a in self.along)
        return {**of_row(self.day), **also}


def moves(day: CrewDay, to: date, by: User, at: datetime, leave: Collection[int] = ()) -> Moves:
    """What moves with the day; the days ``leave`` stay where they are, and are judged there."""
    morning = load_morning(at, by)
    m = next((each for each in morning.jobs if each.job.pk == day.job_id), None)
    if m is None or to == day.on:
        return Moves(day, to)
    standing = {d.pk: d for d in m.standing if d.on >= m.today}
    if day.pk not in standing:  # it is behind, and moves all the same
        standing[day.pk] = day
    off = days_off(m.job, m.today, max(to, *(d.on for d in standing.values())) + LOOKED_AHEAD)
    slots = [Slot(d.pk, d.phase, d.on, d.kind == CrewDay.Kind.WEATHER) for d in standing.values()]
    new = along(job_plan(m.facts, m.today, _cure(m)), slots, day.pk, to, off)
    used = next((d for d in standing.values() if _frees(d, day, to)), None)
    also = sorted((k for k in new if k != day.pk), key=lambda key: (new[key], key))
    going = {key: on for key, on in new.items() if key == day.pk or key not in leave}
    after = [d for d in _placed(standing, going) if used is None or d.pk != used.pk]
    return Moves(
        day,
        to,
        tuple(Along(standing[key], new[key]) for key in also),
        _not_there_before(morning, m, after),
        used,
    )


def _cure(m: JobMorning) -> CureTerms:
    return m.cure or UNKNOWN_CURE


def _frees(free: CrewDay, day: CrewDay, to: date) -> bool:
    kinds = (free.kind, day.kind) == (CrewDay.Kind.WEATHER, CrewDay.Kind.WORK)
    return kinds and (free.phase, free.crew_id, free.on) == (day.phase, day.crew_id, to)


def _placed(standing: Mapping[int, CrewDay], new: Mapping[int, date]) -> list[CrewDay]:
    found = []
    for key, day in standing.items():
        placed = copy.copy(day)
        placed.on = new.get(key, day.on)
        found.append(placed)
    return found


def _not_there_before(morning: Morning, m: JobMorning, after: list[CrewDay]) -> tuple[Clash, ...]:
    behind = [d for d in m.standing if d.on < m.today and d.pk not in {a.pk for a in after}]
    facts = {m.job.pk: with_days(m.facts, [*behind, *after])}
    mine = day_facts(after, facts, m.today, {m.job.pk: _cure(m)}, closed_days([m.job]))
    others = [day for each in morning.jobs if each is not m for day in each.ahead]
    before = {(c.days, c.jobs, c.sentence) for c in _all(morning, [*others, *m.ahead])}
    return tuple(c for c in _all(morning, [*others, *mine]) if (c.days, c.jobs, c.sentence) not in before)


def _all(morning: Morning, days: list[DayFact]) -> list[Clash]:
    return [*clashes(days, morning.people), *crane_clashes(days, morning.cranes, morning.today)]


def days_off(job: Job, first: date, last: date) -> dict[date, str]:
    """Holidays of the job's state and closed days of its site, by date."""
    found = holidays_between(job.state, first, last)
    for row in closed_days([job])[job.pk]:
        on = max(row.first_on, first)
        while on <= min(row.last_on, last):
            found[on] = f"the site is closed: {row.why}"
            on += timedelta(days=1)
    return found


@transaction.atomic
def move_along(found: Moves, why: str, ticked: Collection[int], *, by: User, at: datetime) -> list[CrewDay]:
    """Move the day and those of the others that were ticked, all for one reason."""
    if stray := set(ticked) - {a.day.pk for a in found.along}:
        raise ValidationError(f"{len(stray)} of the days that were ticked do not go with it any more.")
    going = [(found.day, found.to), *((a.day, a.to) for a in found.along if a.day.pk in ticked)]
    # the last first where all move on: none finds its date taken by one that is yet to leave it
    going.sort(key=lambda pair: pair[1], reverse=found.to > found.day.on)
    return [move_day(day, to, why, by=by, at=at) for day, to in going]
