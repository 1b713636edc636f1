"""The permits that a job stands on."""

from __future__ import annotations

from collections.abc import Sequence

from installs.jobs.models import Job
from installs.jobs.reading import read_once
from installs.permits.models import Permit


@read_once
def standing_permits(jobs: Sequence[Job]) -> dict[int, list[Permit]]:
    """Not withdrawn, by job's key, in the order in which they were written down; one query."""
    found: dict[int, list[Permit]] = {job.pk: [] for job in jobs}
    for permit in Permit.objects.filter(job__in=list(found), withdrawn_on=None).order_by("pk"):
        found[permit.job_id].append(permit)
    return found
