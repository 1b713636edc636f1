"""The plan of one lift (tower or turbine): the editable draft, and signatures that cite a release of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django.db import models

from installs.equipment.models import LoadChart
from installs.jobs.drafts import Draft
from installs.people.models import User
from sitecalc.lift.figures import LiftFigures

TOWER_LIFT, TURBINE_LIFT = "tower lift", "turbine lift"
PEOPLE = ("lift_director", "operator", "rigger", "signals", "foreman")
# rows of other tables: in a release's inputs their name stands in words, and their figures under AT_HAND,
# which is named so that the appendix prints "The crane weight", "The near sling rating"
AT_HAND = "the"
ROWS = ("crane", "chart", "near_sling", "far_sling", "shackle", *PEOPLE)


class Which(models.TextChoices):
    TOWER = TOWER_LIFT, "tower lift"
    TURBINE = TURBINE_LIFT, "turbine lift"


def _person(label: str) -> models.ForeignKey[Any, Any]:
    return models.ForeignKey(
        "installs.User", models.PROTECT, null=True, blank=True, related_name="+", verbose_name=label
    )


def _tag(label: str) -> models.ForeignKey[Any, Any]:
    return models.ForeignKey(
        "installs.Sling", models.PROTECT, null=True, blank=True, related_name="+", verbose_name=label
    )


class LiftDesign(Draft):
    """One lift of a job. An empty weight, length or profile is taken from the tower or turbine design."""

    PART = TOWER_LIFT
    FIGURES = LiftFigures
    PARTS: ClassVar[tuple[str, ...]] = (TOWER_LIFT, TURBINE_LIFT)

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="lifts")
    which = models.CharField(max_length=12, choices=Which.choices)

    crane = models.ForeignKey("installs.Crane", models.PROTECT, null=True, blank=True, related_name="+")
    chart = models.ForeignKey(
        "installs.LoadChart",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name="load chart",
    )
    near_sling = _tag("near leg")
    far_sling = _tag("far leg")
    shackle = _tag("smallest shackle")
    lift_director = _person("lift director")
    operator = _person("operator")
    rigger = _person("rigger")
    signals = _person("signals")
    foreman = _person("foreman")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "which"], name="lift_design_once"),
            models.CheckConstraint(
                condition=models.Q(which__in=Which.values), name="lift_design_which_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.which} of {self.job.number}"

    @property
    def is_tower(self) -> bool:
        return self.which == TOWER_LIFT

    def _row(self, name: str) -> Any:
        """The crane, chart, tag or person in words."""
        if name not in ROWS:
            return super()._row(name)
        row = getattr(self, name)
        return str(row) if row else None

    def own_inputs(self) -> dict[str, Any]:
        """The draft's own figures as JSON values, without what other rooms give; rows by their keys."""
        return {
            **self.value,
            "which": self.which,
            **{name: self._in_column(name) for name in ROWS},
        }

    def inputs(self) -> dict[str, Any]:
        """With the figures of crane, chart, tags and people as of now."""
        return {**super().inputs(), AT_HAND: self.rows()}

    def rows(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for name in ROWS:
            row = getattr(self, name)
            found[name] = None if row is None else {"record": row.pk, **figures_of_row(row)}
        return found


# what a row of the catalogue says that no figure of the lift rests on: whose crane it is
ASIDE = frozenset({"owner_firm"})


def bound(row: Mapping[str, Any]) -> dict[str, Any]:
    """Of a row's frozen figures those that a plan and its signatures are bound to."""
    return {name: value for name, value in row.items() if name not in ASIDE}


def figures_of_row(row: models.Model) -> dict[str, Any]:
    """What of a row the lift is worked out with, as JSON values."""
    if isinstance(row, LoadChart):
        return {
            "configuration": row.configuration,
            "page": row.page,
            "gust_mph": row.gust_mph,
            "single_line_lb": row.single_line_lb,
            "sha256": row.sha256,
            "ratings": row.ratings,
        }
    if isinstance(row, User):
        return {"name": row.full_name, "firm": row.firm_name}
    keep = [f for f in row._meta.concrete_fields if f.name not in ("id", "archived_on", "archived_by")]
    return {f.name: f.value_from_object(row) for f in keep}


def row_of(inputs: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """The frozen figures of crane, chart, tag or person by their field's name; empty if none is named."""
    return inputs.get(AT_HAND, {}).get(name) or {}


class SignatureRole(models.TextChoices):
    DIRECTOR = "lift director", "lift director"
    OPERATOR = "operator", "operator"


class LiftSignature(models.Model):
    """The lift director's or operator's name under one release of a plan. Never taken back, only outdated."""

    revision = models.ForeignKey("installs.DesignRevision", models.PROTECT, related_name="lift_signatures")
    role = models.CharField(max_length=14, choices=SignatureRole.choices)
    person = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    signed_at = models.DateTimeField()
    # the limits of the card as they were read and signed: [{"word", "text"}]
    limits = models.JSONField(default=list)
    # who put it on record: the person, or for someone without a sign-in whoever saw them sign the paper
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["signed_at"]
        constraints = [models.UniqueConstraint(fields=["revision", "role"], name="lift_signature_once")]

    def __str__(self) -> str:
        return f"{self.person} as {self.role} for {self.revision}"

    @property
    def by_another_hand(self) -> bool:
        return self.recorded_by_id != self.person_id


class SignedSheet(models.Model):
    """The signed paper of a signature that another hand recorded, photo or PDF. Another is one more."""

    signature = models.ForeignKey(LiftSignature, models.PROTECT, related_name="sheets")
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, related_name="+")
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["kept_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["signature", "file"], name="signed_sheet_once"),
        ]

    def __str__(self) -> str:
        return f"signed sheet of {self.signature}"
