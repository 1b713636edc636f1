"""The emergency plan stands in the job's log: what it was, and what it is."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.emergency.models import EmergencyPlan
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.services import write_event
from installs.people.firm_rows import as_kept, values_of
from installs.people.models import User
from installs.typed import RowForm


def locked_plan(pk: int) -> EmergencyPlan:
    """The row until the transaction ends, behind its job."""
    locked(EmergencyPlan.objects.select_related("job").get(pk=pk).job)
    return EmergencyPlan.objects.select_for_update().get(pk=pk)


@transaction.atomic
def save_plan(form: RowForm[EmergencyPlan], job: Job, *, by: User, at: datetime) -> EmergencyPlan:
    """From its valid form; where something changed, a line in the log with each value as it was and is."""
    job = locked(job)
    if form.instance.pk is None and EmergencyPlan.objects.filter(job=job).exists():
        raise ValidationError("Somebody has begun this card meanwhile: open it anew and add to theirs.")
    before = as_kept(form.instance) or {}
    form.instance.job = job
    row = form.save()
    after = values_of(row)
    changed = {name: [before.get(name), value] for name, value in after.items() if before.get(name) != value}
    changed = {name: both for name, both in changed.items() if name != "job" and (before or both[1])}
    if changed:
        named = {field.name: str(field.verbose_name) for field in row._meta.concrete_fields}
        said = ", ".join(named[name] for name in changed)
        write_event(job, "emergency card", f"Emergency card: {said}.", by=by, at=at, data=changed)
    return row
