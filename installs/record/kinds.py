"""Going over every job's record and the firm's log, each night."""

from __future__ import annotations

import logging
from datetime import timedelta
from typing import Any

from django.core.files.storage import storages
from django.utils import timezone

from installs.files.storage import WholeFiles
from installs.jobs.models import Job
from installs.record.backup import back_up
from installs.record.backups import KIND, name_at, place, remove_old
from installs.record.files import file_faults, firms_files
from installs.record.services import check_firm_log, check_record
from installs.record.tidying import remove_expired, remove_leftovers, remove_unnamed
from installs.work.registry import kind
from installs.work.runner import Work

log = logging.getLogger(__name__)


@kind("record.check", queue="papers", nightly=True)
def check_records(work: Work) -> dict[str, Any]:
    """Those of archived jobs too: they are what is asked for years later."""
    jobs, broken = list(Job.objects.order_by("number")), []
    for done, job in enumerate(jobs):
        work.progress(f"record of {job.number}", done / len(jobs))
        if check_record(job, at=timezone.now()).faults:
            broken.append(job.number)
    log_of_firm = check_firm_log(at=timezone.now())
    firms = list(file_faults(firms_files()))
    if firms:
        log.error("files of the firm are not as they were taken: %s", "; ".join(firms))
    return {"jobs": len(jobs), "broken": broken, "firm": [*log_of_firm.faults, *firms], "leftovers": _swept()}


def _swept() -> int:
    """A storage that is no disk of ours leaves nothing over."""
    storage = storages["default"]
    if not isinstance(storage, WholeFiles):
        return 0
    return storage.remove_leftovers(timezone.now() - timedelta(days=1))


@kind(KIND, queue="papers", nightly=True, limit_s=3600)
def back_up_nightly(work: Work) -> dict[str, Any]:
    """A new file first, the oldest taken away after it."""
    work.progress("backup", 0.0)
    path = place() / name_at(timezone.now())
    manifest = back_up(path, at=timezone.now())
    if manifest.missing:
        log.error("the backup %s lacks %d files that were not whole", path.name, len(manifest.missing))
    return {"file": path.name, "missing": len(manifest.missing), "removed": remove_old()}


@kind("record.tidy", queue="papers", nightly=True, limit_s=1800)
def tidy_nightly(work: Work) -> dict[str, Any]:
    """What ran out, what nobody used, what nothing names."""
    at = timezone.now()
    gone: dict[str, Any] = remove_expired(at)
    work.progress("files that nothing names", 0.3)
    gone["files"] = len(remove_unnamed(at))  # which they were stands in the log
    return {**gone, "leftovers": remove_leftovers(at)}
