"""Access-checked getters: strangers get a 404, so that job numbers are not told to them."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import Http404

from installs.jobs.models import Job


def job_for(user: Any, number: str) -> Job:
    job = Job.objects.visible_to(user).select_related("engineer").filter(number=number).first()
    if job is None:
        raise Http404("No such job.")
    return job


def locked(job: Job) -> Job:
    """The job's row, locked until the transaction ends. First line of every service that changes a job.

    SQLite begins IMMEDIATE transactions, which lock the database the same way.
    """
    return Job.objects.select_for_update().get(pk=job.pk)


def letters_in_force(job: Job, before: datetime | None = None) -> dict[str, Any]:
    """The newest released revision of each part."""
    revisions = job.revisions.select_related("released_by")
    if before is not None:
        revisions = revisions.filter(released_at__lte=before)
    return {revision.part: revision for revision in revisions}
