"""Writing the archive of a job in a worker."""

from __future__ import annotations

import hashlib
from typing import Any

from django.conf import settings
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.utils import timezone

from installs.export.archive import NotWhole, verify, write_archive
from installs.export.gathered import gather
from installs.export.services import KIND, name_of, remove_others
from installs.record.services import keep_check
from installs.record.unfinished import folder_for, private
from installs.work.models import WorkRequest
from installs.work.registry import kind
from installs.work.runner import Work, WorkFailed


def keep(request: WorkRequest, outcome: dict[str, Any]) -> dict[str, Any]:
    remove_others(request)
    return outcome


@kind(KIND, queue="papers", keep=keep, limit_s=3600)
def export(work: Work) -> dict[str, Any]:
    """Of an archived job too. The record is gone over as it was gathered, so that the archive says how it
    stands; cancelled or with a full disk nothing of it is left."""
    at = timezone.now()
    place = settings.VAR_DIR / "exports"
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    with folder_for(place) as folder:
        work.progress("gathering the record", 0.0)
        found = gather(work.arguments["job"], folder, at)
        work.progress("going over the record", 0.05)
        check = keep_check(found.record, at=at)
        path = folder / "job.zip"
        with private(path) as stream:
            told = write_archive(found, stream, check=check, at=at, progress=work.progress)
        try:
            verify(path, work.progress)
        except NotWhole as error:
            raise WorkFailed(str(error)) from error
        name = name_of(work.request)
        with path.open("rb") as written:
            digest = hashlib.file_digest(written, "sha256").hexdigest()
            written.seek(0)
            default_storage.save(name, File(written))
        size = path.stat().st_size
    return {**told, "file": name, "bytes": size, "sha256": digest, "whole": not check.faults}
