from __future__ import annotations

from django.db import models

from installs.firm.models import DIALED, as_dialed
from installs.measures import plain_words


class EmergencyPlan(models.Model):
    """What a crew must know at this site when somebody is hurt. One row a job, changed from page to page."""

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="emergency", editable=False)
    way_in = models.CharField(
        "how to get in", max_length=300, blank=True, validators=[plain_words],
        help_text="For an ambulance: from which road, which gate or lane, what to look for.",
    )  # fmt: skip
    hospital = models.CharField("emergency room", max_length=120, blank=True, validators=[plain_words])
    hospital_address = models.CharField("its address", max_length=160, blank=True, validators=[plain_words])
    hospital_phone = models.CharField("its phone", max_length=40, blank=True, validators=[DIALED])
    drive_min = models.PositiveSmallIntegerField("drive there, minutes", null=True, blank=True)
    muster = models.CharField(
        "crew meets at", max_length=160, blank=True, validators=[plain_words],
        help_text="Upwind of the crane, clear of tower and lines; everybody is counted there.",
    )  # fmt: skip
    landing = models.CharField(
        "helicopter can land at", max_length=200, blank=True, validators=[plain_words],
        help_text="Flat, firm and wide, clear of wires; say where wires and the tower stand from there.",
    )  # fmt: skip
    utility_phone = models.CharField(
        "utility\u2019s emergency number", max_length=40, blank=True, validators=[DIALED]
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(drive_min=None) | models.Q(drive_min__gte=1, drive_min__lte=600),
                name="emergency_drive_sane",
            )
        ]

    def __str__(self) -> str:
        return f"emergency card of {self.job}"

    @property
    def hospital_dialed(self) -> str:
        return as_dialed(self.hospital_phone)

    @property
    def utility_dialed(self) -> str:
        return as_dialed(self.utility_phone)
