"""Pour and cure in the job book: the section filled by trucks, and the cure chart."""

from __future__ import annotations

from datetime import datetime

from installs.jobs.models import Job
from installs.pour.chart import cure_chart
from installs.pour.drawing import section_svg
from installs.pour.models import PourDesign
from installs.pour.record import load_record
from installs.pour.terms import terms_of


def strip(job: Job, phase: str, at: datetime) -> str:
    """SVG for the phase "pour" or "cure"; empty where there is nothing to draw yet."""
    record = load_record(job, at, terms_of(PourDesign.of(job).inputs()))
    if phase == "pour":
        return section_svg(record.section, room_px=200, plain=True) if record.section else ""
    return cure_chart(record.chart, width_in=5.6, height_in=5.0) if record.chart else ""
