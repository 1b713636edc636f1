"""The schedule of inputs of the tower: its figures as they are declared."""

from __future__ import annotations

from installs.jobs.design_forms import DesignForm
from installs.tower.models import TowerDesign


class TowerForm(DesignForm[TowerDesign]):
    class Meta:
        model = TowerDesign
        fields: tuple[str, ...] = ()
