"""The files that a job's record names, each held to what was taken."""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import apps

from installs.checklists.models import Entry
from installs.files.keeping import fault_of
from installs.files.models import StoredFile
from installs.jobs.models import Job

# table, its field that names a file, from there to the job
NAMED_BY = (
    ("installs.Entry", "photo", "job"),
    ("installs.Paper", "file", "job"),
    ("installs.SealedSheets", "file", "job"),
    ("installs.Permit", "file", "job"),
    ("installs.Inspection", "file", "job"),
    ("installs.StrengthNotice", "file", "job"),
    ("installs.EarlyRelease", "file", "job"),
    ("installs.DeviationAnswer", "letter", "deviation__job"),
    ("installs.Confirmation", "letter", "revision__job"),
)
NO_JOBS = (("installs.Certificate", "file"), ("installs.Sending", "file"))  # the firm's own, and who sent it


def files_of(job: Job) -> list[StoredFile]:
    """Each once, the oldest first. Logger files are named in what their entry says beside its figures."""
    named = set[int]()
    for label, field, to_job in NAMED_BY:
        rows = apps.get_model(label).objects.filter(**{to_job: job}).exclude(**{field: None})
        named |= set(rows.values_list(field, flat=True))
    loggers = Entry.objects.filter(job=job, data__file__isnull=False).values_list("data__file", flat=True)
    return [
        *StoredFile.objects.filter(pk__in=named).order_by("stored_at", "pk"),
        *StoredFile.objects.filter(sha256__in=[str(each) for each in loggers]).exclude(pk__in=named),
    ]


def firms_files() -> list[StoredFile]:
    """Cards and licenses: of no job."""
    held = apps.get_model("installs.Certificate").objects.exclude(file=None).values("file")
    return list(StoredFile.objects.filter(pk__in=held).order_by("stored_at", "pk"))


def file_faults(files: list[StoredFile]) -> Iterator[str]:
    """In words, without their stop."""
    for file in files:
        fault = fault_of(file)
        if fault:
            yield f"Files: {file.label or file.sha256[:12]}: {fault}"
