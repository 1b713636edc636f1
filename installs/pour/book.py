"""Pour and cure in the job book: the section filled by trucks, and the cure chart."""

from __future__ import annotations

from datetime import datetime

from installs.jobs.models import Job
from installs.jobs.reading import read_once
from installs.jobs.standing import in_force
from installs.pour.chart import NARROW_IN, cure_chart
from installs.pour.drawing import narrow_section_svg, section_svg
from installs.pour.models import PourDesign
from installs.pour.record_words import PourRecord, load_record
from installs.pour.terms import terms_of


@read_once
def _record(job: Job, at: datetime) -> PourRecord:
    """Both phases draw from one record; the draft's terms hold while nothing is released."""
    draft = None if in_force(job, "pour") else terms_of(PourDesign.of(job).inputs())
    return load_record(job, at, draft)


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """SVG for the phase "pour" or "cure"; empty where nothing is to be drawn yet; ``narrow`` for a phone."""
    record = _record(job, at)
    if phase == "pour":
        if record.section is None:
            return ""
        return (
            narrow_section_svg(record.section)
            if narrow
            else section_svg(record.section, room_px=200, plain=True)
        )
    return (
        cure_chart(record.chart, width_in=NARROW_IN if narrow else 5.6, height_in=5.0) if record.chart else ""
    )
