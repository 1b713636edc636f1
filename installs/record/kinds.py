"""Going over every job's record, each night."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from installs.jobs.models import Job
from installs.record.services import check_record
from installs.work.registry import kind
from installs.work.runner import Work


@kind("record.check", queue="papers", nightly=True)
def check_records(work: Work) -> dict[str, Any]:
    """Those of archived jobs too: they are what is asked for years later."""
    jobs, broken = list(Job.objects.order_by("number")), []
    for done, job in enumerate(jobs):
        work.progress(f"record of {job.number}", done / len(jobs))
        if check_record(job, at=timezone.now()).faults:
            broken.append(job.number)
    return {"jobs": len(jobs), "broken": broken}
