"""What stands of the field record: the newest entry that no later entry corrects."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from installs.checklists.limits import Limit, own
from installs.checklists.models import Entry, Item, ItemKind, Weight
from installs.jobs.reading import moment

TRUCK, SENSOR = "truck", "sensor"
AGAIN_AND_AGAIN = (TRUCK, SENSOR)  # what is read many times: two readings that differ are no conflict


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """Entries in the order of our receipt without those that a later one corrects.

    Two devices on one item are two standing entries: both are shown, a person settles it by a
    correction. What is struck counts for nothing, and what it had corrected stands again.
    """
    in_order = sorted(entries, key=lambda e: e.sequence)
    struck = struck_keys(in_order)
    counted = [e for e in in_order if e.pk not in struck]
    corrected = {e.corrects_id for e in counted if e.corrects_id}
    return [e for e in counted if e.pk not in corrected and not e.struck]


def struck_keys(in_order: Iterable[Entry]) -> set[int]:
    """Keys of entries that a later one strikes; what is struck itself strikes nothing."""
    struck: set[int] = set()
    for entry in reversed(list(in_order)):
        if entry.struck and entry.pk not in struck and entry.corrects_id is not None:
            struck.add(entry.corrects_id)
    return struck


def happened(entry: Entry) -> bool:
    """Whether it had happened at the moment as of which the record is read."""
    at = moment()
    return at is None or entry.happened_at <= at


def by_code(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    """Standing entries by the code of their item, oldest first."""
    found: dict[str, list[Entry]] = defaultdict(list)
    for entry in standing(entries):
        found[entry.code].append(entry)
    return found


def named(subject: str, per: str) -> str:
    """A subject as it is compared: "Leg  A", "leg a" and "A" are one leg."""
    words = subject.lower().split()
    return " ".join(words[1:] if len(words) > 1 and words[0] == per else words)


def newest(item: Item, entries: Iterable[Entry]) -> dict[str, Entry]:
    """Of standing entries of one item, the last received of each subject: one, unless the item says per."""
    ordered = sorted(entries, key=lambda e: e.sequence)
    names = subjects_in if item.per else lambda entry: ("",)
    return {named(subject, item.per): e for e in ordered for subject in names(e)}


def subjects_in(entry: Entry) -> tuple[str, ...]:
    """A logger's file stands for every sensor that it has a column of."""
    columns = entry.said.get("sensors") if entry.said.get("file") else None
    return columns if columns is not None else (entry.subject,)


def lacking(
    item: Item, entries: Iterable[Entry], names: tuple[str, ...] = (), limit: Limit | None = None
) -> tuple[str, ...]:
    """Subjects of which the newest standing entry does not complete the item; empty when the item is done.

    ``names`` are all that there are; while nobody knows them, those on record. An item without subjects, or
    of which nothing is on record, gives its own word for one. ``limit`` is what a release gives (limits.py).
    """
    of = newest(item, entries)
    wanted = {named(name, item.per): name for name in names} if item.per else {"": item.code}
    wanted = wanted or {key: of[key].subject for key in of} or {"": item.per}
    open_ = {key: name for key, name in wanted.items() if key not in of or not _done(item, of[key], limit)}
    why = {key: _why(of[key], limit) for key in open_ if key in of}
    return tuple(f"{name}, {why[key]}" if why.get(key) else name for key, name in open_.items())


def _done(item: Item, entry: Entry, limit: Limit | None) -> bool:
    """Of a truck it is done too when it is said that it could not be measured: the truck is gone."""
    return satisfies(entry, limit) or (item.per == TRUCK and bool(entry.said.get("cannot")))


def _why(entry: Entry, limit: Limit | None) -> str:
    """What an entry on record lacks, where its own words do not say it."""
    if entry.unreadable:
        return "cannot be read"
    if entry.not_judged:
        return "not judged"
    if (
        limit is not None
        and limit.plan + limit.lacks
        and not not_done(entry)
        and (fault := limit.fault(entry))
    ):
        return fault
    return "photo" if entry.photo_id is None and _in_order(entry, limit) else ""


def differing(item: Item, entries: Iterable[Entry]) -> bool:
    """Two hands recorded one subject differently, and neither corrects the other."""
    seen: dict[str, set[object]] = defaultdict(set)
    for entry in entries:
        key = named(entry.subject, item.per) if item.per else ""
        told = (entry.number, entry.text, bool(entry.said.get("cannot")), bool(entry.said.get("failed")))
        seen[key].add(told)
    return any(len(told) > 1 for told in seen.values())


def satisfies(entry: Entry, limit: Limit | None = None) -> bool:
    """Whether an entry completes its item: done, in tolerance where there is one, not said as failed.

    The tolerance is the item's own unless a release gives one as ``limit``. A reading out of tolerance is
    kept and shown; it does not complete the item.
    """
    return not shortfall(entry, limit)


def shortfall(entry: Entry, limit: Limit | None = None) -> str:
    """Why an entry on record does not complete its item, in words; empty when it does."""
    if entry.unreadable:
        return "cannot be read"
    if entry.not_judged:
        return "not judged"
    if not_done(entry):
        return "not measured" if entry.said.get("cannot") else "said as failed"
    if entry.item is None:
        return ""
    if fault := (limit or own(entry.item)).fault(entry):
        return fault
    return "no photo yet" if needs_photo(entry.item) and entry.photo_id is None else ""


def _in_order(entry: Entry, limit: Limit | None = None) -> bool:
    if not_done(entry):
        return False
    return entry.item is None or not (limit or own(entry.item)).fault(entry)


def not_done(entry: Entry) -> bool:
    """Said as failed or not to be done, or nobody can read what it says."""
    return bool(entry.unreadable or entry.said.get("failed") or entry.said.get("cannot"))


def needs_photo(item: Item) -> bool:
    """A photo item is nothing without one, nor a hold point to which one belongs, unless a name is signed."""
    if item.kind == ItemKind.PHOTO:
        return True
    return item.photo and item.weight == Weight.HOLD and item.kind != ItemKind.SIGNATURE
