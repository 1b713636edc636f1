"""What a hash of the record covers, and whether the log still says what it said when it was written."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, timedelta, timezone, tzinfo
from functools import partial

from installs.chain import START_OF_CHAIN, canonical, digest, faults_of_chain, is_hash_of
from installs.jobs.models import DesignRevision, Event, Job

# what is hashed of a job is spelled as any other chain is
__all__ = [
    "START_OF_CHAIN",
    "canonical",
    "chain_faults",
    "digest",
    "event_hash",
    "is_as_sealed",
    "is_hash_of",
    "log_faults",
    "release_hash",
]
# UTC, and every other clock that people live by: quarter hours from UTC-12 to UTC+14
CLOCKS: tuple[tzinfo, ...] = (
    UTC,
    *(timezone(timedelta(minutes=15 * quarters)) for quarters in range(-48, 57) if quarters),
)


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
    return faults_of_chain(events, is_as_sealed)


def chain_faults(job: Job) -> list[str]:
    return log_faults(job.events.order_by("sequence"))


def release_hash(revision: DesignRevision) -> str:
    """Of everything a release froze; one that does not say what it stands on was sealed without that."""
    frozen = {"inputs": revision.inputs, "results": revision.results, "checks": revision.checks}
    return digest({**frozen, "stands_on": revision.stands_on} if revision.stands_on else frozen)
