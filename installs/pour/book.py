"""Pour and cure in the job book: the section filled by trucks, and the cure chart."""

from __future__ import annotations

from datetime import datetime

from installs.jobs.kept import Kept, version
from installs.jobs.models import Job
from installs.pour.chart import cure_chart
from installs.pour.drawing import section_svg
from installs.pour.models import PourDesign
from installs.pour.record_words import PourRecord, load_record
from installs.pour.terms import terms_of

# both phases draw from one record
RECORDS = Kept(most=4)


def _record(job: Job, at: datetime) -> PourRecord:
    def load() -> PourRecord:
        return load_record(job, at, terms_of(PourDesign.of(job).inputs()))

    record: PourRecord = RECORDS.get((job.pk, at, version(at, job=job)), load)
    return record


def strip(job: Job, phase: str, at: datetime) -> str:
    """SVG for the phase "pour" or "cure"; empty where there is nothing to draw yet."""
    record = _record(job, at)
    if phase == "pour":
        return section_svg(record.section, room_px=200, plain=True) if record.section else ""
    return cure_chart(record.chart, width_in=5.6, height_in=5.0) if record.chart else ""
