"""Changes to equipment: cranes, charts, wrenches, slings, and their records."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.forms import ModelForm

from installs.equipment.models import Crane, Equipment, EquipmentRecord, LoadChart
from installs.jobs.sealing import digest
from installs.people.firm_rows import archive_row, write_row
from installs.people.models import User


@transaction.atomic
def add_chart(crane: Crane, form: ModelForm[LoadChart], *, by: User, at: datetime) -> LoadChart:
    """A new chart of a crane; one that it replaces is archived by hand, so that no plan loses its figures."""
    chart = form.instance
    chart.crane, chart.ratings = crane, form.cleaned_data["ratings"]
    chart.sha256 = digest(chart.ratings)
    chart.added_by, chart.added_at = by, at
    chart.save()
    write_row("load chart", chart, None, by=by, at=at, of={"crane": crane.pk})
    return chart


@transaction.atomic
def add_record(thing: Equipment, fields: dict[str, Any], *, by: User, at: datetime) -> EquipmentRecord:
    """An inspection of a crane or sling, or a calibration of a wrench."""
    of = {called(thing): thing}
    record = EquipmentRecord.objects.create(**of, **fields, recorded_by=by, recorded_at=at)
    write_row(called(record), record, None, by=by, at=at, of={called(thing): thing.pk})
    return record


def archive(row: Equipment | LoadChart | EquipmentRecord, on: date, *, by: User, at: datetime) -> None:
    """Out of use from that day; what cited it keeps it."""
    archive_row(called(row), row, on, by=by, at=at)


def called(row: Equipment | LoadChart | EquipmentRecord) -> str:
    """ "crane", "calibration": what the firm's log calls it."""
    if isinstance(row, EquipmentRecord):
        return "calibration" if row.wrench_id else "inspection"
    return str(row._meta.verbose_name)
