"""A job put down as a chain: what the pure rules lay the days from, and putting them down."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.days.moving import LOOKED_AHEAD, days_off
from crew.plan.chain import MOST_DAYS, USUAL, ChainCase, Laid, lay, to_lay
from crew.plan.facts import cure_terms, job_plan, people_facts
from crew.plan.models import Crew, CrewDay
from crew.plan.order import JobPlan
from crew.plan.services import add_day
from installs.gates.facts import facts_of
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.people.models import CertificateKind, User
from installs.sent.seen import Seen, of_lines
from sitecalc.wording import day_words

KINDS = ("pad", "tower", "electric")


@dataclass(frozen=True)
class Asked:
    """What the page gives: crews by kind, days by phase."""

    job: Job
    first: date
    crews: Mapping[str, Crew]
    days: Mapping[str, int]
    weather_days: int = 1


@dataclass(frozen=True)
class Row:
    """A day of the chain as the page shows it."""

    laid: Laid
    crew: Crew
    people: tuple[User, ...]

    @property
    def names(self) -> str:
        return ", ".join(person.full_name for person in self.people)

    @property
    def title(self) -> str:
        return BY_KEY[self.laid.phase].title + (", weather day" if self.laid.weather else "")


def plan_of(job: Job, at: datetime) -> JobPlan:
    return job_plan(facts_of(job, at), job.local(at).date(), cure_terms([job])[job.pk])


def rows_of(asked: Asked, at: datetime) -> tuple[Row, ...]:
    """Every day of the chain. ValidationError where it cannot be laid."""
    plan = plan_of(asked.job, at)
    crews = {phase: asked.crews[kind] for phase, (_, kind) in USUAL.items()}
    last = max(asked.first, plan.today) + LOOKED_AHEAD
    case = ChainCase(
        plan=plan,
        first=max(asked.first, plan.today),
        days=asked.days,
        crew={phase: crew.pk for phase, crew in crews.items()},
        weather_days=asked.weather_days,
        off=days_off(asked.job, plan.today, last),
        taken=_taken(asked, plan.today, last),
        shares=_shares(asked.crews.values()),
    )
    if not to_lay(plan):
        raise ValidationError("Every phase of this job has its days already.")
    try:
        laid = lay(case)
    except ValueError as error:
        raise ValidationError(str(error)) from error
    people = {phase: people_for(crew, USUAL[phase][1]) for phase, crew in crews.items()}
    return tuple(Row(each, crews[each.phase], people[each.phase]) for each in laid)


def _shares(crews: Iterable[Crew]) -> dict[int, frozenset[int]]:
    people = {crew.pk: set(_whole(crew)) for crew in crews}
    return {
        crew: frozenset(other for other, theirs in people.items() if other != crew and mine & theirs)
        for crew, mine in people.items()
    }


def _whole(crew: Crew) -> list[User]:
    return [crew.foreman, *crew.people.all()]


def people_for(crew: Crew, kind: str) -> tuple[User, ...]:
    """The whole crew; for wiring whoever of it or beside it did such work last, where an electrician did."""
    if kind != "electric" or any(_wires(person) for person in _whole(crew)):
        return tuple(_whole(crew))
    phases = [phase for phase, (_, of) in USUAL.items() if of == kind]
    last = CrewDay.objects.filter(phase__in=phases, crew=crew).order_by("-pk").first()
    people = tuple(last.people.filter(archived_on=None)) if last else ()
    return people if any(_wires(person) for person in people) else tuple(_whole(crew))


def _taken(asked: Asked, first: date, last: date) -> dict[int, dict[date, str]]:
    """By crew, the days on which one of its people is on a job already, or away."""
    found: dict[int, dict[date, str]] = defaultdict(dict)
    people = {crew.pk: {person.pk for person in _whole(crew)} for crew in asked.crews.values()}
    days = CrewDay.objects.standing().filter(on__range=(first, last), job__archived_on=None)
    on_jobs = days.select_related("job").prefetch_related("people")
    named = [(day.on, day.job.number, {p.pk for p in day.people.all()}) for day in on_jobs]
    known = people_facts()
    for crew in asked.crews.values():
        for on, number, busy in named:
            if busy & people[crew.pk]:
                found[crew.pk].setdefault(on, f"{crew.name} is on {number}")
        for person in (known[pk] for pk in people[crew.pk]):
            for begin, end, _ in person.away:
                for n in range((min(end, last) - max(begin, first)).days + 1):
                    found[crew.pk].setdefault(max(begin, first) + timedelta(days=n), f"{person.name} is away")
    return dict(found)


def usual_crews(crews: Sequence[Crew]) -> dict[str, Crew]:
    """The crew that did such work last; of the electric work else one with an electrician; else the first."""
    found: dict[str, Crew] = {}
    for kind in KINDS:
        phases = [phase for phase, (_, of) in USUAL.items() if of == kind]
        last = CrewDay.objects.filter(phase__in=phases, crew__in=crews).order_by("-pk").first()
        if last is not None:
            found[kind] = next(c for c in crews if c.pk == last.crew_id)
        elif kind == "electric":
            wired = (c for c in crews if any(_wires(p) for p in _whole(c)))
            found[kind] = next(wired, crews[0])
        else:
            found[kind] = crews[0]
    return found


def _wires(person: User) -> bool:
    return person.certificates.filter(archived_on=None, kind=CertificateKind.ELECTRICIAN).exists()


def seen_of(job: Job, rows: Sequence[Row]) -> Seen:
    """What whoever puts the days down has before them."""
    said = [
        (n, row.title, f"{day_words(row.laid.on, weekday=True, year=True)}, {row.crew.name}: {row.names}")
        for n, row in enumerate(rows)
    ]
    return of_lines([("job", "Job", str(job)), *said])


@transaction.atomic
def put_down(job: Job, rows: Sequence[Row], *, by: User, at: datetime) -> list[CrewDay]:
    """Every day of the chain, tentative."""
    job = locked(job)
    kinds = CrewDay.Kind
    return [
        add_day(
            job,
            row.laid.phase,
            row.laid.on,
            row.crew,
            by=by,
            at=at,
            people=row.people,
            kind=kinds.WEATHER if row.laid.weather else kinds.WORK,
        )
        for row in rows
    ]


__all__ = [
    "KINDS",
    "MOST_DAYS",
    "Asked",
    "Row",
    "people_for",
    "plan_of",
    "put_down",
    "rows_of",
    "seen_of",
    "usual_crews",
]
