"""The tower of a job: sections, joints, base and the reactions its maker or engineer states."""

from __future__ import annotations

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity
from sitecalc.tower.figures import TowerFigures


class TowerDesign(Draft):
    PART = "tower"
    FIGURES = TowerFigures
    REPORTED = {"kind": lambda figures: figures.kind, "height_ft": lambda figures: figures.height_ft}

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="tower")
    kind = models.CharField(max_length=20, editable=False)
    height_ft = Quantity(unit="ft", low=0, high=7_200, null=True, editable=False)

    def __str__(self) -> str:
        return f"tower of {self.job}"
