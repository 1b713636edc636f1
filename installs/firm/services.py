"""Contacts: the firm's stand in the firm's log, a job's in the job's."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from installs.firm.models import Contact
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.services import write_event
from installs.people.firm_rows import archive_row, as_kept, write_row
from installs.people.models import User
from installs.typed import RowForm


def locked_contact(pk: int) -> Contact:
    """The row until the transaction ends; a job's behind its job."""
    found = Contact.objects.select_related("job").get(pk=pk)
    if found.job is not None:
        locked(found.job)
    return Contact.objects.select_for_update().get(pk=pk)


@transaction.atomic
def save_contact(form: RowForm[Contact], job: Job | None, *, by: User, at: datetime) -> Contact:
    """Add or change one from its valid form."""
    if job is not None:
        job = locked(job)
    before = as_kept(form.instance)
    if form.instance.pk is None:
        form.instance.job = job
    row = form.save()
    if row.job is not None:
        done = "changed" if before else "added"
        words = f"Contact {done}: {row}{f', {row.phone}' if row.phone else ''}."
        write_event(row.job, f"contact {done}", words, by=by, at=at, data={"contact": row.pk})
    write_row("contact", row, before, by=by, at=at, of={"job": row.job.number} if row.job else None)
    return row


@transaction.atomic
def archive_contact(row: Contact, on: date, *, by: User, at: datetime) -> None:
    if row.job is not None and row.archived_on is None:
        job = locked(row.job)
        write_event(
            job, "contact archived", f"Contact archived: {row}.", by=by, at=at, data={"contact": row.pk}
        )
    archive_row("contact", row, on, by=by, at=at, of={"job": row.job.number} if row.job else None)
