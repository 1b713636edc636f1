"""Planning crew days by hand: add, move, strike, put other people on. Each writes to the job's log.

A day can always be put down: it is tentative until a plan puts it in force (crew/plan/issuing.py), which
asks gates and order. A day is never changed: it is struck and written anew.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.plan.clashes import listed
from crew.plan.models import ClosedDays, CraneBooking, Crew, CrewDay
from crew.plan.order import LIFTS
from installs.equipment.models import Crane
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.jobs.services import add_member, write_event
from installs.lift.models import LiftDesign
from installs.measures import short_words
from installs.people.models import User
from sitecalc.wording import day_words

BLOWN_OFF = "blown off"
LONGEST_WHY = 120


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
    crane: Crane | None = None,
    moved_from: CrewDay | None = None,
) -> CrewDay:
    """Put a crew on a job on a date: tentative until a plan is issued. Its people see the job from then."""
    job = locked(job)
    if phase not in BY_KEY or not BY_KEY[phase].crew_works:
        raise ValidationError({"phase": "No crew is planned for this."})
    if CrewDay.objects.standing().filter(job=job, phase=phase, on=on, crew=crew).exists():
        raise ValidationError({"on": f"{crew} is on this job for this phase that day already."})
    day = CrewDay.objects.create(
        job=job,
        phase=phase,
        on=on,
        crew=crew,
        kind=kind,
        note=note,
        crane=(crane or crane_for(job, phase, on)) if phase in LIFTS else None,
        made_at=at,
        made_by=by,
        moved_from=moved_from,
    )
    _name(day, list(people) or [crew.foreman, *crew.people.all()], by, at)
    write_event(
        job,
        "crew day added",
        f"{crew.name}: {BY_KEY[phase].title.lower()} on {day_words(on, weekday=True)}.",
        by=by,
        at=at,
        data={"phase": phase, "on": on.isoformat(), "crew": crew.name},
    )
    return day


def _name(day: CrewDay, people: Collection[User], by: User, at: datetime) -> None:
    """Whoever is planned works on the job, and must see it."""
    day.people.set(people)
    members = set(day.job.members.filter(until=None).values_list("person", flat=True))
    for person in people:
        if person.pk not in members and person.archived_on is None:
            add_member(day.job, person, by=by, at=at)


def crane_for(job: Job, phase: str, on: date) -> Crane | None:
    """The crane of the job's lift plan; without one the only crane that is booked for the day."""
    plan = LiftDesign.objects.filter(job=job, which=phase).exclude(crane=None).select_related("crane").first()
    if plan is not None:
        return plan.crane
    booked = CraneBooking.objects.standing().filter(first_on__lte=on, last_on__gte=on)
    found = {b.crane for b in booked.select_related("crane")}
    return found.pop() if len(found) == 1 else None


@transaction.atomic
def move_day(day: CrewDay, on: date, why: str, *, by: User, at: datetime) -> CrewDay:
    """Strike the day and write it anew on another date, with initials and reason.

    Work that moves onto the day that was kept free for it uses that day up.
    """
    if on == day.on:
        raise ValidationError({"on": "That is the day on which it stands."})
    return _anew(day, on, day.crew, list(day.people.all()), day.note, day.crane, why, by=by, at=at)


@transaction.atomic
def change_day(
    day: CrewDay,
    *,
    crew: Crew,
    people: Iterable[User],
    note: str,
    crane: Crane | None,
    why: str = "",
    by: User,
    at: datetime,
) -> CrewDay:
    """Another crew, other people, note or crane on the same date; without ``why`` it says what changed."""
    wanted = list(people) or [crew.foreman, *crew.people.all()]
    changed = what_changes(day, crew, wanted, note, crane)
    if not changed:
        raise ValidationError("Nothing was changed.")
    return _anew(day, day.on, crew, wanted, note, crane, why or changed[:LONGEST_WHY], by=by, at=at)


