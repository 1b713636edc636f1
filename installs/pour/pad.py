"""What the pour takes from the foundation's newest release."""

from __future__ import annotations

from typing import Any

from installs.jobs.models import Job


def pad_of(job: Job) -> dict[str, Any] | None:
    """Letter, volume, f'c and sizes of the foundation in force as JSON values; None if none is released."""
    revision = job.revisions.filter(part="foundation").order_by("-released_at", "-pk").first()
    if revision is None:
        return None
    return {"letter": revision.letter}
