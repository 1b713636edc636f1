"""The small drawing of each phase in the job book, from the part that owns it."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime

from installs.inspection.book import strip as meters_strip
from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.permits.book import strip as permits_strip
from sitecalc.inputs import InputError

log = logging.getLogger(__name__)
# drawings of what no part designs
OF_NO_PART = {"permits": (permits_strip,), "maintenance": (meters_strip,)}


def drawing_of(phase: str, job: Job, at: datetime, narrow: bool = False) -> str:
    """SVG of the part whose strip stands at this phase, ``narrow`` for a phone; "" where none is yet."""
    for draw in strips_at(phase):
        try:
            return draw(job, phase, at, narrow)
        except (InputError, KeyError, TypeError):
            # a release frozen with other figures than today's cannot be drawn; the book is still read
            log.warning("no drawing of %s for job %s", phase, job.number, exc_info=True)
    return ""


def strips_at(phase: str) -> list[Callable[[Job, str, datetime, bool], str]]:
    found = [part.strip for part in TABLE.values() if part.strip is not None and phase in part.drawn_at]
    return [*found, *OF_NO_PART.get(phase, ())]
