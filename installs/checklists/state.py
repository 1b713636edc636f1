"""How far a checklist is: per item what stands, what was corrected, and what comes next."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from installs.checklists.limits import Limit, limit_of, limits_of, own
from installs.checklists.models import Entry, Item, JobList, Weight
from installs.checklists.standing import (
    AGAIN_AND_AGAIN,
    by_code,
    differing,
    lacking,
    named,
    standing,
    struck_keys,
)
from installs.checklists.subjects import allowed_for, names_for, subjects_of, trucks_of
from installs.jobs.models import Job


@dataclass(frozen=True)
class ItemState:
    item: Item
    standing: tuple[Entry, ...]
    corrected: dict[int, Entry]  # standing entry pk -> the entry it corrects
    names: tuple[str, ...] = ()  # of every subject, where the designs say, or the tickets
    allowed: tuple[str, ...] = ()  # what may be recorded: those, and what is recorded beside them
    given: Limit | None = None  # what a release gives for its readings
    struck: tuple[tuple[Entry, Entry], ...] = ()  # what was not so, and who said it

    @property
    def limit(self) -> Limit:
        return self.given or own(self.item)

    @property
    def lacking(self) -> tuple[str, ...]:
        return lacking(self.item, self.standing, self.names, self.limit)

    @property
    def judged(self) -> dict[int, str]:
        """Of readings that a release judges, by the entry's key: the release, or why it does not count."""
        read = [e for e in self.standing if e.number is not None or (self.limit.named and e.text)]
        by_plan = [e for e in read if self.limit.plan + self.limit.lacks]
        return {e.pk: self.limit.fault(e) or f"by {self.limit.plan}" for e in by_plan}

    @property
    def done(self) -> bool:
        return not self.lacking

    @property
    def disputed(self) -> bool:
        """Two hands on one subject: both are shown until a person settles it.

        Of an item that goes one by one they must differ, for a leg may be taped again. Where the designs say
        no subjects, entries that name different ones are of different things.
        """
        if self.item.per == "":
            return len({named(entry.subject, "") for entry in self.standing}) < len(self.standing)
        if self.item.per in AGAIN_AND_AGAIN:
            return False
        return bool(self.names) and differing(self.item, self.standing)


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
    """State of the job's lists, in three queries beside the lists themselves."""
    asked = list(job.lists.all() if lists is None else lists)
    items = defaultdict(list)
    for item in Item.objects.filter(list__in=asked).select_related("list"):
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
    struck, gone = defaultdict(list), struck_keys(entries)
    for entry in entries:
        if entry.struck and entry.pk not in gone and entry.corrects_id in by_pk:
            struck[entry.item_id].append((by_pk[entry.corrects_id], entry))
    subjects, limits = subjects_of(job), limits_of([job])[job.pk]

    def state(item: Item) -> ItemState:
        rows = stands[item.pk]
        trucks = trucks_of(item, items[item.list_id], stands)
        corrected = {e.pk: by_pk[e.corrects_id] for e in rows if e.corrects_id in by_pk}
        names, allowed = trucks or names_for(item, subjects), trucks or allowed_for(item, subjects)
        given = limit_of(item, limits)
        return ItemState(item, tuple(rows), corrected, names, allowed, given, tuple(struck[item.pk]))

    return [ListState(kept, tuple(map(state, items[kept.pk]))) for kept in asked]


def open_words(item: Item, missing: tuple[str, ...]) -> str:
    """ "D14 wording (leg C, leg D)": an item that is not done, and of what."""
    of = ", ".join(
        name.removeprefix(f"{item.code}, ") for name in missing if name not in (item.code, item.per)
    )
    return f"{item.code} {item.wording}" + (f" ({of})" if of else "")


def open_items(job: Job, phase_key: str) -> list[str]:
    """Items of the phase's lists that must be complete before it closes and are not, as "B07 wording"."""
    return [open_words(item, missing) for item, missing in open_states(job, phase_key)]


def open_states(job: Job, phase_key: str) -> list[tuple[Item, tuple[str, ...]]]:
    """The same with the subjects that each lacks."""
    every = Item.objects.filter(list__job=job, list__phase=phase_key).select_related("list")
    items = list(every.order_by("list", "position"))
    subjects, limits = subjects_of(job), limits_of([job])[job.pk]
    entries = by_code(job.entries.select_related("item").filter(item__list__phase=phase_key))
    stands: dict[int | None, list[Entry]] = {i.pk: entries.get(i.code, []) for i in items}

    def open_of(item: Item) -> tuple[str, ...]:
        of_list = [each for each in items if each.list_id == item.list_id]
        names = trucks_of(item, of_list, stands) or names_for(item, subjects)
        return lacking(item, stands[item.pk], names, limit_of(item, limits))

    return [(item, missing) for item in items if item.weight != Weight.RECORD and (missing := open_of(item))]
