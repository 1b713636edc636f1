"""The valuation of a job's work that counts."""

from __future__ import annotations

from installs.jobs.models import Job
from installs.materials.models import Valuation


def valuation_of(job: Job) -> Valuation | None:
    """The newest; None while nobody has given one."""
    return job.valuations.select_related("recorded_by").order_by("-pk").first()
