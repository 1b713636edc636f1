"""Changes to the catalogue of machines. Releases hold copies of the figures: no paper changes by them."""

from __future__ import annotations

from datetime import date

from installs.turbine.models import TurbineModel


def archive(model: TurbineModel, on: date) -> None:
    """No longer offered from that day; the jobs that have it keep it."""
    TurbineModel.objects.filter(pk=model.pk, archived_on=None).update(archived_on=on)


def take_back(model: TurbineModel) -> None:
    """Offered again."""
    TurbineModel.objects.filter(pk=model.pk).update(archived_on=None)
