"""Copying lists into a job, and taking field entries: only ever added, chained by hash."""

from __future__ import annotations

import math
import uuid as uuids
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.library import ListFile, shipped_lists
from installs.checklists.models import Device, Entry, Item, ItemKind, JobList
from installs.checklists.said import AS_SENT
from installs.checklists.standing import AGAIN_AND_AGAIN, named
from installs.checklists.subjects import allowed_for, subjects_of
from installs.files.models import StoredFile
from installs.jobs.getters import locked
from installs.jobs.models import Event, Job
from installs.jobs.sealing import START_OF_CHAIN, digest, is_hash_of
from installs.jobs.services import write_event
from installs.people.models import User


class Conflict(ValidationError):
    """The same UUID came with other content: refused and shown, never merged."""


@dataclass(frozen=True)
class Taken:
    entry: Entry
    new: bool


@transaction.atomic
def copy_lists(job: Job, *, by: User, at: datetime) -> list[JobList]:
    """Copy every shipped list that the job does not have yet; versions stay as they are today."""
    return _copy_missing(locked(job), by=by, at=at)


def _copy_missing(job: Job, *, by: User, at: datetime) -> list[JobList]:
    have = set(job.lists.values_list("key", flat=True))
    # what was entered before its list was there is of it
    early = set(job.entries.filter(item=None).values_list("code", flat=True))
    copied = [
        _copy(job, shipped, at, early) for shipped in shipped_lists().values() if shipped.key not in have
    ]
    if copied:
        names = ", ".join(f"{c.title} {c.version}" for c in copied)
        write_event(job, "checklists copied", f"Checklists copied: {names}.", by=by, at=at)
    return copied


def _copy(job: Job, shipped: ListFile, at: datetime, early: set[str]) -> JobList:
    kept = JobList.objects.create(
        job=job,
        key=shipped.key,
        title=shipped.title,
        phase=shipped.phase,
        version=shipped.version,
        copied_at=at,
    )
    items = Item.objects.bulk_create(
        Item(list=kept, position=position, **fields) for position, fields in enumerate(shipped.items, start=1)
    )
    for item in items:
        if item.code in early:
            job.entries.filter(item=None, code=item.code).update(item=item)
    return kept


def record(
    job: Job,
    *,
    code: str,
    by: User,
    taken_at: datetime,
    received_at: datetime,
    uuid: uuids.UUID | None = None,
    subject: str = "",
    number: float | None = None,
    unit: str = "",
    text: str = "",
    data: Mapping[str, Any] | None = None,
    photo: StoredFile | None = None,
    corrects: uuids.UUID | None = None,
    device: Device | None = None,
    noted: Mapping[str, str] | None = None,
) -> Taken:
    """Add one entry to the job's chain; the same UUID with the same content gives the kept one.

    Call inside a transaction that holds the job's lock. ValidationError for a subject that the design in
    force does not have, an unknown entry to correct, or a UUID that was sent with other content (Conflict).
    A known code is tied to the item of the job's list; any other code is kept as it is.
    """
    if number is not None and not math.isfinite(number):
        raise ValidationError({"number": "Enter a number."})
    kept_number = None if number is None else float(number)  # as the database gives it back
    key = uuid or uuids.uuid4()
    item = _item_of(job, code, by=by, at=received_at)
    kept_unit = unit or (item.unit if item and kept_number is not None else "")
    said = (
        code, subject[:60], kept_number, kept_unit, text[:1000], data, photo, corrects, taken_at, by.pk
    )  # fmt: skip
    content_hash = digest(_content(job.number, *said))
    kept = Entry.objects.filter(uuid=key).select_related("item").first()
    if kept:
        # sealed under the number of its day, and sent again under the one of today
        if all(kept.content_hash != digest(_content(number, *said)) for number in numbers_of(job)):
            raise Conflict("This entry was sent before with other content. Both are kept where they are.")
        return Taken(kept, new=False)
    if item is not None and not {"cannot", "file", "struck", AS_SENT} & set(data or {}):
        _known_subject(job, item, subject)
    old = _corrected(job, corrects, code) if corrects else None
    if (data or {}).get("struck"):
        _may_be_struck(old, item, subject, text, by=by, at=taken_at)
    last = job.entries.order_by("-sequence").first()
    entry = Entry(
        uuid=key,
        job=job,
        sequence=last.sequence + 1 if last else 1,
        item=item,
        code=code,
        subject=subject[:60],
        number=kept_number,
        unit=kept_unit,
        text=text[:1000],
        data=dict(data or {}),
        photo=photo,
        corrects=old,
        taken_at=taken_at,
        received_at=received_at,
        skew_s=float(device.skew_s) if device else 0.0,
        person=by,
        device=device,
        content_hash=content_hash,
        previous_hash=last.hash if last else START_OF_CHAIN,
    )
    entry.hash = line_hash(entry)
    entry.save(force_insert=True)
    if noted:
        note(entry, noted, by=by, at=received_at)
    return Taken(entry, new=True)


