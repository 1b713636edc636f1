"""The draft of the site: lot and neighbors, rules of the place, wind, airspace, ground."""

from __future__ import annotations

from typing import Any

from django.db import models

from installs.jobs.drafts import Draft
from installs.turbine.machine import turbine_given
from sitecalc.site.figures import SiteFigures


class SiteDesign(Draft):
    PART = "site"
    FIGURES = SiteFigures

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="site")

    def __str__(self) -> str:
        return f"site of {self.job}"

    def inputs(self) -> dict[str, Any]:
        """With the machine and its hub height as the turbine's draft has them: a release freezes them."""
        given = turbine_given(self.job)
        turbine = given and {"machine": vars(given.machine), "hub_ft": given.hub_ft, "source": given.source}
        return {**super().inputs(), "turbine": turbine}
