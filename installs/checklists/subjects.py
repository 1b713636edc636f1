"""What an item that is done one by one goes through: the legs, slings or joints of the designs in force."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from installs.checklists.models import Item, ItemKind
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE
from installs.jobs.reading import read_once

# (phase of the list, or "" for any; the list's word: "leg") -> names
Subjects = Mapping[tuple[str, str], tuple[str, ...]]
NONE: Subjects = {}


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
def subjects_of(job: Job) -> Subjects:
    """In one query."""
    revisions = job.revisions.filter(part__in=[p.key for p in TABLE.values() if p.subjects])
    newest = {r.part: r for r in revisions.order_by("released_at", "pk")}
    return subjects_in(newest.values())


def names_for(item: Item, subjects: Subjects) -> tuple[str, ...]:
    """Every subject of this item; none while no release says, none for bolts: they have their own log."""
    if not item.per or (item.kind == ItemKind.TORQUE and item.per == "joint"):
        return ()
    return subjects.get((item.list.phase, item.per)) or subjects.get(("", item.per)) or ()
