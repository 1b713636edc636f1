"""What stands of the field record: the newest entry that no later entry corrects."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from installs.checklists.models import Entry


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """Entries in the order of our receipt without those that a later one corrects.

    Two devices on one item are two standing entries: both are shown, a person settles it by a
    correction.
    """
    in_order = sorted(entries, key=lambda e: e.sequence)
    corrected = {e.corrects_id for e in in_order if e.corrects_id}
    return [e for e in in_order if e.pk not in corrected]


def by_code(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    """Standing entries by the code of their item, oldest first."""
    found: dict[str, list[Entry]] = defaultdict(list)
    for entry in standing(entries):
        found[entry.code].append(entry)
    return found


def satisfies(entry: Entry) -> bool:
    """Whether an entry completes its item: done, in tolerance where the item has one, not said as failed.

    A reading out of tolerance is kept and shown; it does not complete the item.
    """
    if entry.data.get("failed") or entry.data.get("cannot"):
        return False
    item = entry.item
    if item is None:
        return True
    if item.low is None and item.high is None:
        return True
    if entry.number is None:
        return False
    above = item.low is None or entry.number >= item.low
    below = item.high is None or entry.number <= item.high
    return above and below
