"""What was asked of whom, when, what was promised and what came back."""

from __future__ import annotations

from datetime import date

from django.db import models


class PermitKind(models.TextChoices):
    BUILDING = "building", "building permit"
    ZONING = "conditional use", "conditional use permit"
    ELECTRICAL = "electrical", "electrical permit"
    AIRSPACE = "airspace", "airspace notice"
    LOCATE = "locate", "locate ticket"
    UTILITY_APPLICATION = "utility application", "utility application"
    UTILITY_TEST = "utility test", "utility's written leave to run in parallel for test"
    UTILITY_OPERATION = "utility operation", "utility's letter to operate"


class Permit(models.Model):
    """One thing asked of an outside party. A renewed locate ticket is a new row."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="permits")
    kind = models.CharField(max_length=20, choices=PermitKind.choices)
    asked_of = models.CharField("asked of", max_length=120)
    asked_on = models.DateField("asked", null=True, blank=True)
    asked_again_on = models.DateField("asked again", null=True, blank=True)
    promised_on = models.DateField("promised", null=True, blank=True)
    number = models.CharField("their number", max_length=60, blank=True)
    granted_on = models.DateField("in hand", null=True, blank=True)
    refused_on = models.DateField("refused", null=True, blank=True)
    valid_from = models.DateField("valid from", null=True, blank=True)
    expires_on = models.DateField("expires", null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    withdrawn_on = models.DateField("no longer needed", null=True, blank=True)

    class Meta:
        ordering = ["job", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(kind__in=PermitKind.values), name="permit_kind_known"),
            models.CheckConstraint(
                condition=models.Q(granted_on=None) | models.Q(refused_on=None),
                name="permit_granted_or_refused",
            ),
            models.CheckConstraint(
                condition=models.Q(expires_on=None)
                | models.Q(valid_from=None)
                | models.Q(expires_on__gte=models.F("valid_from")),
                name="permit_expires_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.job.number}"

    def in_hand(self, day: date) -> bool:
        """Granted, begun, and not expired on the day; a locate ticket also needs its last day known."""
        if self.granted_on is None or self.granted_on > day or self.withdrawn_on:
            return False
        if self.valid_from and day < self.valid_from:
            return False
        if self.expires_on is None:
            return self.kind != PermitKind.LOCATE
        return day <= self.expires_on
