"""The pour as designed, the written strength notice, and the engineer's early release."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity
from sitecalc.pour.figures import PourFigures


class PourDesign(Draft):
    PART: ClassVar[str] = "pour"
    FIGURES = PourFigures

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="pour")

    def __str__(self) -> str:
        return f"pour of {self.job}"


class CureKind(models.TextChoices):
    FIELD = "field", "field-cured beside the pad (ASTM C31)"
    LAB = "lab", "lab-cured (standard cure)"


class StrengthMethod(models.TextChoices):
    C39 = "ASTM C39", "cylinders broken, ASTM C39"


CYLINDERS = {4: "4 by 8 in", 6: "6 by 12 in"}


class StrengthNotice(models.Model):
    """A written notice of strength tests. Never changed; a correction names what it corrects.

    ``cylinders`` is a list of {"mark", "psi"}, with "load_lb" where a break was given as the load. Only
    field-cured ones can open the cure gate.
    """

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="strength_notices")
    method = models.CharField(
        "test method", max_length=20, choices=StrengthMethod.choices, default=StrengthMethod.C39
    )
    cure = models.CharField("cylinders were", max_length=5, choices=CureKind.choices)
    age_days = Quantity("age at test", unit="days", low=0.5, high=400)
    diameter_in = models.PositiveSmallIntegerField(
        "cylinder size", choices=list(CYLINDERS.items()), default=4
    )
    cylinders = models.JSONField()
    average_psi = Quantity("average", unit="psi", low=0, high=20000)
    signer = models.CharField("signed by", max_length=80)
    firm = models.CharField("of", max_length=120)
    written_on = models.DateField("written on")
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    corrects = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="corrections")
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["written_on", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(cure__in=CureKind.values), name="notice_cure_known"),
            models.CheckConstraint(
                condition=models.Q(method__in=StrengthMethod.values), name="notice_method_known"
            ),
            models.CheckConstraint(condition=models.Q(diameter_in__in=(4, 6)), name="notice_size_known"),
        ]

    def __str__(self) -> str:
        return f"strength notice of {self.written_on} for {self.job.number}"


class EarlyRelease(models.Model):
    """A named engineer's written release before the curing days are reached; or the withdrawal of one."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="early_releases")
    engineer = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    reason = models.TextField(max_length=2000)
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    withdraws = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="withdrawals")
    released_at = models.DateTimeField()
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["released_at", "pk"]

    def __str__(self) -> str:
        return f"early release of {self.job.number} by {self.engineer}"

    @property
    def in_words(self) -> str:
        return f"withdrawn: {self.reason}" if self.withdraws_id else self.reason

    def shown(self) -> list[tuple[str, str, str]]:
        """What is read by who withdraws it."""
        taken_back = "; ".join(each.reason for each in self.withdrawals.all())
        return [("reason", "Released", self.reason), ("withdrawn", "Withdrawn", taken_back or "no")]
