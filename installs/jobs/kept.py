"""What takes long is worked out once for the same record and kept in this process.

What a page shows of jobs comes from three kinds of tables:

- of one job, written only by services that leave an event, and entries: each is the end of a chain of
  hashes, so that the last hash of a job says which record of the job is meant (``job_versions``);
- shared by all jobs, small, edited in place: people, certificates, machines and their records (WHOLE).
  Every cell of them counts, so that no edit of them is overlooked;
- a few that are counted (WATCHED).

All of it together is one query (``version``). What else a page stands on is the day at the site, and the
clock where a page says so: a version begins anew every AGE_S.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache, wraps
from threading import Lock
from typing import Any, ClassVar, TypeVar
from zoneinfo import ZoneInfo

from django.apps import apps
from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.dateparse import parse_datetime

from installs.jobs.models import Event, Job
from installs.jobs.reading import forget

AGE_S = 300
# table, what of it changes when it changes
WATCHED = (
    ("installs.Event", "MAX({id})"),
    ("installs.Entry", "MAX({id})"),
    ("installs.Member", "MAX({id})"),
    ("installs.Paper", "COUNT(file_id)"),
    ("installs.RecordCheck", "MAX(checked_at)"),
    ("installs.FirmLogCheck", "MAX(checked_at)"),
)
WHOLE = (
    "installs.Firm",
    "installs.User",
    "installs.Certificate",
    "installs.Crane",
    "installs.LoadChart",
    "installs.Wrench",
    "installs.Sling",
    "installs.EquipmentRecord",
    "installs.TurbineModel",
    "installs.Contact",
    "installs.UtilityProfile",
    "installs.Device",
)
# Cells that change without anything changing for a page. Every phone in use is heard twice a minute: when
# it was last heard is at most AGE_S old on a page.
PASSED_OVER = {"installs.User": {"password", "last_login"}, "installs.Device": {"heard_at", "skew_s"}}
NO_CELL, BETWEEN_CELLS = "\x1e", "\x1f"  # no text that a form takes holds these characters
NOTHING = object()
T = TypeVar("T")


class Kept:
    """The newest few results by key. Two threads may work out the same one; neither sees half a result."""

    everywhere: ClassVar[list[Kept]] = []

    def __init__(self, most: int) -> None:
        self.most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()
        self._changing = Lock()
        Kept.everywhere.append(self)

    @classmethod
    def forget(cls) -> None:
        """Drop everything: for a database that was put back under a running process."""
        for kept in cls.everywhere:
            with kept._changing:
                kept._results.clear()

    def get(self, key: Hashable, make: Callable[[], Any]) -> Any:
        found = self._results.get(key, NOTHING)
        if found is NOTHING:
            found = make()
            self._put(key, found)
        return found

    def each(
        self, wanted: Mapping[Any, Hashable], make: Callable[[list[Any]], Mapping[Any, Any]]
    ) -> dict[Any, Any]:
        """Of many things the results at the versions ``wanted``, one result kept a thing.

        ``make`` is called once with all that are not kept at their version.
        """
        found, missing = {}, []
        for key, version in wanted.items():
            kept_at, result = self._results.get(key, (NOTHING, None))
            if kept_at == version:
                found[key] = result
            else:
                missing.append(key)
        for key, result in make(missing).items() if missing else ():
            found[key] = result
            self._put(key, (wanted[key], result))
        return found

    def _put(self, key: Hashable, result: Any) -> None:
        with self._changing:
            self._results[key] = result
            self._results.move_to_end(key)
            while len(self._results) > self.most:
                self._results.popitem(last=False)


@dataclass(frozen=True)
class Stands:
    """What the record stands at: equal ones show equal pages.

    ``database`` tells tests and copies apart. ``counted`` is of WATCHED and whatever else was asked,
    ``whole`` a digest of each table that counts cell by cell.
    """

    database: str
    age: int
    counted: tuple[str, ...]
    whole: tuple[tuple[str, str], ...]

    def of(self, *labels: str) -> tuple[str, ...]:
        """The digests of some of the tables that count cell by cell."""
        return tuple(digest for label, digest in self.whole if label in labels)


def version(at: datetime, *more: tuple[str, str] | str, job: Job | None = None) -> Stands:
    """What the record stands at, in one query. ``more`` adds to WATCHED, or names a table to WHOLE.

    With a job only what is of that job is counted: for a page that shows no other. What the request has read
    before is read anew after it: what is kept at a version must not be older than it.
    """
    forget()
    counted = [*WATCHED, *(each for each in more if not isinstance(each, str))]
    whole = [*WHOLE, *(each for each in more if isinstance(each, str))]
    asked = [f"(SELECT {_named(what)} FROM {_table(label)}{_where(label, job)})" for label, what in counted]
    asked += [f"({_digest(label, connection.vendor)})" for label in whole]
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(asked)}")
        row = [str(value) for value in cursor.fetchone()]
    return Stands(
        str(connection.settings_dict["NAME"]),
        int(at.timestamp() // AGE_S),
        tuple(row[: len(counted)]),
        tuple(zip(whole, row[len(counted) :], strict=True)),
    )


def _where(label: str, job: Job | None) -> str:
    """Of a table that hangs on jobs the rows of this one; SQLite takes an unknown column for a word."""
    of_jobs = any(field.name == "job" for field in apps.get_model(label)._meta.concrete_fields)
    return f" WHERE {connection.ops.quote_name('job_id')} = {job.pk:d}" if job and of_jobs else ""


def _named(what: str) -> str:
    return what.format(id=connection.ops.quote_name("id"))


def _table(label: str) -> str:
    return connection.ops.quote_name(apps.get_model(label)._meta.db_table)


@lru_cache
def _digest(label: str, vendor: str) -> str:
    """SQL: one word of every cell of a small table. SQLite has MD5 from Django, PostgreSQL its own."""
    passed_over = PASSED_OVER.get(label, set())
    names = [f.column for f in apps.get_model(label)._meta.concrete_fields if f.name not in passed_over]
    cells = (f"COALESCE(CAST({connection.ops.quote_name(name)} AS TEXT), '{NO_CELL}')" for name in names)
    row = f" || '{BETWEEN_CELLS}' || ".join(cells)
    rows = f"SELECT {_named('{id}')} AS pk, {row} AS cells FROM {_table(label)} ORDER BY 1"
    joined = "STRING_AGG(cells, ';' ORDER BY pk)"
    if vendor == "sqlite":
        joined = "GROUP_CONCAT(cells, ';')"
    return f"SELECT MD5({joined}) FROM ({rows}) AS every_row"


def seen(stands: Stands) -> str:
    """A version as one word that a page can carry, to ask later whether it still shows the record."""
    return hashlib.sha256(repr(stands).encode()).hexdigest()[:16]


def newest(stands: Stands, label: str) -> int:
    """The newest key of events or entries in a version; 0 while there is none."""
    value = stands.counted[WATCHED.index((label, "MAX({id})"))]
    return int(value) if value.isdigit() else 0


@dataclass(frozen=True)
class JobVersion:
    """Where the record of one job stands: the ends of its two chains, and what else was asked for."""

    zone: str
    ends: tuple[Any, ...]
    newest_at: datetime | None

    def day(self, at: datetime) -> date:
        """The date at the site."""
        return at.astimezone(ZoneInfo(self.zone)).date()

    def settled(self, at: datetime) -> bool:
        """Nothing of the job is stamped after ``at``: what was known then is what is known now."""
        return self.newest_at is None or self.newest_at <= at


# further ends of a job: functions, so that what they ask is compiled once and not for each request
Ends = tuple[Callable[[], Any], ...]
_COMPILED = Kept(most=200)


def job_versions(jobs: QuerySet[Job], more: Ends = ()) -> dict[int, JobVersion]:
    """Where the record of each job stands, in the order of the jobs; one query for all of them.

    ``more`` give further expressions of the job that change when what is kept of it changes: numbers, words
    or instants, compared and never read.
    """
    try:
        whose = jobs.values_list("pk").query.sql_with_params()
    except EmptyResultSet:  # of no jobs nothing is asked
        return {}
    key = (connection.vendor, whose, more)
    sql, given = _COMPILED.get(key, lambda: _ends_of(jobs, more).query.sql_with_params())
    with connection.cursor() as cursor:
        cursor.execute(sql, given)
        rows = cursor.fetchall()
    return {
        pk: JobVersion(zone, tuple(found), max(map(_instant, filter(None, (event, entry))), default=None))
        for pk, zone, event, entry, *found in rows
    }


def _ends_of(jobs: QuerySet[Job], more: Ends) -> QuerySet[Job, Any]:
    events, entries = (
        of_job.filter(job=OuterRef("pk")).order_by("-sequence")
        for of_job in (Event.objects, apps.get_model("installs.Entry").objects)
    )
    ends = [_last(events, "hash"), _last(entries, "hash"), *(end() for end in more)]
    return jobs.values_list("pk", "zone", _last(events, "at"), _last(entries, "received_at"), *ends)


def _last(of_job: QuerySet[Any], name: str) -> Subquery:
    return Subquery(of_job.values(name)[:1])


def _instant(told: datetime | str) -> datetime:
    """As a database gives it by itself: SQLite without its zone, which is UTC."""
    at = parse_datetime(told) if isinstance(told, str) else told
    if at is None:
        raise ValueError(told)
    return at if at.tzinfo else at.replace(tzinfo=UTC)


# --- what all jobs share ----------------------------------------------------------------------------

_shared: ContextVar[Hashable | None] = ContextVar("where the tables that all jobs share stand", default=None)
_ROWS = Kept(most=64)


@contextmanager
def shared_at(stands: Hashable) -> Iterator[None]:
    """From here to its end the tables that all jobs share are known to stand so: ``Stands.of`` of each."""
    token = _shared.set(stands)
    try:
        yield
    finally:
        _shared.reset(token)


def is_shared_known() -> bool:
    return _shared.get() is not None


def kept_shared(load: Callable[[], T]) -> Callable[[], T]:
    """Of a loader of whole shared tables: read once for where they stand, else each time that it is asked.

    What it gives is shared by threads: nobody changes it.
    """

    @wraps(load)
    def asked() -> T:
        stands = _shared.get()
        if stands is None:
            return load()
        found: T = _ROWS.get((load, stands), load)
        return found

    return asked
