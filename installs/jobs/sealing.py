"""What a hash of the record covers, and whether the log still says what it said when it was written."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, timedelta, timezone, tzinfo
from functools import partial
from typing import Any

from installs.jobs.models import DesignRevision, Event, Job

START_OF_CHAIN = "0" * 64
# UTC, and every other clock that people live by: quarter hours from UTC-12 to UTC+14
CLOCKS: tuple[tzinfo, ...] = (
    UTC,
    *(timezone(timedelta(minutes=15 * quarters)) for quarters in range(-48, 57) if quarters),
)


def canonical(value: Any) -> str:
    """JSON in one spelling, for hashes."""
    return json.dumps(
        _one_zero(value),
        sort_keys=True,
        separators=(",", ":"),
        ensure_ascii=False,
        allow_nan=False,
        default=str,
    )


def _one_zero(value: Any) -> Any:
    """-0.0 as 0.0: a database may give back either for the other."""
    if isinstance(value, float):
        return value + 0.0
    if isinstance(value, Mapping):
        return {key: _one_zero(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_one_zero(each) for each in value]
    return value


def digest(value: Any) -> str:
    return hashlib.sha256(canonical(value).encode()).hexdigest()


def is_hash_of(sealed: str, make: Callable[[], str]) -> bool:
    """Whether hashing gives what was sealed; what can no longer be hashed at all was altered."""
    try:
        return sealed == make()
    except (TypeError, ValueError, AttributeError):  # no instant, no object, a number that is none
        return False


def event_hash(event: Event, clock: tzinfo = UTC) -> str:
    """The hash of a line and of the one before it, with its instant as ``clock`` shows it."""
    return digest(
        [
            event.job_id,
            event.sequence,
            event.verb,
            event.what,
            event.data,
            event.by_id,
            event.at.astimezone(clock).isoformat(),
            event.previous_hash,
        ]
    )


def is_as_sealed(event: Event) -> bool:
    """Whether the line still has the hash it was given.

    A line is sealed over its instant in UTC. Lines of an earlier version were sealed over the same
    instant as their writer's clock showed it, and the database keeps the instant only. One clock that
    gives the hash is proof enough: any other instant, or word, gives it under none.
    """
    return any(is_hash_of(event.hash, partial(event_hash, event, clock)) for clock in CLOCKS)


def log_faults(events: Iterable[Event]) -> list[str]:
    """Every break of a job's log in words, from all its lines in their order; empty when it is whole."""
    faults, previous, expected = [], START_OF_CHAIN, 1
    for event in events:
        if event.sequence != expected:
            faults.append(f"line {expected} is missing")
        if event.previous_hash != previous:
            faults.append(f"line {event.sequence} does not follow the line before it")
        if not is_as_sealed(event):
            faults.append(f"line {event.sequence} was altered")
        previous, expected = event.hash, event.sequence + 1
    return faults


def chain_faults(job: Job) -> list[str]:
    return log_faults(job.events.order_by("sequence"))


def release_hash(revision: DesignRevision) -> str:
    """Of everything a release froze; one that does not say what it stands on was sealed without that."""
    frozen = {"inputs": revision.inputs, "results": revision.results, "checks": revision.checks}
    return digest({**frozen, "stands_on": revision.stands_on} if revision.stands_on else frozen)
