"""Recording what was asked and what came back."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.services import write_event
from installs.people.models import User
from installs.permits.models import Permit


def locked_permit(job: Job, permit: Permit) -> Permit:
    """The line's row until the transaction ends, behind its job's."""
    locked(job)
    return job.permits.select_for_update().get(pk=permit.pk)


@transaction.atomic
def record_permit(job: Job, permit: Permit, changed: list[str], *, by: User, at: datetime) -> Permit:
    """Add or change one line; what changed, from and to, is written to the job's log."""
    job = locked(job)
    names = [*changed, "file_id"]
    before = Permit.objects.filter(pk=permit.pk).values(*names).first() if permit.pk else None
    permit.job = job
    permit.save()
    words = permit.get_kind_display()
    data: dict[str, Any] = {
        name: [str((before or {}).get(name)), str(getattr(permit, name))]
        for name in names
        if name in changed or (before or {}).get(name) != getattr(permit, name)
    }
    # which line it was: by it the permits are read as they were known at a time
    data |= {"permit": permit.pk, "new": before is None}
    state = "in hand" if permit.granted_on else "refused" if permit.refused_on else "asked"
    write_event(
        job, "permit recorded", f"{words.capitalize()}: {state}, {permit.asked_of}.", by=by, at=at, data=data
    )
    return permit
