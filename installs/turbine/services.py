"""Changes to the catalogue of machines. Releases hold copies of the figures: no paper changes by them."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from installs.people.firm_log import write_firm_event
from installs.people.firm_rows import archive_row
from installs.people.models import User
from installs.turbine.models import TurbineModel


def archive(model: TurbineModel, on: date, *, by: User, at: datetime) -> None:
    """No longer offered from that day; the jobs that have it keep it."""
    archive_row("turbine model", model, on, by=by, at=at)


@transaction.atomic
def take_back(model: TurbineModel, *, by: User, at: datetime) -> None:
    """Offered again."""
    archived = TurbineModel.objects.filter(pk=model.pk).exclude(archived_on=None)
    if archived.update(archived_on=None, archived_by=None):
        words, data = f"Turbine model offered again: {model}.", {"turbine model": model.pk}
        write_firm_event("turbine model taken back", words, by=by, at=at, data=data)
