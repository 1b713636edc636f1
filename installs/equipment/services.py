"""Changes to equipment: cranes, charts, wrenches, slings, and their records."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.forms import ModelForm

from installs.equipment.models import Crane, Equipment, EquipmentRecord, LoadChart
from installs.jobs.sealing import digest
from installs.people.models import User


@transaction.atomic
def add_chart(crane: Crane, form: ModelForm[LoadChart], *, by: User, at: datetime) -> LoadChart:
    """A new chart of a crane; one that it replaces is archived by hand, so that no plan loses its figures."""
    chart = form.instance
    chart.crane, chart.ratings = crane, form.cleaned_data["ratings"]
    chart.sha256 = digest(chart.ratings)
    chart.added_by, chart.added_at = by, at
    chart.save()
    return chart


def add_record(thing: Equipment, fields: dict[str, Any], *, by: User, at: datetime) -> EquipmentRecord:
    """An inspection of a crane or sling, or a calibration of a wrench."""
    of = {str(type(thing)._meta.model_name): thing}
    return EquipmentRecord.objects.create(**of, **fields, recorded_by=by, recorded_at=at)


def archive(row: Equipment | LoadChart | EquipmentRecord, on: date) -> None:
    """Out of use from that day; what cited it keeps it."""
    type(row)._default_manager.filter(pk=row.pk, archived_on=None).update(archived_on=on)
