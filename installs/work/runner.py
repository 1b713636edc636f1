"""What a worker does with a request it has claimed."""

from __future__ import annotations

import logging
import os
import socket
import threading
import uuid
from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.db import Error as DatabaseError
from django.db import InterfaceError, OperationalError, connection, transaction
from django.utils import timezone

from installs.work import services
from installs.work.models import State, WorkRequest
from installs.work.passing import passing
from installs.work.registry import Kind, kind_named
from installs.work.request_id import working_for

log = logging.getLogger(__name__)

STUCK = 70  # exit status of a worker that ends itself, EX_SOFTWARE of sysexits.h


class WorkFailed(Exception):
    """Raised by a kind's function: the work cannot be done, and the message says why to people."""


class Cancelled(Exception):
    """Raised by a progress report once somebody has asked to cancel."""


class LeaseLost(Exception):
    """The row is another worker's by now: whatever was worked out here is dropped."""


class Work:
    """What a kind's function is given."""

    def __init__(self, request: WorkRequest, owner: str) -> None:
        self.request = request
        self.owner = owner

    @property
    def arguments(self) -> Mapping[str, Any]:
        arguments: Mapping[str, Any] = self.request.arguments
        return arguments

    def progress(self, text: str, share: float) -> None:
        """Say how far it is: ``share`` from 0 to 1. Raises Cancelled or LeaseLost to stop the work."""
        held = WorkRequest.objects.held_by(self.owner).filter(pk=self.request.pk)
        done = min(max(share, 0.0), 1.0)
        if held.update(progress_text=text[:200], progress_share=done) != 1:
            raise LeaseLost
        if held.exclude(cancel_asked_at=None).exists():
            raise Cancelled


class LeaseKeeper:
    """Renews a request's lease from a thread of its own while the work goes on."""

    def __init__(self, request: WorkRequest, owner: str, limit_s: int) -> None:
        self.request = request
        self.owner = owner
        self.limit_s = limit_s
        self.over = threading.Event()
        self.thread = threading.Thread(target=self.keep, name="lease keeper", daemon=True)

    def __enter__(self) -> None:
        self.thread.start()

    def __exit__(self, *exc: object) -> None:
        self.over.set()
        self.thread.join()

    def keep(self) -> None:
        pause_s = settings.WORK_LEASE_SECONDS / 3
        spent_s = 0.0
        try:
            while not self.over.wait(pause_s):
                spent_s += pause_s
                if spent_s > self.limit_s:
                    log.error("%s took more than %s s: this worker ends itself", self.request, self.limit_s)
                    logging.shutdown()
                    os._exit(STUCK)  # the main thread is stuck; the process runner starts another worker
                self.renew()
        finally:
            connection.close()

    def renew(self) -> None:
        try:
            if not services.renew(self.request, owner=self.owner, at=timezone.now()):
                log.warning("%s is no longer held by this worker", self.request)
                self.over.set()
        except DatabaseError as error:
            # one missed renewal does no harm; two more are due before the lease runs out
            log.warning("the lease of %s could not be renewed: %s", self.request, error)
            connection.close()


def owner_name() -> str:
    """A name no other claim has, with what helps to find the process."""
    return f"{socket.gethostname()[:40]}:{os.getpid()}:{uuid.uuid4().hex[:12]}"


def work_one(queue: str) -> bool:
    """Claim one request of the queue and see it through; False when there is none."""
    owner = owner_name()
    request = services.claim(queue, owner=owner, at=timezone.now())
    if request is None:
        return False
    with working_for(request.request_id):
        kind = kind_named(request.kind)
        if kind is None:
            words = f"This worker knows no kind of work called {request.kind}."
            services.finish(request, owner=owner, state=State.FAILED, at=timezone.now(), error=words)
        else:
            see_through(request, kind, owner)
    return True


def see_through(request: WorkRequest, kind: Kind, owner: str) -> None:
    def close(state: State, error: str = "") -> None:
        services.finish(request, owner=owner, state=state, at=timezone.now(), error=error)

    try:
        with LeaseKeeper(request, owner, kind.limit_s):
            outcome = kind.do(Work(request, owner))
        keep(request, kind, owner, outcome)
    except LeaseLost:
        log.warning("%s was taken over; what was worked out here is dropped", request)
    except Cancelled:
        close(State.CANCELLED)
    except WorkFailed as error:
        close(State.FAILED, str(error))
    except (OperationalError, InterfaceError):
        log.exception("%s stopped: the database did not answer; it is tried again", request)
        connection.close()  # the lease runs out and the request is claimed anew
    except Exception as error:
        log.exception("%s failed", request)
        close(State.FAILED, passing(error) or f"{type(error).__name__}: {error}")


def keep(request: WorkRequest, kind: Kind, owner: str, outcome: Any) -> None:
    """Mark done and keep the outcome in one transaction; the row's own UPDATE comes first and locks it."""
    with transaction.atomic():
        held = WorkRequest.objects.held_by(owner).filter(pk=request.pk, cancel_asked_at=None)
        at = timezone.now()
        if held.update(state=State.DONE, lease_until=None, finished_at=at, progress_share=1.0) != 1:
            raise (
                Cancelled if WorkRequest.objects.held_by(owner).filter(pk=request.pk).exists() else LeaseLost
            )
        request.refresh_from_db()
        result = kind.keep(request, outcome)
        WorkRequest.objects.filter(pk=request.pk).update(result=result, owner="", progress_text="")
