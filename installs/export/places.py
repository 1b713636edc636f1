"""Names of files that a person reads: what a photo is of, and when it was taken."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from typing import Any

from django.apps import apps

from installs.checklists.models import Entry
from installs.files.models import StoredFile
from installs.jobs.models import Job
from installs.record.files import NAMED_BY, files_of

ENDS = {"application/pdf": "pdf", "image/jpeg": "jpg", "text/csv": "csv"}
OWN = {"installs.Entry": "photos", "installs.Paper": "papers", "installs.SealedSheets": "sealed sheets"}
LONGEST = 110


class Places:
    """Each file of a job once, under the name by which it was found first."""

    def __init__(self, job: Job) -> None:
        self.files: dict[str, StoredFile] = {}
        self._names: dict[str, str] = {}
        self._taken: set[str] = set()
        for file, folder, words in _named(job):
            self._add(file, folder, words)
        for file in files_of(job):  # a logger's, and whatever no table above names
            self._add(file, "logger files", file.label or file.sha256[:12])

    def of(self, file: StoredFile) -> str:
        return self._names.get(file.sha256, "")

    def __iter__(self) -> Iterator[tuple[str, StoredFile]]:
        return ((self._names[sha256], file) for sha256, file in self.files.items())

    def _add(self, file: StoredFile, folder: str, words: str) -> None:
        if file.sha256 in self.files:
            return
        plain = plain_name(words)
        ending = ENDS.get(file.content_type, "bin")
        name = f"{folder}/{plain}.{ending}"
        if name.lower() in self._taken:
            name = f"{folder}/{plain}, {file.sha256[:8]}.{ending}"
        self._taken.add(name.lower())
        self.files[file.sha256], self._names[file.sha256] = file, name


def plain_name(words: str) -> str:
    """What every system takes for the name of a file."""
    kept = re.sub(r"[^A-Za-z0-9 ,.()+-]+", "-", re.sub(r"[:;]", ",", words))[:LONGEST].strip(" .-")
    return re.sub(r"\.(pdf|jpe?g|png|csv|webp)$", "", kept, flags=re.IGNORECASE) or "file"


def _named(job: Job) -> Iterator[tuple[StoredFile, str, str]]:
    for label, field, to_job in NAMED_BY:
        rows = apps.get_model(label).objects.filter(**{to_job: job}).exclude(**{field: None})
        for row in rows.select_related(field).order_by("pk").iterator(chunk_size=100):
            folder = OWN.get(label, "letters")
            yield getattr(row, field), folder, _words(job, row)


def _words(job: Job, row: Any) -> str:
    if isinstance(row, Entry):
        day = job.local(row.happened_at).date().isoformat()
        wording = textwrap.shorten(row.item.wording, 44, placeholder="").rstrip(" ,:;.") if row.item else ""
        told = ", ".join(filter(None, [f"{row.code} {wording}".strip(), row.subject, day]))
        return f"{told}, entry {row.sequence}"
    return str(getattr(row, "file_name", "") or f"{row._meta.verbose_name} {row.pk}, {row}")
