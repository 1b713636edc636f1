"""What a request asks of the record is read once for it, and handed to whoever of it asks again.

Inside ``one_reading()``, which every request is, a loader marked ``@read_once`` answers the same question
about the same jobs with what it read the first time. Nothing outlives the request. Whatever the request
writes, and the lock it takes before it writes, ends what was read so far: a service reads anew what it
decides by, and a page that is drawn after a change shows it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from django.db import connection
from django.db.models import Model, QuerySet

R = TypeVar("R", bound=Model)
P = ParamSpec("P")
T = TypeVar("T")

_moment: ContextVar[datetime | None] = ContextVar("as it was known", default=None)
_read: ContextVar[dict[Hashable, Any] | None] = ContextVar("what this request has read", default=None)


@contextmanager
def one_reading() -> Iterator[None]:
    """From here to its end the same question is read once; one inside another is the outer one."""
    if _read.get() is not None:
        yield
        return
    token = _read.set({})
    try:
        with connection.execute_wrapper(_forget_what_changes):
            yield
    finally:
        _read.reset(token)


@contextmanager
def as_known(at: datetime) -> Iterator[None]:
    """The record as it was known at ``at``: what was written down later is not there.

    An entry is known from when it happened: a phone without signal holds it until it can send it. What has no
    time of its own (a draft, a card's date) is read as it stands.
    """
    token = _moment.set(at)
    try:
        yield
    finally:
        _moment.reset(token)


def moment() -> datetime | None:
    """As of when the record is read; None: as it stands."""
    return _moment.get()


def known(rows: QuerySet[R], written_at: str) -> QuerySet[R]:
    """Of rows those that had been written down; ``written_at`` is their time."""
    at = _moment.get()
    return rows if at is None else rows.filter(**{f"{written_at}__lte": at})


def read_once(load: Callable[P, T]) -> Callable[P, T]:
    """Of a function that only reads. Jobs are given to it as a list, and nobody changes what it gives."""

    @wraps(load)
    def asked(*args: P.args, **kwargs: P.kwargs) -> T:
        read = _read.get()
        if read is None:
            return load(*args, **kwargs)
        key = (load, _moment.get(), _named(args), _named(kwargs))
        if key not in read:
            read[key] = load(*args, **kwargs)
        found: T = read[key]
        return found

    return asked


def forget() -> None:
    """Read anew from here on."""
    read = _read.get()
    if read is not None:
        read.clear()


def _named(given: Any) -> Hashable:
    if isinstance(given, list | tuple):
        return tuple(_named(each) for each in given)
    if isinstance(given, Mapping):
        return tuple(sorted((name, _named(each)) for name, each in given.items()))
    return (type(given), given.pk) if isinstance(given, Model) else given


def _forget_what_changes(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
    """Around each statement: one that is no plain SELECT writes, locks, or begins a transaction."""
    if not sql.lstrip("( ").upper().startswith("SELECT") or " FOR UPDATE" in sql or " FOR NO KEY" in sql:
        forget()
    return execute(sql, params, many, context)