NOTED = "entry noted"


def note(entry: Entry, said: Mapping[str, str], *, by: User, at: datetime) -> None:
    """Put words beside an entry: that it came late, that nobody has judged it. Holds the job's lock.

    The entry was sealed before them, so the chain of the job's log says them: all that stands beside the
    entry from now on, so that the last such line of an entry is what stands there (``notes_faults``).
    """
    entry.noted = {**entry.noted, **said}
    Entry.objects.filter(pk=entry.pk).update(noted=entry.noted)
    words = "; ".join(said.values())
    data = {"entry": str(entry.uuid), "sequence": entry.sequence, "noted": entry.noted}
    write_event(entry.job, NOTED, f"{entry}, entry {entry.sequence}: {words}.", by=by, at=at, data=data)


def notes_faults(entries: Iterable[Entry], events: Iterable[Event]) -> Iterator[str]:
    """Each entry beside which something else stands than the job's log says was noted."""
    told: dict[str, Any] = {}
    for event in events:
        if event.verb == NOTED and isinstance(event.data, dict):
            told[str(event.data.get("entry"))] = event.data.get("noted")
    for entry in entries:
        if entry.noted != told.get(str(entry.uuid), {}):
            yield f"line {entry.sequence}: what stands beside it is not what the log says was noted"


def _item_of(job: Job, code: str, *, by: User, at: datetime) -> Item | None:
    """The item of the job's list; a list that we ship is copied before anything is entered for it."""
    asked = Item.objects.filter(list__job=job, code=code).select_related("list")
    found, shipped = asked.first(), shipped_lists().values()
    if found is None and any(item["code"] == code for each in shipped for item in each.items):
        _copy_missing(job, by=by, at=at)
        found = asked.first()
    return found


def _known_subject(job: Job, item: Item, subject: str) -> None:
    names = allowed_for(item, subjects_of(job)) if item.per else ()
    if names and named(subject, item.per) not in {named(name, item.per) for name in names}:
        raise ValidationError(
            {"subject": f"There is no {subject or 'such ' + item.per}: {', '.join(names)}."}
        )


def strikeable(item: Item | None) -> bool:
    """Not a reading, nor what is told of a truck: that is corrected by what was right."""
    return item is None or not (item.kind == ItemKind.READING or item.per in AGAIN_AND_AGAIN)


TAKE_BACK_S = 60  # whoever pressed the wrong button sees it on the next card


def _may_be_struck(
    old: Entry | None, item: Item | None, subject: str, text: str, *, by: User, at: datetime
) -> None:
    """ValidationError where nothing is named, where a reading would vanish that others rest on, or where it
    is not said why: at once and by the same hand it needs no words, by the phone's own clock.

    A reading, and what is told of a truck, is corrected by what was right: a cold night is never struck.
    """
    if old is None or old.subject != subject[:60]:
        raise ValidationError({"corrects": "Which entry is crossed out?"})
    if not strikeable(item):
        raise ValidationError({"corrects": "A reading is not crossed out: correct it by what was right."})
    at_once = by.pk == old.person_id and timedelta(0) <= at - old.taken_at <= timedelta(seconds=TAKE_BACK_S)
    if not text.strip() and not at_once:
        raise ValidationError({"text": "Say what was wrong."})


