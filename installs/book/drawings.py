"""The small drawing of each phase in the job book, from the part that owns it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from importlib.util import find_spec

from installs.jobs.models import Job

PART_OF_PHASE = {
    "survey": "site",
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
    return strip(job, phase, at)
