"""Inspections by authority, engineer, utility or ourselves, and meter readings over the years."""

from __future__ import annotations

from django.db import models

from installs.measures import Quantity


class InspectionKind(models.TextChoices):
    FOOTING = "footing", "footing inspection"
    ROUGH_IN = "rough-in", "rough-in electrical inspection"
    ELECTRICAL = "electrical", "final electrical inspection"
    CONCRETE = "concrete acceptance", "28-day acceptance of the concrete"
    SPECIAL = "special", "special inspection"
    ANNUAL = "annual", "annual inspection"


class Inspection(models.Model):
    """One visit and its answer. A second visit is a second row; the newest counts."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="inspections")
    kind = models.CharField(max_length=20, choices=InspectionKind.choices)
    inspector = models.CharField(max_length=80)
    firm = models.CharField("authority or firm", max_length=120, blank=True)
    inspected_on = models.DateField()
    passed = models.BooleanField()
    number = models.CharField("number of the card or report", max_length=60, blank=True)
    note = models.CharField(max_length=500, blank=True)
    engineer = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["job", "inspected_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=InspectionKind.values), name="inspection_kind_known"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.job.number}: {'passed' if self.passed else 'not passed'}"

    @property
    def proved(self) -> bool:
        """By a named inspector, with the card or its number."""
        return bool(self.inspector.strip()) and (bool(self.number.strip()) or self.file_id is not None)

    @property
    def lacks(self) -> str:
        """What an acceptance of the concrete still lacks to count, in part of a sentence."""
        if self.kind != InspectionKind.CONCRETE or not self.passed:
            return ""
        if self.engineer is None:
            return "no engineer is named"
        if self.recorded_by_id != self.engineer_id and self.file_id is None:
            return f"{self.engineer.full_name}'s signed letter is not attached"
        return ""


class Correction(models.Model):
    """One thing that an inspector wants put right; answered once, before the next visit counts."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="corrections")
    words = models.CharField(max_length=300)
    answer = models.CharField("what was done", max_length=300, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["inspection", "pk"]

    def __str__(self) -> str:
        return self.words


class MeterReading(models.Model):
    """Registers of the production meter and the utility's meter, read on a day."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="readings")
    read_on = models.DateField()
    production_kwh = Quantity("production register", unit="kWh", low=0, high=99_999_999)
    import_kwh = Quantity("import register", unit="kWh", low=0, high=99_999_999, null=True, blank=True)
    export_kwh = Quantity("export register", unit="kWh", low=0, high=99_999_999, null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    corrects = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="corrections")
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["job", "read_on", "pk"]

    def __str__(self) -> str:
        return f"meters of {self.job.number} on {self.read_on}"
