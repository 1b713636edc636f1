"""Taking a field entry: it is always kept, and judged as it arrives by the rooms that know more of it.

The record knows no gate and no part. A room that judges entries (work begun behind a gate, a truck over its
limit, a frozen night) says so once, when the program starts.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from installs.checklists.models import Entry
from installs.checklists.services import Taken, record
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.people.models import User

# (job, entry, by, at): it may open deviations, dated ``at``, when we came to know; it may not refuse
Judge = Callable[[Job, Entry, User, datetime], None]
JUDGES: list[Judge] = []


def judged_by(judge: Judge) -> None:
    """Ask ``judge`` about every entry from now on, after those that were named before it."""
    if judge not in JUDGES:
        JUDGES.append(judge)


@transaction.atomic
def take_entry(job: Job, *, by: User, received_at: datetime, **fields: Any) -> Taken:
    """Take a field entry, whatever the gates say, and have it judged at the moment of our receipt.

    ``fields`` are those of checklists.services.record. An entry that was sent before is not judged again.
    """
    job = locked(job)
    taken = record(job, by=by, received_at=received_at, **fields)
    if taken.new:
        for judge in JUDGES:
            judge(job, taken.entry, by, received_at)
    return taken
