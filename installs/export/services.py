"""Ordering the archive of a job, and where the newest one is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.files.storage import default_storage
from django.db import transaction

from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.services import write_event
from installs.people.models import User
from installs.work.models import State, WorkRequest
from installs.work.services import cancel, request_work

KIND = "export.job"


@dataclass(frozen=True)
class Standing:
    """The archive that was asked for last."""

    work: WorkRequest

    @property
    def is_waiting(self) -> bool:
        return self.work.state in (State.QUEUED, State.RUNNING)

    @property
    def file(self) -> str:
        """In the storage; "" where it is not written, or not there any more."""
        name = (self.work.result or {}).get("file", "") if self.work.state == State.DONE else ""
        return name if name and default_storage.exists(name) else ""

    @property
    def why_not(self) -> str:
        """Why there is none; "" while it is waited for or written."""
        if self.work.state == State.CANCELLED:
            return "It was cancelled."
        return self.work.error

    @property
    def is_stopping(self) -> bool:
        return self.is_waiting and self.work.cancel_asked_at is not None

    @property
    def megabytes(self) -> float:
        size: int = (self.work.result or {}).get("bytes", 0)
        return size / 1e6


@transaction.atomic
def order_archive(job: Job, *, by: User, at: datetime) -> WorkRequest:
    """One is made at a time: asked for again while it waits, it is the same one."""
    job = locked(job, archived_too=True)
    last = newest(job)
    if last is not None and last.is_waiting:
        return last.work
    write_event(job, "archive ordered", "Everything of the job is written out as an archive.", by=by, at=at)
    count = _asked(job).count()
    return request_work(KIND, {"job": job.pk}, by=by, at=at, key=f"job {job.pk}, {count + 1}")


def stop_archive(job: Job, *, by: User, at: datetime) -> None:
    """The one that is waited for stops at its next step; nothing of it is left."""
    last = newest(locked(job, archived_too=True))
    if last is not None and last.is_waiting:
        cancel(last.work, by=by, at=at)


def newest(job: Job) -> Standing | None:
    last = _asked(job).order_by("-pk").first()
    return Standing(last) if last else None


def _asked(job: Job) -> Any:
    return WorkRequest.objects.filter(kind=KIND, key__startswith=f"job {job.pk}, ")


def name_of(request: WorkRequest) -> str:
    """In the storage; one that was begun twice is written twice under the same name."""
    return f"exports/{request.pk}.zip"


def remove_others(request: WorkRequest) -> None:
    """Of a job the newest archive stays; whatever is in an older one is in it."""
    job = Job.objects.get(pk=request.arguments["job"])
    for older in _asked(job).filter(state=State.DONE).exclude(pk=request.pk):
        default_storage.delete(name_of(older))
