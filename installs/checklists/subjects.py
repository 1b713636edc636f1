"""What an item that is done one by one goes through: the legs, sensors, slings or joints of the designs in
force, and the trucks whose tickets are on record."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from installs.checklists.models import Entry, Item, ItemKind
from installs.checklists.standing import TRUCK
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE, OnPaper
from installs.jobs.reading import read_once

# (phase of the list, or "" for any; the list's word: "leg") -> names
Subjects = Mapping[tuple[str, str], tuple[str, ...]]
LINES_EACH = 4  # lines to write on where an item is repeated and nobody knows how often


def subjects_in(in_force: Iterable[DesignRevision]) -> Subjects:
    """From the newest release of each part."""
    found = {}
    for revision in in_force:
        part = TABLE.get(revision.part)
        for place, names_of in part.subjects.items() if part else ():
            names = names_of(revision)
            if names:
                found[place] = names
    return found


@read_once
def _newest(job: Job) -> tuple[DesignRevision, ...]:
    """Of the parts that name subjects, in one query."""
    asked = [p.key for p in TABLE.values() if p.subjects or p.on_paper]
    revisions = job.revisions.filter(part__in=asked)
    return tuple({r.part: r for r in revisions.order_by("released_at", "pk")}.values())


def subjects_of(job: Job) -> Subjects:
    """In one query."""
    return subjects_in(_newest(job))


def on_paper(job: Job) -> dict[str, OnPaper]:
    """What the designs in force say of the paper copies, by the code of an item."""
    found: dict[str, OnPaper] = {}
    for revision in _newest(job):
        part = TABLE.get(revision.part)
        if part and part.on_paper:
            found |= part.on_paper(revision)
    return found


def lines_for(item: Item, subjects: Subjects, planned: Mapping[str, OnPaper]) -> tuple[str, ...]:
    """A line of the paper copy for each subject: as planned, as the designs name them, or some to fill in."""
    if not item.per:
        return ("",)
    known = planned[item.code].subjects if item.code in planned else ()
    return known or allowed_for(item, subjects) or (item.per,) * LINES_EACH


def names_for(item: Item, subjects: Subjects) -> tuple[str, ...]:
    """Every subject of this item; none while no release says, none for bolts: they have their own log."""
    if not item.per or (item.kind == ItemKind.TORQUE and item.per == "joint"):
        return ()
    return subjects.get((item.list.phase, item.per)) or subjects.get(("", item.per)) or ()


def allowed_for(item: Item, subjects: Subjects) -> tuple[str, ...]:
    """Every subject that may be recorded: those of the item, and what a part says beside them."""
    names = names_for(item, subjects)
    if not names:
        return ()
    beside = (part.subjects_beside.get((item.list.phase, item.per), ()) for part in TABLE.values())
    return (*names, *(name for more in beside for name in more))


def trucks_of(
    item: Item, of_list: Iterable[Item], standing_of: Mapping[int | None, list[Entry]]
) -> tuple[str, ...]:
    """No design knows the trucks: the ticket names them, the first item of the list that goes truck by truck.

    ``standing_of`` are standing entries by the key of their item. One sent back is measured no more.
    """
    tickets = next((each for each in of_list if each.per == TRUCK), None)
    if item.per != TRUCK or tickets is None or item.pk == tickets.pk:
        return ()
    rows = standing_of.get(tickets.pk, ())
    return tuple(dict.fromkeys(e.subject for e in rows if not e.said.get("refused")))
