"""The foundation of a job: the pad, its mats and anchor bolts, its ground, and the loads on it."""

from __future__ import annotations

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.take_off import volume_yd3


class FoundationDesign(Draft):
    PART = "foundation"
    FIGURES = FoundationFigures
    REPORTED = {"volume_yd3": volume_yd3}

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="foundation")
    volume_yd3 = Quantity("concrete, in place", unit="yd3", low=0, high=4_000, null=True, editable=False)

    def __str__(self) -> str:
        return f"foundation of {self.job}"
