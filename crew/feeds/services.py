"""Making and ending the address of a calendar, each a line of the firm's log; and what it gives out.

Whoever has the address has the days, without signing in: so it says days, where and which crew, and no name
of an owner, no person, no phone and no note.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.feeds.models import Feed
from crew.plan.models import Crew, CrewDay
from installs.equipment.models import Crane
from installs.jobs.phases import BY_KEY
from installs.people.firm_log import write_firm_event
from installs.people.models import User

BEHIND = timedelta(days=28)
DAY = timedelta(days=1)
KINDS: dict[str, Any] = {"person": User, "crew": Crew, "crane": Crane}


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def make_feed(of: User | Crew | Crane, *, by: User, at: datetime) -> str:
    """The secret of a new address; only its hash is kept, and the one before it is ended."""
    kind = next(kind for kind, model in KINDS.items() if isinstance(of, model))
    held = KINDS[kind].objects.select_for_update().get(pk=of.pk)
    if held.archived_on:
        raise ValidationError(f"{held} is archived and has no calendar.")
    Feed.objects.filter(**{kind: held}, ended_at=None).update(ended_at=at, ended_by=by)
    token = secrets.token_urlsafe(32)
    feed = Feed.objects.create(**{kind: held}, sha256=_hash(token), made_at=at, made_by=by)
    what = f"Address of the {feed} made; one made before is ended."
    write_firm_event("calendar made", what, by=by, at=at, data={"feed": feed.pk, kind: held.pk})
    return token


@transaction.atomic
def end_feed(feed: Feed, *, by: User, at: datetime) -> None:
    """From now on the address answers that there is nothing."""
    if Feed.objects.filter(pk=feed.pk, ended_at=None).update(ended_at=at, ended_by=by) != 1:
        raise ValidationError("This address is ended already.")
    write_firm_event("calendar ended", f"Address of the {feed} ended.", by=by, at=at, data={"feed": feed.pk})


def feed_of(token: str) -> Feed | None:
    """The feed of this secret while it is open."""
    rows = Feed.objects.select_related("person", "crew", "crane")
    feed = rows.filter(sha256=_hash(token)).first()
    return feed if feed and feed.open else None


def days_of(feed: Feed, today: date) -> list[CrewDay]:
    """Standing days from four weeks behind on."""
    days = CrewDay.objects.standing().filter(on__gte=today - BEHIND, job__archived_on=None)
    if feed.person_id is not None:
        days = days.filter(people=feed.person_id)
    elif feed.crew_id is not None:
        days = days.filter(crew=feed.crew_id)
    else:
        days = days.filter(crane=feed.crane_id)
    return list(days.select_related("job", "crew").order_by("on", "pk"))


def calendar_of(feed: Feed, days: Iterable[CrewDay]) -> bytes:
    """As RFC 5545 has it: a whole day each, whose end is the day after it (3.6.1)."""
    from icalendar import Calendar, Event

    found = Calendar()
    found.add("prodid", "-//Mastwright//crew days//EN")
    found.add("version", "2.0")
    found.add("x-wr-calname", f"Crew days, {feed.of}")
    for day in days:
        event = Event()
        free = ", weather day" if day.kind == CrewDay.Kind.WEATHER else ""
        event.add("uid", f"crew-day-{day.pk}@mastwright")
        event.add("dtstamp", day.made_at)
        event.add("dtstart", day.on)
        event.add("dtend", day.on + DAY)
        event.add("summary", f"{day.job.number} {BY_KEY[day.phase].title}{free}: {day.crew.name}")
        event.add("location", ", ".join(filter(None, [day.job.address, day.job.place, day.job.state])))
        event.add("status", "CONFIRMED" if day.plan_id else "TENTATIVE")
        event.add("transp", "TRANSPARENT" if free else "OPAQUE")
        found.add_component(event)
    text: bytes = found.to_ical()
    return text
