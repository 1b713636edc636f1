"""The files that a job's record names, each held to what was taken."""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.apps import apps
from django.db.models import Exists, JSONField, OuterRef, QuerySet, TextField
from django.db.models.functions import Cast

from installs.checklists.models import Entry
from installs.files.keeping import fault_of
from installs.files.models import StoredFile
from installs.jobs.models import Job

SHA256 = re.compile(r"\b[0-9a-f]{64}\b")

# table, its field that names a file, from there to the job
NAMED_BY = (
    ("installs.Entry", "photo", "job"),
    ("installs.Paper", "file", "job"),
    ("installs.SealedSheets", "file", "job"),
    ("installs.Permit", "file", "job"),
    ("installs.Inspection", "file", "job"),
    ("installs.ApplicationLine", "file", "job"),
    ("installs.UtilityApplication", "agent_letter", "job"),
    ("installs.StrengthNotice", "file", "job"),
    ("installs.EarlyRelease", "file", "job"),
    ("installs.DeviationAnswer", "letter", "deviation__job"),
    ("installs.Confirmation", "letter", "revision__job"),
    ("installs.SignedSheet", "file", "signature__revision__job"),
    ("installs.DraftAcceptance", "letter", "job"),
    ("installs.Acceptance", "letter", "revision__job"),
)
# the firm's own, and who sent it
NO_JOBS = (("installs.Certificate", "file"), ("installs.Firm", "mark"), ("installs.Sending", "file"))
OF_THE_FIRM = NO_JOBS[:-1]

# who sent a file names it in no record
NAMING = (*((label, field) for label, field, _ in NAMED_BY), *OF_THE_FIRM)


def unnamed() -> QuerySet[StoredFile]:
    """Files that no row names by a key. What names one by its hash is found by ``said_in_words``."""
    files = StoredFile.objects.all()
    for label, field in NAMING:
        naming = apps.get_model(label)._base_manager.filter(**{field: OuterRef("pk")})
        files = files.exclude(Exists(naming))
    return files


def said_in_words() -> set[str]:
    """Every SHA-256 that stands in a JSON column of any table: a logger's file, a letter."""
    found = set[str]()
    for model in apps.get_models():
        for column in model._meta.concrete_fields:
            if isinstance(column, JSONField):
                said = model._base_manager.annotate(said=Cast(column.name, TextField()))
                for words in said.values_list("said", flat=True).iterator(chunk_size=500):
                    found |= set(SHA256.findall(words or ""))
    return found


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
    """Cards and licenses, the firm's mark: of no job."""
    held = set[int]()
    for label, field in OF_THE_FIRM:
        held |= set(apps.get_model(label).objects.exclude(**{field: None}).values_list(field, flat=True))
    return list(StoredFile.objects.filter(pk__in=held).order_by("stored_at", "pk"))


def file_faults(files: list[StoredFile]) -> Iterator[str]:
    """In words, without their stop."""
    for file in files:
        fault = fault_of(file)
        if fault:
            yield f"Files: {file.label or file.sha256[:12]}: {fault}"
