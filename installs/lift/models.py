"""The plan of one lift (tower or turbine): the editable draft, and signatures that cite a release of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django.db import models

from installs.equipment.models import LoadChart
from installs.jobs.drafts import Draft
from installs.lift.given import given_to
from installs.measures import Quantity

TOWER_LIFT, TURBINE_LIFT = "tower lift", "turbine lift"
PEOPLE = ("lift_director", "operator", "rigger", "signals", "foreman")
# rows of other tables: in a release's inputs their name stands in words, and their figures under AT_HAND,
# which is named so that the appendix prints "The crane weight", "The near sling rating"
AT_HAND = "the"
ROWS = ("crane", "chart", "near_sling", "far_sling", "shackle", *PEOPLE)


class Which(models.TextChoices):
    TOWER = TOWER_LIFT, "tower lift"
    TURBINE = TURBINE_LIFT, "turbine lift"


class YesNo(models.TextChoices):
    """A question whose answer is not taken for granted: empty is not known."""

    YES = "yes", "yes"
    NO = "no", "no"


class WeightKnown(models.TextChoices):
    """How a weight is known (29 CFR 1926.1417(o): a recognized source before the lift)."""

    WEIGHED = "weighed", "weighed"
    CERTIFICATE = "certificate", "maker's certificate"
    CALCULATED = "calculated", "calculated from the pieces"


class Foot(models.TextChoices):
    WALKED = "walked in", "foot walked in on a skid, hook stays"
    HINGED = "hinged", "foot fixed, hook travels"


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
    PARTS: ClassVar[tuple[str, ...]] = (TOWER_LIFT, TURBINE_LIFT)

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="lifts")
    which = models.CharField(max_length=12, choices=Which.choices)

    # the crane as it stands
    crane = models.ForeignKey("installs.Crane", models.PROTECT, null=True, blank=True, related_name="+")
    chart = models.ForeignKey(
        "installs.LoadChart",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name="load chart",
    )
    boom_ft = Quantity("boom length", unit="ft", low=10, high=500, null=True, blank=True)
    radius_ft = Quantity("radius, taped", unit="ft", low=3, high=400, null=True, blank=True)
    beyond_ft = Quantity("deflection and taping on top of it", unit="ft", low=0, high=30, default=2)
    clear_ft = Quantity("kept between boom and load", unit="ft", low=1, high=30, default=3)
    critical_percent = Quantity("a critical lift from", unit="%", low=10, high=75, default=75)
    most_percent = Quantity("not permitted above", unit="%", low=10, high=100, default=85)
    critical_because = models.CharField("makes it critical besides the percent", max_length=120, blank=True)

    # heights
    foot_ft = Quantity(
        "what it is set on, above grade at the crane", unit="ft", low=-50, high=300, null=True, blank=True
    )
    over_ft = Quantity("carried over the bolts", unit="ft", low=0.5, high=50, default=3)
    pick_ft = Quantity("pick points above its foot", unit="ft", low=0, high=400, null=True, blank=True)
    rigging_ft = Quantity("pick points up to the hook", unit="ft", low=0.5, high=100, null=True, blank=True)

    # loads
    weight_lb = Quantity("weight", unit="lb", low=50, high=500_000, null=True, blank=True)
    weight_known = models.CharField(
        "how the weight is known", max_length=12, choices=WeightKnown.choices, blank=True
    )
    block_lb = Quantity("hook block", unit="lb", low=0, high=50_000, null=True, blank=True)
    ball_lb = Quantity("ball of a second line", unit="lb", low=0, high=20_000, default=0)
    line_parts = Quantity("parts of line as reeved", unit="", low=1, high=20, null=True, blank=True)
    rigging_lb = Quantity("slings and shackles", unit="lb", low=0, high=50_000, null=True, blank=True)
    jib_lb = Quantity(
        "stowed jib, as the chart deducts it", unit="lb", low=0, high=50_000, null=True, blank=True
    )
    aux_head_lb = Quantity("auxiliary head", unit="lb", low=0, high=20_000, default=0)

    # what is lifted
    length_ft = Quantity("height of it", unit="ft", low=1, high=400, null=True, blank=True)
    center_ft = Quantity(
        "center of gravity above its foot", unit="ft", low=0, high=400, null=True, blank=True
    )
    corners = models.JSONField("corners toward the boom", default=list, blank=True)
    sail_ft2 = Quantity("area the wind sees", unit="ft2", low=0, high=20_000, null=True, blank=True)
    drag = Quantity("drag factor", unit="", low=0.3, high=4, default=2)
    stop_gust_mph = Quantity(
        "gust at which we stop, at the tip", unit="mph", low=3, high=45, null=True, blank=True
    )

    # the raise of a tower
    foot = models.CharField(
        "the foot while it is raised", max_length=12, choices=Foot.choices, default=Foot.WALKED
    )
    pick_up_ft = Quantity("pick off the axis, upper side", unit="ft", low=-10, high=10, default=0)
    flat_radius_ft = Quantity(
        "radius while flat, if the hook travels", unit="ft", low=3, high=400, null=True, blank=True
    )

    # rigging
    near_ft = Quantity("hook line to the near pick", unit="ft", low=0, high=100, null=True, blank=True)
    far_ft = Quantity("hook line to the far pick", unit="ft", low=0, high=100, null=True, blank=True)
    near_sling = _tag("near leg")
    far_sling = _tag("far leg")
    hardware_ft = Quantity("shackles and links in a leg", unit="ft", low=0, high=10, default=0.5)
    shackle = _tag("smallest shackle")
    shackle_side_deg = Quantity("pull on a shackle off its line", unit="deg", low=0, high=90, default=0)
    dynamic_factor = Quantity("dynamic factor on the slings", unit="", low=1, high=2, default=1.1)

    # ground
    mat_length_ft = Quantity("mat, longer side", unit="ft", low=0.5, high=40, null=True, blank=True)
    mat_width_ft = Quantity("mat, shorter side", unit="ft", low=0.5, high=20, null=True, blank=True)
    mat_thick_in = Quantity("mat thickness", unit="in", low=0.5, high=36, null=True, blank=True)
    mat_lb = Quantity("weight of a mat", unit="lb", low=0, high=50_000, default=0)
    soil_psf = Quantity(
        "bearing allowed under the mats", unit="psf", low=0, high=20_000, null=True, blank=True
    )
    on_backfill = models.CharField(
        "a mat stands on backfill", max_length=3, choices=YesNo.choices, blank=True
    )
    excavation_off_ft = Quantity(
        "nearest mat to an excavation's toe", unit="ft", low=0, high=2_000, null=True, blank=True
    )
    excavation_deep_ft = Quantity(
        "depth of that excavation", unit="ft", low=0, high=100, null=True, blank=True
    )
    outrigger_lb = Quantity(
        "outrigger load by the maker", unit="lb", low=0, high=2_000_000, null=True, blank=True
    )
    mat_bending_psi = Quantity(
        "mat, allowable bending", unit="psi", low=1, high=60_000, null=True, blank=True
    )
    mat_shear_psi = Quantity("mat, allowable shear", unit="psi", low=1, high=40_000, null=True, blank=True)
    level_percent = Quantity("crane level within", unit="%", low=0.1, high=3, default=1)

    # power lines
    line_ft = Quantity(
        "nearest power line, from the crane", unit="ft", low=0, high=50_000, null=True, blank=True
    )
    line_kv = Quantity("its voltage", unit="kV", low=0, high=2_000, null=True, blank=True)
    no_line_ft = Quantity("or: no line seen within", unit="ft", low=0, high=50_000, null=True, blank=True)
    table_a_kept = models.BooleanField(
        "utility confirmed the voltage; spotter, warning line, dry tag lines", default=False
    )

    # people and day
    lift_director = _person("lift director")
    operator = _person("operator")
    rigger = _person("rigger")
    signals = _person("signals")
    foreman = _person("foreman")
    radio = models.CharField("radio channel", max_length=20, blank=True)
    lift_on = models.DateField("lift on", null=True, blank=True)
    lift_at = models.TimeField("begin at", null=True, blank=True)
    weather_day = models.DateField("weather day", null=True, blank=True)

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
    def part_key(self) -> str:
        return self.which

    @property
    def is_tower(self) -> bool:
        return self.which == TOWER_LIFT

    def own_inputs(self) -> dict[str, Any]:
        """The draft's own figures as JSON values, without what other rooms give."""
        values = super().inputs()
        for name in ("lift_on", "lift_at", "weather_day"):
            values[name] = values[name].isoformat() if values[name] else None
        return values

    def inputs(self) -> dict[str, Any]:
        """With the figures of crane, chart, tags and people, and what tower or turbine give, as of now."""
        named = {name: str(row) if (row := getattr(self, name)) else None for name in ROWS}
        return {**self.own_inputs(), **named, AT_HAND: self.rows(), "given": given_to(self)}

    def rows(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for name in ROWS:
            row = getattr(self, name)
            found[name] = None if row is None else {"record": row.pk, **figures_of_row(row)}
        return found


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
    if hasattr(row, "full_name"):
        return {"name": row.full_name, "firm": row.firm_name}
    keep = [f for f in row._meta.concrete_fields if f.name not in ("id", "archived_on")]
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
    # who put it on record: the person, or for someone without a sign-in whoever saw them sign the paper
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["signed_at"]
        constraints = [models.UniqueConstraint(fields=["revision", "role"], name="lift_signature_once")]

    def __str__(self) -> str:
        return f"{self.person} as {self.role} for {self.revision}"
