"""Pages that renew themselves: what they carry to ask by, and what has arrived since they were opened."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import render

from installs.checklists.models import Entry
from installs.jobs.kept import Stands, newest, seen
from installs.jobs.models import Event, Job
from installs.people.requests import PersonRequest
from sitecalc.wording import quantity_words

MOST_LINES = 12
LATE = timedelta(minutes=10)
NEWEST = {"entry": "installs.Entry", "event": "installs.Event"}


@dataclass(frozen=True)
class Live:
    """What a page asks by: the version it shows, where the record stood when it was opened, its sheet."""

    path: str
    seen: str
    _: KW_ONLY
    entry: int
    event: int
    sheet: int = 1
    more: Mapping[str, str] = field(default_factory=dict)  # what else the page was asked for

    @property
    def url(self) -> str:
        own = {"seen": self.seen, "entry": self.entry, "event": self.event, "sheet": self.sheet}
        carried = {**self.more, **own}
        return f"{self.path}?{urlencode(carried)}"


def opened(path: str, stands: Stands, sheet: int = 1, more: Mapping[str, str] | None = None) -> Live:
    """For a page that is opened now, at this version of the record."""
    since = {name: newest(stands, label) for name, label in NEWEST.items()}
    return Live(path, seen(stands), **since, sheet=sheet, more=more or {})


def renewed(
    request: PersonRequest, stands: Stands, sheet: int = 1, more: Mapping[str, str] | None = None
) -> Live | None:
    """For a page that asks again; None while it shows the record as it stands."""
    if request.GET.get("seen") == seen(stands):
        return None
    since = {name: _key(request.GET.get(name, "")) for name in NEWEST}
    return Live(request.path, seen(stands), **since, sheet=sheet, more=more or {})


def _key(text: str) -> int:
    """A key as a page carries it; one that cannot be read is after everything, so that nothing is listed."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else 10**15


def unchanged() -> HttpResponse:
    return HttpResponse(status=204)


def answer(request: PersonRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    """The page's live part. The header tells it from a sign-in page that came in its place."""
    response = render(request, template, context)
    response["X-Live"] = "yes"
    return response


@dataclass(frozen=True)
class Arrival:
    """One line of the day log. ``late``: when it arrived, where that was well after it was taken."""

    job: Job
    at: datetime
    received_at: datetime
    who: str
    words: str

    @property
    def late(self) -> datetime | None:
        return self.received_at if self.received_at - self.at > LATE else None


def arrivals(jobs: QuerySet[Job], live: Live) -> list[Arrival]:
    """What came into these jobs since the page was opened, newest first, at most a dozen."""
    entries = (
        Entry.objects.filter(job__in=jobs, pk__gt=live.entry)
        .select_related("job", "person", "item")
        .order_by("-pk")[:MOST_LINES]
    )
    events = (
        Event.objects.filter(job__in=jobs, pk__gt=live.event)
        .select_related("job", "by")
        .order_by("-pk")[:MOST_LINES]
    )
    found = [
        Arrival(e.job, e.job.local(e.happened_at), e.job.local(e.received_at), e.person.full_name, said(e))
        for e in entries
    ]
    found += [Arrival(e.job, e.job.local(e.at), e.job.local(e.at), e.by.full_name, e.what) for e in events]
    return sorted(found, key=lambda line: line.received_at, reverse=True)[:MOST_LINES]


def said(entry: Entry) -> str:
    """ "E03 edge 52 F", "D03 truck 3 not done: no cone" """
    number = quantity_words(entry.number, entry.unit) if entry.number is not None else ""
    state = "not done:" if entry.said.get("cannot") else "failed" if entry.said.get("failed") else ""
    if entry.unreadable:
        state = f"cannot be read: {entry.unreadable}."
    if entry.struck:
        state = "crossed out:" if entry.text else "crossed out"
    done = "" if number or state or entry.text else "done"
    again = "corrected to" if entry.corrects_id and not entry.struck else ""
    return " ".join(
        part for part in (entry.code, entry.subject, again, number, state, entry.text, done) if part
    )
