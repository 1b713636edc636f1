"""How far a checklist is: per item what stands, what was corrected, and what comes next."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from installs.checklists.models import Entry, Item, JobList, Weight
from installs.checklists.standing import by_code, satisfies, standing
from installs.jobs.models import Job


@dataclass(frozen=True)
class ItemState:
    item: Item
    standing: tuple[Entry, ...]
    corrected: dict[int, Entry]  # standing entry pk -> the entry it corrects
    done: bool

    @property
    def disputed(self) -> bool:
        """Two standing entries of one subject: both are shown until a person settles it."""
        subjects = [e.subject for e in self.standing]
        return self.item.per == "" and len(subjects) != len(set(subjects))


@dataclass(frozen=True)
class ListState:
    list: JobList
    items: tuple[ItemState, ...]

    @property
    def done(self) -> int:
        return sum(s.done for s in self.items)

    @property
    def next(self) -> ItemState | None:
        """The first item still open: what is required before what is only recorded."""
        waiting = [s for s in self.items if not s.done]
        return next((s for s in waiting if s.item.weight != Weight.RECORD), waiting[0] if waiting else None)

    @property
    def holds_open(self) -> Sequence[ItemState]:
        return [s for s in self.items if s.item.weight == Weight.HOLD and not s.done]


def list_states(job: Job, lists: Iterable[JobList] | None = None) -> list[ListState]:
    """State of the job's lists, in two queries beside the lists themselves."""
    asked = list(job.lists.all() if lists is None else lists)
    items = defaultdict(list)
    for item in Item.objects.filter(list__in=asked):
        items[item.list_id].append(item)
    entries = list(
        job.entries.filter(item__list__in=asked)
        .select_related("item", "person", "photo")
        .order_by("sequence")
    )
    by_pk = {e.pk: e for e in entries}
    stands = defaultdict(list)
    for entry in standing(entries):
        stands[entry.item_id].append(entry)
    return [
        ListState(kept, tuple(_item_state(item, stands[item.pk], by_pk) for item in items[kept.pk]))
        for kept in asked
    ]


def _item_state(item: Item, entries: list[Entry], by_pk: dict[int, Entry]) -> ItemState:
    corrected = {e.pk: by_pk[e.corrects_id] for e in entries if e.corrects_id in by_pk}
    return ItemState(item, tuple(entries), corrected, any(satisfies(e) for e in entries))


def open_items(job: Job, phase_key: str) -> list[str]:
    """Items of the phase's lists that must be complete before it closes and are not, as "B07 wording"."""
    lists = job.lists.filter(phase=phase_key).prefetch_related("items")
    entries = by_code(job.entries.select_related("item").filter(item__list__phase=phase_key))
    return [
        f"{item.code} {item.wording}"
        for kept in lists
        for item in kept.items.all()
        if item.weight != Weight.RECORD and not any(satisfies(e) for e in entries.get(item.code, ()))
    ]
