"""Asking for background work, cancelling it, trying it again; and how a worker takes a request.

A worker claims a row by one UPDATE and holds it by a lease that a thread renews. A row whose lease
ran out is claimed by whoever looks next. Three starts without an end, and the request has failed.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any

from celery import current_app
from django.conf import settings
from django.db import transaction
from django.db.models import F, Q

from installs.people.models import User
from installs.work.models import State, WorkRequest
from installs.work.registry import kind_named, nightly_kinds
from installs.work.request_id import current_request_id

log = logging.getLogger(__name__)

LOOK = "installs.tasks.look"  # called by its name: the task stands above this room
MOST_TRIES = 3
LONG_WAIT = timedelta(minutes=5)
NIGHT_BEGINS = timedelta(hours=9)  # after midnight UTC: from 1 AM Pacific to 5 AM Eastern time
GIVEN_UP = (
    f"Its worker was stopped {MOST_TRIES} times in the middle of it, so it is not tried again by itself. "
    "If it is not clear why, look into the worker's log before trying again."
)


class UnknownKind(ValueError):
    """No room registered this kind of work."""


def lease() -> timedelta:
    return timedelta(seconds=settings.WORK_LEASE_SECONDS)


@transaction.atomic
def request_work(
    kind: str, arguments: Mapping[str, Any], *, by: User | None, at: datetime, key: str
) -> WorkRequest:
    """Ask for work, in the caller's transaction; the worker is woken once that has been committed.

    ``key`` names the work within its kind (a paper's id, the hash of a search's inputs): asked for
    twice it is one request. One that is waiting, running or done is returned as it stands; one that
    failed or was cancelled is queued anew.
    Raises UnknownKind.
    """
    known = kind_named(kind)
    if known is None:
        raise UnknownKind(f"no kind of work {kind!r}")
    request, created = WorkRequest.objects.get_or_create(
        kind=kind,
        key=key,
        defaults={
            "queue": known.queue,
            "arguments": dict(arguments),
            "requested_by": by,
            "requested_at": at,
            "request_id": current_request_id(),
        },
    )
    if not created and request.state in (State.FAILED, State.CANCELLED):
        return try_again(request, by=by, at=at)
    wake_after_commit(request.queue)
    return request


def request_nightly(*, at: datetime) -> None:
    """Ask once a night for each kind of work that is done nightly; one that failed waits for the next night.

    The night begins at NIGHT_BEGINS: who looks first after that asks, be it hours later on a machine that
    was off. Any number of workers may look.
    """
    night = (at.astimezone(UTC) - NIGHT_BEGINS).date().isoformat()
    for kind in nightly_kinds():
        if not WorkRequest.objects.filter(kind=kind.name, key=night).exists():
            request_work(kind.name, {}, by=None, at=at, key=night)


@transaction.atomic
def try_again(request: WorkRequest, *, by: User | None, at: datetime) -> WorkRequest:
    """Queue a failed or cancelled request anew; any other is left as it stands."""
    WorkRequest.objects.filter(pk=request.pk, state__in=(State.FAILED, State.CANCELLED)).update(
        state=State.QUEUED,
        owner="",
        lease_until=None,
        tries=0,
        progress_text="",
        progress_share=0.0,
        error="",
        requested_by=by,
        requested_at=at,
        request_id=current_request_id(),
        started_at=None,
        finished_at=None,
        cancel_asked_by=None,
        cancel_asked_at=None,
    )
    wake_after_commit(request.queue)
    request.refresh_from_db()
    return request


@transaction.atomic
def cancel(request: WorkRequest, *, by: User, at: datetime) -> WorkRequest:
    """Cancel a waiting request at once; ask a running one to stop at its next progress report."""
    mine = WorkRequest.objects.filter(pk=request.pk)
    mine.filter(state=State.QUEUED).update(
        state=State.CANCELLED, cancel_asked_by=by, cancel_asked_at=at, finished_at=at
    )
    mine.filter(state=State.RUNNING, cancel_asked_at=None).update(cancel_asked_by=by, cancel_asked_at=at)
    request.refresh_from_db()
    return request


def claim(queue: str, *, owner: str, at: datetime) -> WorkRequest | None:
    """Take the oldest request of the queue that nobody holds, or None.

    The UPDATE repeats the condition, so that of two workers that saw the same row one gets it.
    """
    sweep(queue, at=at)
    for pk in WorkRequest.objects.claimable(at).filter(queue=queue).values_list("pk", flat=True)[:20]:
        taken = (
            WorkRequest.objects.claimable(at)
            .filter(pk=pk)
            .update(
                state=State.RUNNING,
                owner=owner,
                lease_until=at + lease(),
                tries=F("tries") + 1,
                started_at=at,
            )
        )
        if taken:
            return WorkRequest.objects.get(pk=pk)
    return None


def sweep(queue: str, *, at: datetime) -> None:
    """Close what its worker left behind and nobody should take up: cancelled, or tried too often."""
    left = WorkRequest.objects.filter(queue=queue, state=State.RUNNING, lease_until__lt=at)
    left.exclude(cancel_asked_at=None).update(state=State.CANCELLED, owner="", finished_at=at)
    left.filter(tries__gte=MOST_TRIES).update(state=State.FAILED, owner="", finished_at=at, error=GIVEN_UP)


def is_served(queue: str, *, at: datetime) -> bool:
    """Whether a worker takes what waits: nothing has waited for long unless others are being done."""
    mine = WorkRequest.objects.filter(queue=queue)
    waits = mine.filter(state=State.QUEUED, requested_at__lt=at - LONG_WAIT)
    busy = mine.filter(Q(started_at__gt=at - LONG_WAIT) | Q(state=State.RUNNING, lease_until__gt=at))
    return busy.exists() or not waits.exists()


def renew(request: WorkRequest, *, owner: str, at: datetime) -> bool:
    """Prolong the lease; False when the row is no longer this worker's."""
    held = WorkRequest.objects.held_by(owner).filter(pk=request.pk)
    return held.update(lease_until=at + lease()) == 1


def finish(request: WorkRequest, *, owner: str, state: State, at: datetime, error: str = "") -> bool:
    """Close a request this worker holds, without a result; False when it is no longer its own."""
    held = WorkRequest.objects.held_by(owner).filter(pk=request.pk)
    return held.update(state=state, owner="", lease_until=None, finished_at=at, error=error[:4000]) == 1


def wake_after_commit(queue: str) -> None:
    transaction.on_commit(partial(wake, queue), robust=True)


def wake(queue: str) -> None:
    """Send the queue's worker a word to look.

    A word that cannot be sent is logged and no more: the row is there, and the worker looks by
    itself every half minute.
    """
    try:
        current_app.send_task(LOOK, args=[queue], queue=queue, expires=60, retry=False)
    except Exception as error:  # whatever the broker's client raises, the save has been done
        log.warning("the %s worker could not be woken (%s); it looks by itself", queue, error)