def what_changes(day: CrewDay, crew: Crew, people: Collection[User], note: str, crane: Crane | None) -> str:
    """ "Ruth Eagleton for Gus Lund, crane T-40"; "" where all is as it stands."""
    had, has = set(day.people.all()), set(people)
    come = sorted(p.full_name for p in has - had)
    gone = sorted(p.full_name for p in had - has)
    said = []
    if crew != day.crew:
        said.append(f"{crew.name} for {day.crew.name}")
    if come or gone:
        out = f"without {listed(gone)}" if not come else f"for {listed(gone)}" if gone else "too"
        said.append(f"{listed(come)} {out}".strip() if come else out)
    if crane != day.crane:
        said.append(f"crane {crane}" if crane else "no crane named")
    if note != day.note:
        said.append("note")
    return ", ".join(said)


def _anew(
    day: CrewDay,
    on: date,
    crew: Crew,
    people: list[User],
    note: str,
    crane: Crane | None,
    why: str,
    *,
    by: User,
    at: datetime,
) -> CrewDay:
    job = locked(day.job)
    strike_day(day, why, by=by, at=at)
    kept_free = CrewDay.objects.standing().filter(
        job=job, phase=day.phase, on=on, crew=crew, kind=CrewDay.Kind.WEATHER
    )
    if day.kind == CrewDay.Kind.WORK:
        for free in kept_free:
            strike_day(free, f"used for the {day.phase}", by=by, at=at)
    return add_day(
        job,
        day.phase,
        on,
        crew,
        by=by,
        at=at,
        people=people,
        kind=day.kind,
        note=note,
        crane=crane,
        moved_from=day,
    )


@transaction.atomic
def strike_day(day: CrewDay, why: str, *, by: User, at: datetime) -> None:
    job = locked(day.job, archived_too=True)  # a day that was left over is taken off the calendar
    reason = short_words(why, LONGEST_WHY, "why")
    if not reason:
        raise ValidationError({"why": "Say why."})
    struck = (
        CrewDay.objects.standing().filter(pk=day.pk).update(struck_at=at, struck_by=by, struck_why=reason)
    )
    if struck != 1:
        raise ValidationError("This day was canceled already.")
    write_event(
        job,
        "crew day struck",
        f"{day.crew.name} on {day_words(day.on, weekday=True)} struck: {reason.strip()}",
        by=by,
        at=at,
        data={"day": day.pk},
    )


@transaction.atomic
def say_worked(day: CrewDay, *, by: User, at: datetime) -> None:
    """Of a day behind on which nothing is on record: it was worked. Twice is once."""
    job = locked(day.job)
    if day.on > job.local(at).date():
        raise ValidationError("This day is still to come.")
    if CrewDay.objects.standing().filter(pk=day.pk, worked_at=None).update(worked_at=at, worked_by=by) == 1:
        what = (
            f"{day.crew.name} worked on {day_words(day.on, weekday=True)}: {BY_KEY[day.phase].title.lower()}."
        )
        write_event(job, "crew day worked", what, by=by, at=at, data={"day": day.pk})


@transaction.atomic
def close_site(job: Job, first: date, last: date, why: str, *, by: User, at: datetime) -> ClosedDays:
    """Nobody works at the site from the first day to the last."""
    job = locked(job)
    row = ClosedDays.objects.create(job=job, first_on=first, last_on=last, why=why, made_at=at, made_by=by)
    data = {"first": first.isoformat(), "last": last.isoformat()}
    write_event(job, "site closed", f"{_span(row)}: {why}.", by=by, at=at, data=data)
    return row


@transaction.atomic
def open_site(row: ClosedDays, *, by: User, at: datetime) -> None:
    """The days are worked after all. Twice is once."""
    job = locked(row.job)
    live = ClosedDays.objects.filter(pk=row.pk, withdrawn_at=None)
    if live.update(withdrawn_at=at, withdrawn_by=by):
        what = f"{_span(row)}: open after all."
        write_event(job, "site opened", what, by=by, at=at, data={"closed": row.pk})


def _span(row: ClosedDays) -> str:
    return f"{day_words(row.first_on, weekday=True)} to {day_words(row.last_on, weekday=True)}"


def locked_day(day: CrewDay) -> CrewDay:
    """The day's row until the transaction ends, behind its job's: jobs are locked first, by their keys."""
    locked(day.job, archived_too=True)  # whether it may be changed then says the service that does
    return CrewDay.objects.select_for_update().get(pk=day.pk)
