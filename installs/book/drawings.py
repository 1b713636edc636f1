"""The small drawing of each phase in the job book, from the part that owns it."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from importlib.util import find_spec

from installs.jobs.models import Job
from sitecalc.inputs import InputError

log = logging.getLogger(__name__)

PART_OF_PHASE = {
    "survey": "site",
    "permits": "permits",
    "excavation": "foundation",
    "pour": "pour",
    "cure": "pour",
    "tower assembly": "tower",
    "ground station": "ground_station",
    "tower lift": "lift",
    "turbine lift": "lift",
    "commissioning": "turbine",
}


def drawing_of(phase: str, job: Job, at: datetime) -> str:
    """SVG of the part's ``book.strip``; empty where the part has nothing to draw yet."""
    part = PART_OF_PHASE.get(phase)
    if part is None or find_spec(f"installs.{part}.book") is None:
        return ""
    strip: Callable[[Job, str, datetime], str] = import_module(f"installs.{part}.book").strip
    try:
        return strip(job, phase, at)
    except (InputError, KeyError, TypeError):
        # a release frozen with other figures than today's cannot be drawn; the book is still read
        log.warning("no drawing of %s for job %s", phase, job.number, exc_info=True)
        return ""
