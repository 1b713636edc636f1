"""The tower of a job: sections, joints, base and the reactions its maker or engineer states."""

from __future__ import annotations

from typing import Any

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity


class TowerDesign(Draft):
    """A freestanding tower; ``sections`` and ``joints`` (splices between them) are rows, from the foot up."""

    PART = "tower"

    class Kind(models.TextChoices):
        LATTICE_3 = "lattice, 3 legs", "lattice, 3 legs"
        LATTICE_4 = "lattice, 4 legs", "lattice, 4 legs"
        TUBE = "tube", "tube"

    class Reactions(models.TextChoices):
        STRENGTH = "ASCE strength level", "ASCE strength level"
        GUST = "IEC extreme gust", "IEC extreme gust, not factored"
        SERVICE = "maker's service", "maker's service load"

    class Condition(models.TextChoices):
        DRY = "plain and dry", "plain and dry"
        LUBRICATED = "lubricated", "lubricated"
        ZINC = "zinc plated", "zinc plated"
        WAXED = "waxed", "waxed"
        HOT_DIP = "hot-dip galvanized, dry", "hot-dip galvanized, dry"

    class FirstPass(models.TextChoices):
        SNUG = "snug", "snug"
        SHARE = "30 %", "30 % of the torque"

    class Edition(models.TextChoices):
        OLD = "AISC 360-05", "AISC 360-05"
        NEW = "AISC 360-16", "AISC 360-16, RCSC 2014 and 2020"

    class Exposure(models.TextChoices):
        B = "B", "B, wooded or built up"
        C = "C", "C, open country"
        D = "D", "D, along open water"

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="tower")
    kind = models.CharField("kind of tower", max_length=20, choices=Kind.choices, default=Kind.LATTICE_4)
    sections = models.JSONField("sections, from the foot up", default=list, blank=True)
    joints = models.JSONField("joints, from the foot up", default=list, blank=True)
    condition = models.CharField(
        "threads when tightened", max_length=30, choices=Condition.choices, default=Condition.DRY
    )
    nut_factor = Quantity(
        "nut factor K, if measured or stated", unit="", low=0.05, high=0.5, null=True, blank=True
    )
    first_pass = models.CharField(
        "first torque pass", max_length=10, choices=FirstPass.choices, default=FirstPass.SNUG
    )
    edition = models.CharField(
        "pretension table", max_length=20, choices=Edition.choices, default=Edition.NEW
    )
    anchor_bolts = models.PositiveSmallIntegerField("anchor bolts per leg (tube: in all)", default=4)
    anchor_pattern_in = Quantity(
        "anchor pattern, side of the square (tube: bolt circle)", unit="in", low=3, high=240, default=10.0
    )
    moment_kip_ft = Quantity("base moment", unit="kip-ft", low=1, high=100_000, null=True, blank=True)
    shear_kip = Quantity("base shear", unit="kip", low=0.05, high=2_000, null=True, blank=True)
    reactions = models.CharField(
        "what those reactions are", max_length=20, choices=Reactions.choices, blank=True
    )
    reactions_source = models.CharField("who states them, document", max_length=120, blank=True)
    load_factor = Quantity(
        "factor from them to strength level", unit="", low=0.5, high=5, null=True, blank=True
    )
    wind_mph = Quantity(
        "basic wind speed, for an estimate", unit="mph", low=50, high=250, null=True, blank=True
    )
    exposure = models.CharField("exposure", max_length=1, choices=Exposure.choices, default=Exposure.C)
    solidity_percent = Quantity(
        "solid part of a face of the lattice", unit="%", low=1, high=100, default=20.0
    )
    round_members = models.BooleanField("lattice of round members", default=False)
    gust_factor = Quantity("gust factor G, where not 0.85", unit="", low=0.8, high=2.5, null=True, blank=True)
    spring_kip_ft_rad = Quantity(
        "foundation's rotation spring", unit="kip-ft/rad", low=10, high=1e10, null=True, blank=True
    )
    skip_low_rpm = Quantity(
        "speeds the controller skips, from", unit="rpm", low=0, high=2_000, null=True, blank=True
    )
    skip_high_rpm = Quantity("to", unit="rpm", low=0, high=2_000, null=True, blank=True)
    margin_percent = Quantity("kept between tower and rotor", unit="%", low=0, high=50, default=10.0)
    plumb_percent = Quantity("lean allowed, of the height", unit="%", low=0.01, high=2, default=0.25)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(anchor_bolts__gte=1) & models.Q(anchor_bolts__lte=60),
                name="tower_anchor_bolts_range",
            )
        ]

    def __str__(self) -> str:
        return f"tower of {self.job}"

    def inputs(self) -> dict[str, Any]:
        """With the head as the turbine's draft states it: a release freezes what it was judged for."""
        from installs.tower.head import head_of

        head = head_of(self.job)
        return {**super().inputs(), "head": head.as_json() if head else None}
