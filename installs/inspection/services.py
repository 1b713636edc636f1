"""Recording inspections and meter readings: rows are added, never changed."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from installs.inspection.models import Inspection, MeterReading
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.services import write_event
from installs.people.models import User


@transaction.atomic
def record_inspection(job: Job, visit: Inspection, *, by: User, at: datetime) -> Inspection:
    job = locked(job)
    visit.job, visit.recorded_by, visit.recorded_at = job, by, at
    visit.save(force_insert=True)
    answer = "passed" if visit.passed else "did not pass"
    write_event(
        job,
        "inspection recorded",
        f"{visit.get_kind_display().capitalize()} {answer}: {visit.inspector}.",
        by=by,
        at=at,
        data={"kind": visit.kind, "passed": visit.passed, "on": visit.inspected_on},
    )
    return visit


@transaction.atomic
def record_reading(job: Job, reading: MeterReading, *, by: User, at: datetime) -> MeterReading:
    job = locked(job)
    reading.job, reading.recorded_by, reading.recorded_at = job, by, at
    reading.save(force_insert=True)
    write_event(
        job,
        "meters read",
        f"Meters read on {reading.read_on}: production {reading.production_kwh:,.0f} kWh.",
        by=by,
        at=at,
    )
    return reading
