"""The one row that a job has of a kind (its emergency plan, its application to the utility), kept by a form.

Two people who begin it at once do not overwrite one another, and the job's log says of each change what every
value was and is.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models, transaction

from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.services import write_event
from installs.people.firm_rows import as_kept, values_of
from installs.people.models import User

if TYPE_CHECKING:
    from installs.typed import RowForm

Own = TypeVar("Own", bound=models.Model)


def locked_own(model: type[Own], pk: int) -> Own:
    """The row until the transaction ends, behind its job."""
    rows: Any = model._default_manager
    locked(rows.select_related("job").get(pk=pk).job)
    row: Own = rows.select_for_update().get(pk=pk)
    return row


@transaction.atomic
def save_own(
    form: RowForm[Own], job: Job, verb: str, *, called: str, noun: str, by: User, at: datetime
) -> Own:
    """From its valid form. Where something changed a line in the log: ``called`` begins it, of kind ``verb``.

    ValidationError where somebody has begun it meanwhile, by its ``noun``.
    """
    held, row = locked(job), form.instance
    if row.pk is None and type(row)._default_manager.filter(job=held).exists():
        raise ValidationError(f"Somebody has begun this {noun} meanwhile: open it anew and add to theirs.")
    before = as_kept(row) or {}
    setattr(row, "job", held)  # noqa: B010  (of any such model)
    row = form.save()
    after = values_of(row)
    changed = {name: [before.get(name), value] for name, value in after.items() if before.get(name) != value}
    changed = {name: both for name, both in changed.items() if name != "job" and (before or both[1])}
    if changed:
        named = {field.name: str(field.verbose_name) for field in row._meta.concrete_fields}
        said = ", ".join(named[name] for name in changed)
        write_event(held, verb, f"{called}: {said}.", by=by, at=at, data=changed)
    return row
