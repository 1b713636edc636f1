"""The pour as designed, the written strength notice, and the engineer's early release."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity
from installs.pour.pad import pad_of

EXPOSURES = [
    ("F0", "F0 no frost"),
    ("F1", "F1 moist"),
    ("F2", "F2 wet"),
    ("F3", "F3 wet, salt"),
]


ACCELERATORS = [
    ("none", "none"),
    ("no chloride", "without chlorides (ASTM C494 type C or E)"),
    ("chloride", "with chlorides"),
]


class PourDesign(Draft):
    """Mix, its limits at the truck, its maturity constants, and what the cure must reach."""

    PART: ClassVar[str] = "pour"

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="pour")
    fc_psi = Quantity(
        "specified strength f'c of the mix", unit="psi", low=2500, high=10000, null=True, blank=True
    )
    exposure = models.CharField("freeze-thaw exposure", max_length=2, choices=EXPOSURES, default="F2")
    aggregate_in = Quantity("largest stone", unit="in", low=0.375, high=3, default=0.75)
    w_cm = Quantity("water-cementitious ratio", low=0.2, high=0.8, null=True, blank=True)
    slump_in = Quantity("slump ordered", unit="in", low=1, high=10, default=4.0)
    slump_tolerance_in = Quantity(
        "slump tolerance", unit="in", low=0.25, high=3, null=True, blank=True, help_text="else as ASTM C94"
    )
    air_pct = Quantity("air content ordered", unit="%", low=0, high=10, default=6.0)
    air_tolerance_pct = Quantity("air tolerance", unit="%", low=0.5, high=3, default=1.5)
    highest_f = Quantity("highest concrete temperature", unit="F", low=60, high=100, default=90.0)
    least_dimension_in = Quantity(
        "least dimension of the section", unit="in", low=6, high=240, null=True, blank=True,
        help_text="else the pad's thickness from the foundation",
    )  # fmt: skip
    most_minutes = Quantity("batching to discharge, at most", unit="min", low=15, high=180, default=90.0)
    waste_pct = Quantity("allowance for waste", unit="%", low=0, high=20, default=5.0)
    order_step_yd3 = Quantity("order in steps of", unit="yd3", low=0.25, high=1, default=0.5)
    truck_yd3 = Quantity("a truck carries", unit="yd3", low=1, high=12, default=9.5)
    curing_days = Quantity("curing days required", unit="days", low=28, high=180, default=28.0)
    erection_psi = Quantity(
        "engineer's strength for erection", unit="psi", low=500, high=10000, null=True, blank=True,
        help_text="the tower waits for this or 75 % of f'c, whichever is more",
    )  # fmt: skip
    longest_gap_h = Quantity(
        "readings further apart leave a silence", unit="h", low=0.5, high=26, default=12.0
    )
    protection_days = Quantity(
        "days kept protected from cold", unit="days", low=0, high=60, default=6.0,
        help_text="blankets or heat; the forecast counts on them",
    )  # fmt: skip
    held_f = Quantity("temperature held while protected", unit="F", low=35, high=100, default=50.0)
    expected_28_psi = Quantity(
        "strength expected at 28 days", unit="psi", low=1000, high=15000, null=True, blank=True,
        help_text="of the mix; else f'c. Used for the forecast curve only",
    )  # fmt: skip
    plant = models.CharField("plant, and its telephone", max_length=80, blank=True)
    mix_code = models.CharField("the plant's name of the mix", max_length=40, blank=True)
    accelerator = models.CharField("accelerator", max_length=11, choices=ACCELERATORS, default="none")
    spacing_minutes = Quantity("trucks leave the plant apart", unit="min", low=5, high=120, default=30.0)
    joint_minutes = Quantity(
        "between two loads, at most", unit="min", low=15, high=180, default=60.0,
        help_text="longer leaves a joint, which is the engineer's decision",
    )  # fmt: skip
    inspector_notice_h = Quantity("notice the inspector asks", unit="h", low=0, high=240, default=24.0)
    plant_notice_h = Quantity("notice the plant asks", unit="h", low=0, high=240, default=24.0)
    lab_notice_h = Quantity("notice the testing lab asks", unit="h", low=0, high=240, default=24.0)
    special_inspector = models.CharField(
        "special inspector, engaged by the owner", max_length=120, blank=True
    )
    acceptance_days = Quantity("age of the acceptance tests", unit="days", low=7, high=90, default=28.0)
    grout_psi = Quantity(
        "strength of the grout under the base", unit="psi", low=1000, high=15000, null=True, blank=True,
        help_text="before the turbine and full bolt tension; blank if nothing is grouted",
    )  # fmt: skip
    pairs = models.JSONField("cylinder pairs of the maturity calibration", default=list, blank=True)
    datum_f = Quantity("datum temperature T0", unit="F", low=10, high=50, default=32.0)
    q_k = Quantity("Q of the equivalent age", unit="K", low=2000, high=8000, default=5000.0)
    reference_f = Quantity("reference temperature Ts", unit="F", low=50, high=86, default=68.0)
    curve_a_days = Quantity("A of the strength curve", unit="days", low=0.5, high=20, default=4.0)
    curve_b = Quantity("B of the strength curve", low=0.5, high=1.1, default=0.85)
    normals = models.JSONField("expected mean air by month", default=list, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(exposure__in=[key for key, _ in EXPOSURES]), name="pour_exposure_known"
            ),
            models.CheckConstraint(
                condition=models.Q(accelerator__in=[key for key, _ in ACCELERATORS]),
                name="pour_accelerator_known",
            ),
        ]

    def __str__(self) -> str:
        return f"pour of {self.job}"

    def inputs(self) -> dict[str, Any]:
        """The figures, and those of the foundation's release that they are judged with."""
        return {**super().inputs(), "foundation": pad_of(self.job)}


class CureKind(models.TextChoices):
    FIELD = "field", "field-cured beside the pad (ASTM C31)"
    LAB = "lab", "lab-cured (standard cure)"


class StrengthMethod(models.TextChoices):
    C39 = "ASTM C39", "cylinders broken, ASTM C39"


class StrengthNotice(models.Model):
    """A written notice of strength tests. Never changed; a correction names what it corrects.

    ``cylinders`` is a list of {"mark", "psi"}. Only field-cured ones can open the cure gate.
    """

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="strength_notices")
    method = models.CharField(
        "test method", max_length=20, choices=StrengthMethod.choices, default=StrengthMethod.C39
    )
    cure = models.CharField("cylinders were", max_length=5, choices=CureKind.choices)
    age_days = Quantity("age at test", unit="days", low=0.5, high=400)
    diameter_in = models.PositiveSmallIntegerField(
        "cylinder size", choices=[(4, "4 by 8 in"), (6, "6 by 12 in")], default=4
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
