"""Writing the archive of a job in a worker."""

from __future__ import annotations

import hashlib
from typing import Any

from django.conf import settings
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.utils import timezone

from installs.export.archive import NotWhole, verify, write_archive
from installs.export.services import KIND, name_of, remove_others
from installs.jobs.models import Job
from installs.record.services import check_record
from installs.record.unfinished import folder_for, private
from installs.work.models import WorkRequest
from installs.work.registry import kind
from installs.work.runner import Work, WorkFailed


def keep(request: WorkRequest, outcome: dict[str, Any]) -> dict[str, Any]:
    remove_others(request)
    return outcome


@kind(KIND, queue="papers", keep=keep, limit_s=3600)
def export(work: Work) -> dict[str, Any]:
    """Of an archived job too. The record is gone over first, so that the archive says how it stands."""
    job, at = Job.objects.get(pk=work.arguments["job"]), timezone.now()
    work.progress("going over the record", 0.0)
    check = check_record(job, at=at)
    place = settings.VAR_DIR / "exports"
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    with folder_for(place) as folder:
        path = folder / "job.zip"
        with private(path) as stream:
            told = write_archive(job, stream, check=check, at=at, progress=work.progress)
        work.progress("reading it through", 0.9)
        try:
            verify(path)
        except NotWhole as error:
            raise WorkFailed(str(error)) from error
        name = name_of(work.request)
        with path.open("rb") as written:
            digest = hashlib.file_digest(written, "sha256").hexdigest()
            written.seek(0)
            default_storage.save(name, File(written))
        size = path.stat().st_size
    return {**told, "file": name, "bytes": size, "sha256": digest, "whole": not check.faults}
