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
    UTILITY_TEST = "utility test", "utility's written permission to run in parallel for test"
    UTILITY_OPERATION = "utility operation", "utility's letter to operate"


# Days that one seldom lives longer (common practice, no source); else the note says who gives them.
LONGEST_DAYS: dict[str, int] = {
    PermitKind.LOCATE: 60,
    PermitKind.BUILDING: 3 * 366,
    PermitKind.ELECTRICAL: 3 * 366,
    PermitKind.ZONING: 10 * 366,
    PermitKind.AIRSPACE: 3 * 366,
    PermitKind.UTILITY_APPLICATION: 3 * 366,
    PermitKind.UTILITY_TEST: 366,
}


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

    @property
    def proved(self) -> bool:
        """Its number or the paper itself is on record: "in hand" alone is somebody's word."""
        return bool(self.number.strip()) or self.file_id is not None

    def in_hand(self, day: date) -> bool:
        """Granted and proved, begun and not expired on the day; of a locate ticket the last day is known."""
        if self.granted_on is None or self.granted_on > day or self.withdrawn_on or not self.proved:
            return False
        if self.valid_from and day < self.valid_from:
            return False
        if self.expires_on is None:
            return self.kind != PermitKind.LOCATE
        return day <= self.expires_on
