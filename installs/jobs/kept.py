"""Pages that take long are worked out once for the same record and kept in this process.

What a page shows of jobs comes from events and entries, both only ever added, and from a few small
tables. Their newest keys and counts are one query; while they stay the same, so does the page. An edit
in place of a person, a crane or a catalogue machine shows after five minutes at most.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Hashable
from datetime import datetime
from typing import Any, ClassVar

from django.apps import apps
from django.db import connection

AGE_S = 300
# table, what of it changes when it changes
WATCHED = (
    ("installs.Event", "MAX({id})"),
    ("installs.Entry", "MAX({id})"),
    ("installs.Member", "MAX({id})"),
    # every phone in use is heard twice a minute: when it was last heard is at most AGE_S old on a page
    ("installs.Device", "COUNT(*)"),
    ("installs.Device", "SUM(waiting)"),
    ("installs.Device", "COUNT(ended_at)"),
    ("installs.Certificate", "COUNT(*)"),
    ("installs.Certificate", "COUNT(archived_on)"),
    ("installs.EquipmentRecord", "COUNT(*)"),
    ("installs.EquipmentRecord", "COUNT(archived_on)"),
    ("installs.User", "COUNT(*)"),
    ("installs.User", "COUNT(archived_on)"),
    ("installs.Paper", "COUNT(file_id)"),
    ("installs.RecordCheck", "MAX(checked_at)"),
)


class Kept:
    """The newest few results by key; thread-safe enough: two threads may work out the same one."""

    everywhere: ClassVar[list[Kept]] = []

    def __init__(self, most: int) -> None:
        self.most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()
        Kept.everywhere.append(self)

    @classmethod
    def forget(cls) -> None:
        """Drop everything: for a database that was put back under a running process."""
        for kept in cls.everywhere:
            kept._results.clear()

    def get(self, key: Hashable, make: Callable[[], Any]) -> Any:
        if key in self._results:
            return self._results[key]
        made = self._results[key] = make()
        while len(self._results) > self.most:
            self._results.popitem(last=False)
        return made


def version(at: datetime, *more: tuple[str, str]) -> tuple[Any, ...]:
    """What the record stands at: equal versions show equal pages. One query. ``more`` adds to WATCHED.

    The database is part of it, so that tests and copies never share a page.
    """
    asked = []
    for label, what in (*WATCHED, *more):
        table = connection.ops.quote_name(apps.get_model(label)._meta.db_table)
        asked.append(f"(SELECT {what.format(id=connection.ops.quote_name('id'))} FROM {table})")
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(asked)}")
        row = cursor.fetchone()
    return (str(connection.settings_dict["NAME"]), int(at.timestamp() // AGE_S), *map(str, row))


def seen(stands: tuple[Any, ...]) -> str:
    """A version as one word that a page can carry, to ask later whether it still shows the record."""
    return hashlib.sha256(repr(stands).encode()).hexdigest()[:16]


def newest(stands: tuple[Any, ...], label: str) -> int:
    """The newest key of events or entries in a version; 0 while there is none."""
    value = stands[2 + WATCHED.index((label, "MAX({id})"))]
    return int(value) if value.isdigit() else 0
