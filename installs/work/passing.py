"""What passes and comes again: a full disk, a database that is locked or away, two changes that crossed."""

from __future__ import annotations

import errno
from collections.abc import Iterator

from django.db import OperationalError

from installs.sent.once import collided

FULL = "The server’s disk is full or broken. Nothing of this was kept: tell the office, send it again later."
LOCKED = "The database is busy with something else. Nothing of this was kept: try again in half a minute."
AWAY = "The database does not answer. Nothing of this was kept: try again in half a minute."
CROSSED = "Somebody saved the same thing at the same moment. Nothing of this was kept: send it again."
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EIO)
# SQLSTATE of PostgreSQL: disk full; lock not had in time, deadlock, a change that another one crossed
FULL_STATES, LOCKED_STATES = ("53100",), ("55P03", "40P01", "40001")


def passing(error: BaseException | None) -> str:
    """What is said where a request failed for what passes (disk full, database locked or away); else ""."""
    for each in _causes(error):
        state, words = getattr(each, "sqlstate", None), str(each).lower()
        if isinstance(each, OSError) and each.errno in NO_ROOM:
            return FULL
        if state in FULL_STATES or (isinstance(each, OperationalError) and "disk" in words):
            return FULL  # SQLite: "database or disk is full", "disk I/O error"
        if state in LOCKED_STATES or (isinstance(each, OperationalError) and "locked" in words):
            return LOCKED
    if error is not None and collided(error):
        return CROSSED
    return AWAY if isinstance(error, OperationalError) else ""


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    cause = error
    while cause is not None:
        yield cause
        cause = cause.__cause__
