"""Putting tentative days in force under a letter: those that gates and order allow, and the others named."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import cache, partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet

from crew.plan.facts import cure_terms, day_facts, job_plan
from crew.plan.models import CrewDay, Plan
from crew.plan.order import Pencilled, held_back
from installs.gates.facts import load_facts
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.jobs.services import next_letter, write_event
from installs.measures import short_words
from installs.people.models import User
from installs.sent.seen import Seen, of_lines
from sitecalc.wording import day_words


def tentative_days() -> QuerySet[CrewDay]:
    """Every standing day of a job at work that no plan has put in force."""
    days = CrewDay.objects.standing().filter(plan=None, job__archived_on=None)
    return days.select_related("job", "crew").order_by("pk")


def issued_by_next(days: Iterable[CrewDay] | None = None) -> Seen:
    """What a person reads who issues the plan. A season has a thousand days: no rows are made of them."""
    rows = (
        tentative_days().values_list("pk", "job__number", "on", "crew__name", "phase")
        if days is None
        else ((day.pk, day.job.number, day.on, day.crew.name, day.phase) for day in days)
    )
    on_day = cache(partial(day_words, weekday=True))
    return of_lines(
        (pk, f"{number}, {on_day(on)}", f"{crew}: {BY_KEY[phase].title.lower()}")
        for pk, number, on, crew, phase in rows
    )


def not_allowed(days: Sequence[CrewDay], at: datetime) -> dict[int, str]:
    """Of these tentative days those that cannot be put in force at ``at``, each with the reason in words."""
    jobs = {day.job_id: day.job for day in days}
    facts, cure = load_facts(jobs.values(), at), cure_terms(jobs.values())
    held: dict[int, str] = {}
    for key, job in jobs.items():
        today = job.local(at).date()
        own = day_facts([d for d in days if d.job_id == key], facts, today, cure)
        pencilled = [Pencilled(d.pk, d.phase, d.on, d.not_allowed) for d in own]
        held |= held_back(job_plan(facts[key], today, cure[key]), pencilled)
    return held


def named(day: CrewDay, why: str) -> str:
    """ "2031-004, pour on Tue May 6: no excavation and rebar is planned before it" """
    title = BY_KEY[day.phase].title.lower()
    return f"{day.job.number}, {title} on {day_words(day.on, weekday=True)}: {why}"


@transaction.atomic
def issue_plan(
    what: str, *, by: User, at: datetime, read: Callable[[Seen], None] = lambda days: None
) -> Plan:
    """Put in force, under the next letter, every standing tentative day that gates and order allow.

    What is not allowed yet stays tentative, and is named where nothing else is left to issue. A plan is over
    all jobs: all are locked, by their keys, so that two who issue make one letter after the other and no day
    changes meanwhile. ``read`` is asked whether these days were read.
    """
    words = short_words(what, 200, "what")
    if not words:
        raise ValidationError({"what": "Say in a line what changed."})
    list(Job.objects.select_for_update().order_by("pk").values_list("pk"))
    tentative = list(tentative_days().prefetch_related("people"))
    read(issued_by_next(tentative))
    if not tentative:
        raise ValidationError({"what": "No day is tentative: there is nothing to issue."})
    held = not_allowed(tentative, at)
    allowed = [day for day in tentative if day.pk not in held]
    if not allowed:
        raise ValidationError({"what": [f"{named(d, held[d.pk])}" for d in tentative]})
    plan = Plan.objects.create(
        letter=next_letter(Plan.objects.values_list("letter", flat=True)),
        issued_at=at,
        issued_by=by,
        what=words,
    )
    for job in sorted({day.job for day in allowed}, key=lambda j: j.pk):
        days = [d for d in allowed if d.job_id == job.pk]
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


def left_tentative(at: datetime) -> list[str]:
    """What the last issue did not put in force, each with the reason."""
    days = list(tentative_days().prefetch_related("people"))
    held = not_allowed(days, at)
    return [named(day, held[day.pk]) for day in days if day.pk in held]
