"""Papers: what was printed, from which frozen inputs, citing which releases; and sealed sheets."""

from __future__ import annotations

from django.db import models


class PaperKind(models.TextChoices):
    PERMIT_PACKET = "permit packet", "Permit packet"
    SITE_PLAN = "site plan", "Site plan"
    FOUNDATION = "foundation sheets", "Foundation sheets"
    TOWER = "tower sheets", "Tower sheets"
    ONE_LINE = "one-line", "One-line"
    INTERCONNECTION = "interconnection", "Interconnection application"
    TOWER_LIFT_PLAN = "tower lift plan", "Lift plan, tower"
    TURBINE_LIFT_PLAN = "turbine lift plan", "Lift plan, turbine"
    CHECKLISTS = "checklists", "Checklists, paper copies"
    POUR_CARD = "pour card", "Pour card"
    CURE_LOG = "cure log", "Cure log"
    STRENGTH_NOTICE = "strength notice", "Strength notice"
    SPECIAL_INSPECTION = "special inspection", "Special inspection"
    DEVIATION_SHEET = "deviation sheet", "Deviation sheet"
    TORQUE_LOG = "torque log", "Torque log"


class Paper(models.Model):
    """One printed document of a job. Its inputs are frozen when it is ordered; its file comes from a worker.

    ``cites`` are the releases on which it stands; ``inputs`` hold everything that is printed.
    """

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="papers")
    kind = models.CharField(max_length=20, choices=PaperKind.choices)
    letter = models.CharField(max_length=3)
    inputs = models.JSONField()
    inputs_sha256 = models.CharField(max_length=64)
    cites = models.ManyToManyField("installs.DesignRevision", related_name="papers")
    ordered_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    ordered_at = models.DateTimeField()
    seal = models.ForeignKey(
        "installs.SealedSheets", models.PROTECT, null=True, blank=True, related_name="papers"
    )
    work = models.ForeignKey("installs.WorkRequest", models.PROTECT, null=True, related_name="+")
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, related_name="+")
    pages = models.PositiveIntegerField(null=True)

    class Meta:
        ordering = ["-ordered_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "kind", "letter"], name="paper_letter_once"),
            models.CheckConstraint(condition=models.Q(kind__in=PaperKind.values), name="paper_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.letter} of {self.job.number}"

    @property
    def file_name(self) -> str:
        return f"{self.job.number} {self.kind} {self.letter}.pdf"


class SealedSheets(models.Model):
    """A PDF sealed by the engineer, as received; it travels with papers that cite the same releases."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="sealed_sheets")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="sealed_sheets")
    engineer = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    sealed_on = models.DateField("date of the seal")
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, related_name="+")
    pages = models.PositiveIntegerField()
    # numbers of the sheets on which the seal stands; of sets from before this was asked nobody knows
    sheets = models.JSONField(default=list, blank=True)
    attached_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    attached_at = models.DateTimeField()

    class Meta:
        ordering = ["attached_at", "pk"]

    def __str__(self) -> str:
        return f"sheets sealed by {self.engineer} for {self.paper}"
