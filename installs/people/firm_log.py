"""The firm's log: people, cards, equipment, settings, sign-ins and refusals, as one chain of hashes.

Whatever changes a row of the firm writes its line in the same transaction, after everything else that the
transaction locks: the log is the last lock that is taken, and held until the transaction ends.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime
from functools import partial
from typing import Any

from django.db import connection, models, transaction

from installs.chain import START_OF_CHAIN, canonical, digest, faults_of_chain, is_hash_of
from installs.people.models import FirmEvent, User

ON_THE_SERVER = "on the server"
# any number that nothing else of ours locks by
LOCK = 20310505
_address: ContextVar[str] = ContextVar("address of the request", default="")


@contextmanager
def asked_from(address: str) -> Iterator[None]:
    """Lines written meanwhile have this address, without each service being told it."""
    token = _address.set(address)
    try:
        yield
    finally:
        _address.reset(token)


@transaction.atomic
def write_firm_event(
    verb: str,
    what: str,
    *,
    by: User | str,
    at: datetime,
    address: str | None = None,
    data: Mapping[str, Any] | None = None,
) -> FirmEvent:
    """Append one line. ``by`` is a person, or the name that somebody tried, or ON_THE_SERVER.

    ``address`` is the request's where none is given. Only the newest line is read, however long the log is.
    """
    _lock()
    last = FirmEvent.objects.order_by("-sequence").first()
    person = by if isinstance(by, User) else None
    event = FirmEvent(
        sequence=last.sequence + 1 if last else 1,
        verb=verb,
        what=_printable(what)[:500],
        data=json.loads(canonical(dict(data or {}))),
        by=person,
        who=_printable(str(by))[:80],
        at=at,
        address=_printable(_address.get() if address is None else address)[:64],
        previous_hash=last.hash if last else START_OF_CHAIN,
    )
    event.hash = firm_event_hash(event)
    event.save(force_insert=True)
    return event


def _lock() -> None:
    """One writer at a time until the transaction ends. SQLite begins IMMEDIATE: that locks it too."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])


def _printable(words: str) -> str:
    """What every database holds and gives back: what somebody typed or asked for may be anything."""
    return "".join(c if c.isprintable() else "?" for c in words)


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, list[Any]]:
    """What is another value now, as [from, to]."""
    return {name: [before.get(name), value] for name, value in after.items() if before.get(name) != value}


def values_of(row: models.Model, *names: str) -> dict[str, Any]:
    """The named columns as the log keeps them: numbers, words, true or false, or nothing."""
    kept = (int, float, bool, str, type(None), list, dict)
    found = {f.name: f.value_from_object(row) for f in row._meta.concrete_fields if f.name in names}
    return {name: value if isinstance(value, kept) else str(value) for name, value in found.items()}


def firm_event_hash(event: FirmEvent) -> str:
    """The hash of a line and of the one before it."""
    return digest(
        [
            event.sequence,
            event.verb,
            event.what,
            event.data,
            event.by_id,
            event.who,
            event.at.astimezone(UTC).isoformat(),
            event.address,
            event.previous_hash,
        ]
    )


def firm_log_faults(events: Iterable[FirmEvent]) -> list[str]:
    """Every break of the log in words, from all its lines in their order; empty when it is whole."""
    return faults_of_chain(events, lambda event: is_hash_of(event.hash, partial(firm_event_hash, event)))
