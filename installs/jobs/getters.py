"""Access-checked getters: strangers get a 404, so that job numbers are not told to them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.http import Http404

from installs.jobs.models import Job, PhaseState
from installs.jobs.reading import known, moment, read_once


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


@read_once
def phases_begun(jobs: Sequence[Job]) -> dict[int, list[PhaseState]]:
    """Phases and steps on record, by the job's key, with who began and ended them."""
    found: dict[int, list[PhaseState]] = {job.pk: [] for job in jobs}
    rows = PhaseState.objects.filter(job__in=list(found)).select_related("started_by", "finished_by")
    at = moment()
    for state in known(rows, "started_at"):
        if at is not None and state.finished_at is not None and state.finished_at > at:
            state.finished_at = state.finished_by = None
        found[state.job_id].append(state)
    return found


def letters_in_force(job: Job, before: datetime | None = None) -> dict[str, Any]:
    """The newest released revision of each part."""
    revisions = job.revisions.select_related("released_by")
    if before is not None:
        revisions = revisions.filter(released_at__lte=before)
    return {revision.part: revision for revision in revisions}