def line_hash(entry: Entry) -> str:
    """The hash of an entry in its place: what came, when, by which phone's clock, and the one before it."""
    phone = [entry.skew_s, str(entry.device.uuid) if entry.device else ""]
    return digest([*_in_its_place(entry), *phone, entry.previous_hash])


def _earlier_line_hash(entry: Entry) -> str:
    """Lines of an earlier version do not cover the phone's clock."""
    return digest([*_in_its_place(entry), entry.previous_hash])


def _in_its_place(entry: Entry) -> list[Any]:
    received = entry.received_at.astimezone(UTC).isoformat()
    return [str(entry.uuid), entry.sequence, entry.content_hash, received]


def _content(
    job_number: str,
    code: str,
    subject: str,
    number: float | None,
    unit: str,
    text: str,
    data: Mapping[str, Any] | None,
    photo: StoredFile | None,
    corrects: uuids.UUID | None,
    taken_at: datetime,
    person: int,
) -> list[Any]:
    """What the phone said, in one order: two deliveries are the same entry when this is the same."""
    sha256 = photo.sha256 if photo else ""
    instant = taken_at.astimezone(UTC).isoformat()
    return [
        job_number,
        code,
        subject,
        number,
        unit,
        text,
        dict(data or {}),
        sha256,
        str(corrects or ""),
        instant,
        person,
    ]


def _corrected(job: Job, uuid: uuids.UUID, code: str) -> Entry:
    found = job.entries.filter(uuid=uuid, code=code).first()
    if found is None:
        raise ValidationError({"corrects": "There is no such entry of this item to correct."})
    return found


def chain_faults(job: Job) -> list[str]:
    """Every break of the job's field record in words; empty when it is whole."""
    lines = job.entries.select_related("photo", "corrects", "device").order_by("sequence")
    return entry_faults(lines, numbers_of(job))


def numbers_of(job: Job) -> list[str]:
    """The job's number, and those it had before by its log: an entry is sealed under the one of its day."""
    before = job.events.filter(verb="job changed").values_list("data__number__0", flat=True)
    return [job.number, *filter(None, before)]


def entry_faults(entries: Iterable[Entry], numbers: list[str]) -> list[str]:
    """Every break in all the entries of a job, in their order; ``numbers`` are those the job has had."""
    faults, previous, expected = [], START_OF_CHAIN, 1
    for entry in entries:
        if entry.sequence != expected:
            faults.append(f"entry {expected} is missing")
        seals = (line_hash, _earlier_line_hash)
        if entry.previous_hash != previous or not any(
            is_hash_of(entry.hash, partial(seal, entry)) for seal in seals
        ):
            faults.append(f"entry {entry.sequence} does not follow the entry before it")
        if not sealed_under(entry, numbers):
            faults.append(f"entry {entry.sequence} was altered")
        previous, expected = entry.hash, entry.sequence + 1
    return faults


def sealed_under(entry: Entry, numbers: Iterable[str]) -> str:
    """The job's number that the entry's content was sealed with; "" where none of them gives its hash."""
    return next((n for n in numbers if is_hash_of(entry.content_hash, partial(_content_hash, entry, n))), "")


def _content_hash(entry: Entry, job_number: str) -> str:
    return digest(
        _content(
            job_number,
            entry.code,
            entry.subject,
            entry.number,
            entry.unit,
            entry.text,
            entry.data,
            entry.photo,
            entry.corrects.uuid if entry.corrects else None,
            entry.taken_at,
            entry.person_id,
        )
    )
