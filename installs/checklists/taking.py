"""Taking a field entry: it is always kept, and judged as it arrives by the rooms that know more of it.

The record knows no gate and no part. A room that judges entries (work begun behind a gate, a truck over its
limit, a frozen night) says so once, when the program starts.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import OperationalError, transaction

from installs.checklists.models import Entry, Item
from installs.checklists.said import number_fault, read_said
from installs.checklists.services import Taken, note, record
from installs.jobs.deviations import NOT_JUDGED, NOT_JUDGED_ELSEWHERE
from installs.jobs.getters import closed_to, locked
from installs.jobs.models import Job
from installs.jobs.services import open_deviation, write_event
from installs.people.models import User

log = logging.getLogger(__name__)
# (job, entry, by, at): it may open deviations, dated ``at``, when we came to know; it may not refuse
Judge = Callable[[Job, Entry, User, datetime], None]
JUDGES: list[Judge] = []


def judged_by(judge: Judge) -> None:
    """Ask ``judge`` about every entry from now on, after those that were named before it."""
    if judge not in JUDGES:
        JUDGES.append(judge)


@transaction.atomic
def take_entry(
    job: Job, *, by: User, received_at: datetime, from_phone: bool = False, **fields: Any
) -> Taken:
    """Take a field entry, whatever the gates say, and have it judged at the moment of our receipt.

    ``fields`` are those of checklists.services.record. What came from the phone's queue was seen in the
    field, so it is kept also where it cannot be read; a form refuses that, for its person is still there to
    ask. An entry that was sent before is not judged again, nor one that cannot be read or only strikes one.
    """
    job = locked(job, archived_too=True)
    if not from_phone:
        _readable(**fields)
        if closed := closed_to(job, fields["taken_at"]):
            raise ValidationError(closed)
    taken = record(job, by=by, received_at=received_at, **fields)
    if taken.new and not taken.entry.unreadable and not taken.entry.struck:
        for judge in JUDGES:
            _judged(judge, job, taken.entry, by, received_at)
    return taken


@transaction.atomic
def note_refused(job: Job, code: str, uuid: Any, why: str, *, by: User, at: datetime) -> None:
    """What a phone may not record any more stays on the phone: the job's log says so, once for each entry."""
    job = locked(job, archived_too=True)
    if not job.events.filter(verb="entry refused", data__entry=str(uuid)).exists():
        item = Item.objects.filter(list__job=job, code=code).select_related("list").first()
        said = {"entry": str(uuid), "code": code, "phase": item.list.phase if item else ""}
        write_event(
            job, "entry refused", f"{code} of {by.full_name} not taken. {why}", by=by, at=at, data=said
        )


def _readable(*, code: str, number: float | None = None, unit: str = "", data: Any = None, **_: Any) -> None:
    """ValidationError at the number, or in words, for what the entry's declaration does not have."""
    if fault := number_fault(code, number, unit):
        raise ValidationError({"number": fault})
    if faults := read_said(code, None, unit, data or {}).faults:
        raise ValidationError([f"{fault[0].upper()}{fault[1:]}." for fault in faults])


def _judged(judge: Judge, job: Job, entry: Entry, by: User, at: datetime) -> None:
    """Ask one judge. Where it breaks the entry stays, and what rests on its judgement waits for a person."""
    try:
        with transaction.atomic():
            judge(job, entry, by, at)
    except OperationalError:
        raise  # the database is locked or away: nothing is kept, and it comes again
    except Exception as error:
        log.exception("an entry was not judged: %s %s of %s", entry.code, entry.uuid, job.number)
        note(entry, {"not judged": f"{judge.__module__}: {type(error).__name__}"}, by=by, at=at)
        phase = entry.item.list.phase if entry.item else ""
        kind = NOT_JUDGED.get(phase, NOT_JUDGED_ELSEWHERE)
        title = kind.title.format(entry=entry, sequence=entry.sequence)[:80]
        if not job.deviations.filter(title=title).exists():
            open_deviation(
                job,
                title,
                f"{entry} was recorded by {by.full_name} and kept. By a fault of ours nobody has judged it: "
                "look at what it says, and answer this when it is in order.",
                by=by,
                at=at,
                entry=entry,
                kind=kind,
            )
