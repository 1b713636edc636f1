"""The days of a person who is away or gone, with who can go instead; and putting them on, all at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.plan.clashes import listed
from crew.plan.facts import people_facts
from crew.plan.instead import Offer, Post, offers
from crew.plan.models import CrewDay
from crew.plan.services import change_day
from installs.jobs.getters import locked
from installs.jobs.phases import BY_KEY
from installs.people.models import Role, User
from installs.sent.seen import Seen, of_lines
from sitecalc.wording import day_words

NOBODY = "nobody"
OUTDOORS = (Role.FOREMAN, Role.CREW, Role.ELECTRICIAN)


@dataclass(frozen=True)
class Missing:
    """A day and who can go; ``chosen`` is the key of a person, NOBODY, or "" to leave it as it stands."""

    day: CrewDay
    offer: Offer
    chosen: str

    @property
    def field(self) -> str:
        return f"day-{self.day.pk}"


def days_of(person: User, today: date, *, all_ahead: bool) -> list[CrewDay]:
    """Standing days ahead that name the person: all of them, or those on which they are away."""
    days = list(
        CrewDay.objects.standing()
        .filter(people=person, on__gte=today, job__archived_on=None)
        .select_related("job", "crew", "crane")
        .prefetch_related("people")
        .order_by("on", "pk")
    )
    if all_ahead or person.archived_on:
        return days
    away = person.absences.filter(withdrawn_on=None)
    spans = [(a.first_on, a.last_on) for a in away]
    return [day for day in days if any(first <= day.on <= last for first, last in spans)]


def missing_of(person: User, days: Sequence[CrewDay], chosen: Mapping[str, str]) -> list[Missing]:
    """``chosen`` is what was posted; where nothing was, whoever fits best."""
    known = people_facts()
    outdoors = set(User.objects.current().filter(role__in=OUTDOORS).values_list("pk", flat=True))
    posts = [
        Post(
            day.pk,
            day.job.number,
            day.on,
            BY_KEY[day.phase].skills,
            tuple(p.pk for p in day.people.all() if p != person),
        )
        for day in days
    ]
    found = offers(posts, known[person.pk], known, _busy([day.on for day in days]))
    rows = []
    for day, offer in zip(days, found, strict=True):
        fitting = tuple(p for p in offer.people if p.pk in outdoors)
        first = str(fitting[0].pk) if fitting else ""
        of_day = Offer(offer.post, offer.asked, fitting)
        rows.append(Missing(day, of_day, chosen.get(f"day-{day.pk}", "" if chosen else first)))
    return rows


def _busy(on: Sequence[date]) -> dict[tuple[int, date], frozenset[str]]:
    found: dict[tuple[int, date], set[str]] = defaultdict(set)
    days = CrewDay.objects.standing().filter(on__in=set(on), job__archived_on=None)
    for person, day, job in days.values_list("people", "on", "job__number"):
        if person is not None:
            found[person, day].add(job)
    return {key: frozenset(jobs) for key, jobs in found.items()}


def seen_of(days: Sequence[CrewDay]) -> Seen:
    """What whoever puts others on has before them."""
    return of_lines(
        (
            day.pk,
            f"{day.job.number}, {day_words(day.on, weekday=True)}",
            f"{BY_KEY[day.phase].title}: {_names(day)}",
        )
        for day in days
    )


def _names(day: CrewDay) -> str:
    return listed(sorted(p.full_name for p in day.people.all()) or [NOBODY])


@transaction.atomic
def put_instead(person: User, rows: Sequence[Missing], *, by: User, at: datetime) -> int:
    """Put on who was chosen for each day; how many days were changed. ValidationError for who cannot go."""
    for key in sorted({row.day.job_id for row in rows}):
        locked(next(row.day.job for row in rows if row.day.job_id == key))
    changed = 0
    for row in rows:
        if not row.chosen:
            continue
        come = _who(row)
        people = [p for p in row.day.people.all() if p != person] + come
        if not people:
            when = day_words(row.day.on, weekday=True)
            raise ValidationError(
                f"{row.day.job.number} on {when}: nobody would be left. Cancel the day instead."
            )
        day = row.day
        change_day(day, crew=day.crew, people=people, note=day.note, crane=day.crane, by=by, at=at)
        changed += 1
    return changed


def _who(row: Missing) -> list[User]:
    if row.chosen == NOBODY:
        return []
    for person in row.offer.people:
        if str(person.pk) == row.chosen:
            return [User.objects.get(pk=person.pk)]
    when = day_words(row.day.on, weekday=True)
    raise ValidationError(f"{row.day.job.number} on {when}: whoever was chosen is not free any more.")
