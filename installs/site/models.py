"""The draft of the site: lot and neighbors, rules of the place, wind, airspace, ground."""

from __future__ import annotations

from django.db import models

from installs.jobs.drafts import Draft
from sitecalc.site.figures import SiteFigures


class SiteDesign(Draft):
    PART = "site"
    FIGURES = SiteFigures

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="site")

    def __str__(self) -> str:
        return f"site of {self.job}"
