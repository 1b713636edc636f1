"""Equipment with its inspections and calibrations: all of these are read once, whatever they are of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import TypeVar

from installs.equipment.models import Crane, EquipmentRecord, Sling, Wrench
from installs.jobs.reading import read_once

Thing = TypeVar("Thing", Crane, Wrench, Sling)


@read_once
def _records() -> dict[tuple[str, int], list[EquipmentRecord]]:
    """A firm has some dozens: by what each is of."""
    found: dict[tuple[str, int], list[EquipmentRecord]] = defaultdict(list)
    for record in EquipmentRecord.objects.all():
        for kind in ("crane", "wrench", "sling"):
            if (key := getattr(record, f"{kind}_id")) is not None:
                found[kind, key].append(record)
    return {**found}


def with_records(things: Iterable[Thing]) -> list[Thing]:
    """As ``prefetch_related("records")`` gives them, without a question for each kind of thing."""
    every, found = _records(), list(things)
    for thing in found:
        rows = thing.records.get_queryset()
        rows._result_cache = every.get((thing._meta.model_name or "", thing.pk), [])
        rows._prefetch_done = True  # type: ignore[attr-defined]  # as Django marks what it has fetched
        thing._prefetched_objects_cache = {"records": rows}  # type: ignore[attr-defined]  # of every model
    return found
