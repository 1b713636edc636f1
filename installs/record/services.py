"""Going over a job's record, and keeping when that was and what was found."""

from __future__ import annotations

import logging
from datetime import datetime

from installs.jobs.models import Job
from installs.record.faults import Record
from installs.record.models import RecordCheck

log = logging.getLogger(__name__)


def check_record(job: Job, *, at: datetime) -> RecordCheck:
    """Verify the job's chains, releases, acceptances and files, and keep what came of it.

    Reads without the job's lock: lines are only ever added, so that one query is a whole chain. A record
    that is broken stays measured against where it ended when it was last whole.
    """
    last = RecordCheck.objects.filter(job=job).first()
    record = Record.of(job)
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
    if check is None or not check.faults:
        return ""
    more = f", and {len(check.faults) - 1} more" if len(check.faults) > 1 else ""
    return f"The record is broken: {check.faults[0]}{more}."
