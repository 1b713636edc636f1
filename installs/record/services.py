"""Going over a job's record and the firm's log, and keeping when that was and what was found."""

from __future__ import annotations

import logging
from datetime import datetime

from installs.jobs.models import Job
from installs.record.faults import FirmRecord, Record
from installs.record.models import FirmLogCheck, RecordCheck

log = logging.getLogger(__name__)


def check_record(job: Job, *, at: datetime) -> RecordCheck:
    """Verify the job's chains, releases, acceptances and files, and keep what came of it.

    Reads without the job's lock: lines are only ever added, so that one query is a whole chain. A record
    that is broken stays measured against where it ended when it was last whole.
    """
    return keep_check(Record.of(job), at=at)


def keep_check(record: Record, *, at: datetime) -> RecordCheck:
    """Go over a record that was read, and keep what came of it as of ``at``."""
    job = record.job
    last = RecordCheck.objects.filter(job=job).first()
    faults = record.faults(last)
    found = {
        "checked_at": at,
        "log_lines": len(record.events),
        "entries": len(record.entries),
        "releases": len(record.releases),
        "files": len(record.files),
        "faults": faults,
    }
    if faults:
        log.error("the record of job %s is broken: %s", job.number, "; ".join(faults))
    else:
        found |= {"whole_at": at, **_ends(record)}
    kept, _ = RecordCheck.objects.update_or_create(job=job, defaults=found)
    return kept


def check_firm_log(*, at: datetime) -> FirmLogCheck:
    """Verify the firm's log, and keep what came of it: as of a job's record."""
    record = FirmRecord.of(FirmLogCheck.objects.first())
    found = {"checked_at": at, "lines": record.lines, "faults": record.faults}
    if record.faults:
        log.error("the firm's log is broken: %s", "; ".join(record.faults))
    else:
        found |= {"whole_at": at, "end": record.end, "end_hash": record.end_hash}
    kept, _ = FirmLogCheck.objects.update_or_create(pk=1, defaults=found)
    return kept


def firm_log_broken() -> str:
    """What is broken in the firm's log, by its last check; "" when nothing is or it was never checked."""
    check = FirmLogCheck.objects.first()
    return _sentence("The firm's log", check.faults) if check else ""


def _ends(record: Record) -> dict[str, int | str]:
    ends: dict[str, int | str] = {}
    for name, lines in (("log_end", record.events), ("field_end", record.entries)):
        ends |= {name: lines[-1].sequence, f"{name}_hash": lines[-1].hash} if lines else {}
    return ends


def broken(job: Job) -> str:
    """What is broken in the job's record, by its last check; "" when nothing is or it was never checked.

    Select ``record_check`` along with the job where there are many.
    """
    check = getattr(job, "record_check", None)
    return _sentence("The record", check.faults) if check else ""


def _sentence(what: str, faults: list[str]) -> str:
    more = f", and {len(faults) - 1} more" if len(faults) > 1 else ""
    return f"{what} is broken: {faults[0]}{more}." if faults else ""
