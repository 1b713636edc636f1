"""The firm's log: people, cards, equipment, settings, sign-ins and refusals, as one chain of hashes.

Whatever changes a row of the firm writes its line in the same transaction, after everything else that the
transaction locks: the log is the last lock that is taken, and held until the transaction ends.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any

from django.db import connection, transaction

from installs.chain import START_OF_CHAIN, canonical, digest, faults_of_chain, is_hash_of
from installs.people.models import FirmEvent, User

ON_THE_SERVER = "on the server"
# every verb of the log, under the kind that its page is filtered by
KINDS: dict[str, tuple[str, ...]] = {
    "sign-ins": ("signed in", "sign-in refused", "sign-in held off"),
    "refusals": ("refused",),
    "people": ("person added", "person changed", "person archived"),
    "passwords and codes": (
        "password set",
        "sign-in link made",
        "codes on",
        "codes off",
        "recovery codes made",
        "recovery code used",
        "sessions ended",
    ),
    "cards and licenses": ("card added", "card archived"),
    "equipment": (
        *(
            f"{thing} {done}"
            for thing in ("crane", "wrench", "sling")
            for done in ("added", "changed", "archived")
        ),
        *(
            f"{paper} {done}"
            for paper in ("inspection", "calibration", "load chart")
            for done in ("added", "archived")
        ),
    ),
    "turbine models": tuple(
        f"turbine model {done}" for done in ("added", "changed", "archived", "taken back")
    ),
    "catalogue and kits": tuple(
        f"{thing} {done}"
        for thing in ("catalogue row", "kit")
        for done in ("added", "archived", "taken back")
    ),
    "prices": ("prices recorded", "price withdrawn"),
    "contacts": tuple(f"contact {done}" for done in ("added", "changed", "archived")),
    "utilities": tuple(f"utility {done}" for done in ("added", "changed")),
    "firm settings": ("firm added", "firm changed"),
    "crews and absences": ("crew added", "crew changed", "absence added", "absence changed"),
    "crane bookings": ("crane booked", "crane confirmed", "crane cancelled"),
    "phones": ("phone ended",),
    "calendars": ("calendar made", "calendar ended"),
    "members of jobs": ("member added", "member ended"),
}
VERBS = frozenset(verb for verbs in KINDS.values() for verb in verbs)
# any number that nothing else of ours locks by
LOCK = 20310505
REFUSED = "refused"
# what one person or name is refused comes in numbers: a page shows those of an hour as one
MANY = (REFUSED, "sign-in refused", "sign-in held off")
ONCE_IN = timedelta(hours=1)
AT_A_TIME = 2000
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
    """Append one line. ``verb`` is one of KINDS; ``by`` a person, a name that was tried, or ON_THE_SERVER.

    ``address`` is the request's where none is given. Only the newest line is read, however long the log is.
    """
    if verb not in VERBS:
        raise ValueError(f"no kind of line {verb!r}")
    lock_firm_log()
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


def write_refusal(what: str, *, by: User, at: datetime, path: str) -> None:
    """Once an hour for the same words: an open page asks again by itself, which tells nothing new."""
    lately = FirmEvent.objects.filter(verb=REFUSED, by=by, at__gt=at - ONCE_IN, at__lte=at)
    if not lately.filter(what=_printable(what)[:500]).exists():
        write_firm_event(REFUSED, what, by=by, at=at, data={"path": path[:200]})


def lock_firm_log() -> None:
    """One writer at a time until the transaction ends. SQLite begins IMMEDIATE: that locks it too."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])


def _printable(words: str) -> str:
    """What every database holds and gives back: what somebody typed or asked for may be anything."""
    return "".join(c if c.isprintable() else "?" for c in words)


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


def every_line() -> Iterator[FirmEvent]:
    """From the first to the last, a few at a time: nothing is held open meanwhile, and no memory filled."""
    done = 0
    while batch := list(FirmEvent.objects.filter(sequence__gt=done).order_by("sequence")[:AT_A_TIME]):
        yield from batch
        done = batch[-1].sequence


def firm_log_faults(events: Iterable[FirmEvent]) -> list[str]:
    """Every break of the log in words, from all its lines in their order; empty when it is whole."""
    return faults_of_chain(events, lambda event: is_hash_of(event.hash, partial(firm_event_hash, event)))
