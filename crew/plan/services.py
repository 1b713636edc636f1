"""Planning crew days by hand: add, move, strike, issue. Each writes to the job's log."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet

from crew.plan.models import Crew, CrewDay, Plan
from installs.gates.services import GateClosed, gate_now
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.jobs.services import next_letter, write_event
from installs.measures import short_words
from installs.people.models import User
from installs.sent.seen import Seen, of_lines
from sitecalc.wording import day_words


def permitted(job: Job, phase: str, on: date, at: datetime) -> None:
    """A crew day before the gate's forecast opening is refused, in the gate's own words."""
    key = BY_KEY[phase].gate
    if key is None or job.phases.filter(key=phase).exists():
        return
    state = gate_now(job, key, at, on)
    if not state.open and (state.waits_outside or (state.expected is not None and on < state.expected)):
        raise GateClosed(state)


@transaction.atomic
def add_day(
    job: Job,
    phase: str,
    on: date,
    crew: Crew,
    *,
    by: User,
    at: datetime,
    people: Iterable[User] = (),
    kind: str = CrewDay.Kind.WORK,
    note: str = "",
    moved_from: CrewDay | None = None,
) -> CrewDay:
    """Put a crew on a job on a date: tentative until a plan is issued."""
    job = locked(job)
    if CrewDay.objects.standing().filter(job=job, phase=phase, on=on, crew=crew).exists():
        raise ValidationError({"on": f"{crew} is on this job for this phase that day already."})
    permitted(job, phase, on, at)
    day = CrewDay.objects.create(
        job=job,
        phase=phase,
        on=on,
        crew=crew,
        kind=kind,
        note=note,
        made_at=at,
        made_by=by,
        moved_from=moved_from,
    )
    day.people.set(people or [crew.foreman, *crew.people.all()])
    write_event(
        job,
        "crew day added",
        f"{crew.name}: {BY_KEY[phase].title.lower()} on {day_words(on, weekday=True)}.",
        by=by,
        at=at,
        data={"phase": phase, "on": on.isoformat(), "crew": crew.name},
    )
    return day


@transaction.atomic
def move_day(day: CrewDay, on: date, why: str, *, by: User, at: datetime) -> CrewDay:
    """Strike the day and write it anew on another date, with initials and reason."""
    job = locked(day.job)
    strike_day(day, why, by=by, at=at)
    return add_day(
        job,
        day.phase,
        on,
        day.crew,
        by=by,
        at=at,
        people=day.people.all(),
        kind=day.kind,
        note=day.note,
        moved_from=day,
    )


@transaction.atomic
def strike_day(day: CrewDay, why: str, *, by: User, at: datetime) -> None:
    job = locked(day.job, archived_too=True)  # a day that was left over is taken off the calendar
    reason = short_words(why, 120, "why")
    if not reason:
        raise ValidationError({"why": "Say why."})
    struck = (
        CrewDay.objects.standing().filter(pk=day.pk).update(struck_at=at, struck_by=by, struck_why=reason)
    )
    if struck != 1:
        raise ValidationError("This day was struck already.")
    write_event(
        job,
        "crew day struck",
        f"{day.crew.name} on {day_words(day.on, weekday=True)} struck: {reason.strip()}",
        by=by,
        at=at,
        data={"day": day.pk},
    )


def locked_day(day: CrewDay) -> CrewDay:
    """The day's row until the transaction ends, behind its job's: jobs are locked first, by their keys."""
    locked(day.job, archived_too=True)  # whether it may be changed then says the service that does
    return CrewDay.objects.select_for_update().get(pk=day.pk)


def tentative_days() -> QuerySet[CrewDay]:
    """Every standing day of a job at work that no plan has put in force."""
    days = CrewDay.objects.standing().filter(plan=None, job__archived_on=None)
    return days.select_related("job", "crew").order_by("pk")


def issued_by_next(days: Iterable[CrewDay] | None = None) -> Seen:
    """What a person reads who issues the plan."""
    return of_lines(
        (
            day.pk,
            f"{day.job.number}, {day_words(day.on, weekday=True)}",
            f"{day.crew}: {BY_KEY[day.phase].title.lower()}",
        )
        for day in (tentative_days() if days is None else days)
    )


@transaction.atomic
def issue_plan(
    what: str, *, by: User, at: datetime, read: Callable[[Seen], None] = lambda days: None
) -> Plan:
    """Put every standing tentative day in force under the next letter.

    A plan is over all jobs: all are locked, by their keys, so that two who issue make one letter after the
    other and no day changes meanwhile. ``read`` is asked whether these days were read.
    """
    words = short_words(what, 200, "what")
    if not words:
        raise ValidationError({"what": "Say in a line what changed."})
    list(Job.objects.select_for_update().order_by("pk").values_list("pk"))
    tentative = list(tentative_days())
    read(issued_by_next(tentative))
    if not tentative:
        raise ValidationError({"what": "No day is tentative: there is nothing to issue."})
    plan = Plan.objects.create(
        letter=next_letter(Plan.objects.values_list("letter", flat=True)),
        issued_at=at,
        issued_by=by,
        what=words,
    )
    for job in sorted({day.job for day in tentative}, key=lambda j: j.pk):
        days = [d for d in tentative if d.job_id == job.pk]
        CrewDay.objects.filter(pk__in=[d.pk for d in days]).update(plan=plan)
        write_event(
            locked(job),
            "plan issued",
            f"Plan {plan.letter} issued: {len(days)} crew days in force.",
            by=by,
            at=at,
            data={"plan": plan.letter},
        )
    return plan
