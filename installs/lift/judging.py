"""Judges what the day reads: beyond the plan's limit, or another crane, it is kept and leaves a deviation."""

from __future__ import annotations

from datetime import datetime

from installs.checklists.limits import limit_of, limits_of
from installs.checklists.models import Entry
from installs.jobs.deviations import OVER_THE_CARD
from installs.jobs.models import Job
from installs.jobs.services import open_deviation
from installs.lift.limits import given_by
from installs.people.models import User
from sitecalc.wording import quantity_words


def judge(job: Job, entry: Entry, by: User, at: datetime) -> None:
    """By the plan that the reading names, or else the one of its hour: another since makes it no better."""
    item = entry.item
    if item is None or not (entry.reading is not None or entry.text):
        return
    kind = OVER_THE_CARD.get(item.list.phase)
    if kind is None:
        return
    limit = limit_of(item, limits_of([job])[job.pk])
    letter = limit.letter_of(entry)
    if not letter or (limit.lacks and entry.said.get("plan") != letter):
        return
    if letter != limit.letter or limit.lacks:
        then = job.revisions.get(part=item.list.phase, letter=letter)
        limit = limit_of(item, {(item.list.phase, item.code): given_by(then).get(item.code, limit)})
    stop = limit.stops(entry)
    if not stop:
        return
    read = entry.text[:40] if entry.reading is None else quantity_words(entry.reading, entry.unit)
    open_deviation(
        job,
        kind.title.format(reading=f"{item.code} {read}", stop=stop)[:80],
        f"{item.wording}: {read}, recorded by {by.full_name}. {stop[0].upper()}{stop[1:]}. {limit.words}",
        by=by,
        at=at,
        gate=item.list.phase,
        entry=entry,
        kind=kind,
    )
