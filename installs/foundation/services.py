"""The cutting plan is asked of a worker: once for the same bars and stock."""

from __future__ import annotations

from datetime import datetime

from installs.foundation.bars import CUT, Cutting, cutting_kept
from installs.jobs.sealing import digest
from installs.people.models import User
from installs.work.services import request_work
from sitecalc.__main__ import plain
from sitecalc.foundation.cutting import CuttingCase


def cutting_of(case: CuttingCase, *, by: User, at: datetime, again: bool = False) -> Cutting:
    """The plan as it is kept; asked of a worker where it is not. ``again`` tries one that failed."""
    key = digest(plain(case))
    kept = cutting_kept(key)
    if kept is None or (again and kept.failed):
        request_work(CUT, {"case": plain(case)}, by=by, at=at, key=key)
        return cutting_kept(key) or Cutting(key)
    return kept
