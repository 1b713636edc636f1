"""Lines of a paper torque log among the entries of the phones: whose hand wrote them, and when it was.

A line keyed in is an entry by the clerk; ``data["by"]`` is the key of the person who wrote it on the paper.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping

from installs.checklists.models import Entry
from installs.people.models import User


def in_order(entries: Iterable[Entry]) -> list[Entry]:
    """The phones' as received; a line from paper before what was done after it, however late it is keyed in.

    Else a bolt that failed in the afternoon would be made good by a paper of the morning, and a check
    would count for nothing once the torque before it is keyed in.
    """
    kept = list(entries)
    papers = deque(sorted((e for e in kept if e.said.get("from_paper")), key=lambda e: e.happened_at))
    found: list[Entry] = []
    for entry in kept:
        if not entry.said.get("from_paper"):
            while papers and papers[0].happened_at < entry.happened_at:
                found.append(papers.popleft())
            found.append(entry)
    return [*found, *papers]


def hand_key(entry: Entry) -> int | None:
    """Key of who wrote the line on paper; None where the entry says nobody that could be."""
    key: int | None = entry.said.get("by")
    return key


def hand(entry: Entry, people: Mapping[int, User]) -> User | None:
    """Who did what the entry says: who wrote the paper, else who made the entry. None: not known."""
    if not entry.said.get("from_paper"):
        return entry.person
    key = hand_key(entry)
    return people.get(key) if key else None
