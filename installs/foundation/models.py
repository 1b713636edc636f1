"""The foundation of a job: the pad, its mats and anchor bolts, its ground, and the loads on it."""

from __future__ import annotations

from typing import Any

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity, WithinRange
from sitecalc.foundation import tables
from sitecalc.foundation.pad import COMPASS


def _words(*words: str) -> list[tuple[str, str]]:
    return [(word, word) for word in words]


class FoundationDesign(Draft):
    """A pad with two mats and, if wanted, a pedestal. Empty legs and loads are taken from the tower's design.

    The upper mat is like the lower one where its own bars are left empty.

    The defaults are a starting layout: 15 ft square, 4 ft deep, mats about a foot from bottom and top
    (common practice, no source); the checks decide.
    """

    PART = "foundation"

    class Base(models.TextChoices):
        LEGS_3 = "3 legs", "3 legs"
        LEGS_4 = "4 legs", "4 legs"
        TUBE = "tube", "tube on a bolt circle"

    class Kind(models.TextChoices):
        STRENGTH = "ASCE strength level", "ASCE strength level"
        GUST = "IEC extreme gust", "IEC extreme gust, not factored"
        SERVICE = "maker's service", "maker's service load"
        MAKERS_STRENGTH = "maker's strength level", "maker's load, strength level"

    class Outline(models.TextChoices):
        RECTANGLE = "rectangle", "square or rectangle"
        OCTAGON = "octagon", "octagon"
        CIRCLE = "circle", "round"

    class Pedestal(models.TextChoices):
        SQUARE = "square", "square"
        ROUND = "round", "round"

    class Foot(models.TextChoices):
        NUT = "nut", "heavy nut"
        PLATE = "plate under each", "a plate under each"
        RING = "one plate or ring", "one plate or ring for all"
        HOOK = "hook", "hook"

    class Seat(models.TextChoices):
        CONCRETE = "on concrete", "on the concrete"
        GROUT = "on grout", "on grout"
        NUTS = "on leveling nuts", "on leveling nuts"

    class Ends(models.TextChoices):
        STRAIGHT = "straight", "straight"
        SQUARED = "90 degree", "90 degree hooks"
        TURNED = "180 degree", "180 degree hooks"

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="foundation")

    outline = models.CharField(
        "pad from above", max_length=10, choices=Outline.choices, default=Outline.RECTANGLE
    )
    side_ft = Quantity("pad side, east to west", unit="ft", low=4, high=80, default=15.0)
    other_side_ft = Quantity("side, north to south", unit="ft", low=4, high=80, null=True, blank=True)
    thickness_ft = Quantity("thickness", unit="ft", low=1, high=12, default=4.0)
    top_above_grade_ft = Quantity("top of pad above grade", unit="ft", low=-8, high=4, default=0.5)
    frost_ft = Quantity("frost depth", unit="ft", low=0, high=12, null=True, blank=True)

    pedestal = models.CharField("pedestal", max_length=10, choices=Pedestal.choices, blank=True)
    pedestal_side_ft = Quantity(
        "pedestal, side or diameter", unit="ft", low=1, high=20, null=True, blank=True
    )
    pedestal_height_ft = Quantity(
        "pedestal, above the pad", unit="ft", low=0.25, high=12, null=True, blank=True
    )
    pedestal_bars = models.PositiveSmallIntegerField(
        "pedestal, verticals", default=12, validators=[WithinRange(4, 60, "bars")]
    )
    pedestal_bar_size = models.CharField(
        "pedestal, size of verticals", max_length=3, choices=_words(*tables.bars()), default="#6"
    )
    tie_size = models.CharField("ties, size", max_length=3, choices=_words("#3", "#4", "#5"), default="#4")
    tie_spacing_in = Quantity("ties, center to center", unit="in", low=2, high=18, default=12.0)

    cover_lower_in = Quantity("clear cover, lower mat", unit="in", low=1, high=72, default=12.0)
    cover_upper_in = Quantity("clear cover, upper mat", unit="in", low=1, high=72, default=12.0)
    cover_side_in = Quantity("clear cover, sides", unit="in", low=1, high=12, default=3.0)
    bars = models.PositiveSmallIntegerField(
        "bars each way", default=18, validators=[WithinRange(2, 200, "bars")]
    )
    bar_size = models.CharField(
        "bar size, Grade 60", max_length=3, choices=_words(*tables.bars()), default="#6"
    )
    bars_other = models.PositiveSmallIntegerField(
        "bars north to south", null=True, blank=True, validators=[WithinRange(2, 200, "bars")]
    )
    upper_bar_size = models.CharField(
        "upper mat, bar size", max_length=3, choices=_words(*tables.bars()), blank=True
    )
    upper_bars = models.PositiveSmallIntegerField(
        "upper mat, bars each way", null=True, blank=True, validators=[WithinRange(2, 200, "bars")]
    )
    upper_bars_other = models.PositiveSmallIntegerField(
        "upper mat, bars north to south", null=True, blank=True, validators=[WithinRange(2, 200, "bars")]
    )
    bar_ends = models.CharField("bar ends", max_length=10, choices=Ends.choices, default=Ends.STRAIGHT)
    laps_staggered = models.BooleanField("laps of neighbors staggered", default=False)
    edge_bar_size = models.CharField(
        "U-bars round the edge, size", max_length=3, choices=_words(*tables.bars()), blank=True
    )
    edge_bar_spacing_in = Quantity("U-bars, center to center", unit="in", low=3, high=36, default=12.0)
    stock_ft = Quantity("longest bar from the supplier", unit="ft", low=10, high=60, default=40.0)

    anchor_per_leg = models.PositiveSmallIntegerField(
        "anchor bolts per leg", null=True, blank=True, validators=[WithinRange(1, 60, "bolts")]
    )
    anchor_pattern_in = Quantity("anchor pattern, side", unit="in", low=3, high=240, null=True, blank=True)
    anchor_size = models.CharField(
        "anchor bolt diameter, inches", max_length=5, choices=_words(*tables.anchor_bolts()), default="1"
    )
    anchor_grade = models.CharField(
        "anchor bolts, F1554 grade", max_length=3, choices=_words("36", "55", "105"), default="55"
    )
    embedment_in = Quantity("anchor bolts, embedded", unit="in", low=6, high=120, default=30.0)
    projection_in = Quantity("anchor bolts, above the pad", unit="in", low=2, high=36, default=7.0)
    anchor_plate_in = Quantity("anchor plate, side", unit="in", low=2, high=24, default=4.0)
    anchor_foot = models.CharField(
        "anchor bolts, lower end", max_length=20, choices=Foot.choices, default=Foot.PLATE
    )
    anchor_seat = models.CharField(
        "base plates stand", max_length=20, choices=Seat.choices, default=Seat.NUTS
    )
    anchor_gap_in = Quantity("concrete to leveling nut", unit="in", low=0, high=12, default=1.0)
    base_plate_in = Quantity("base plate, thickness", unit="in", low=0.25, high=6, null=True, blank=True)
    prying = Quantity("bolt tension over even share, maker's", unit="", low=1, high=3, default=1.0)
    anchor_bar_size = models.CharField(
        "bars that carry breakout, size", max_length=3, choices=_words(*tables.bars()), blank=True
    )
    anchor_bars = models.PositiveSmallIntegerField(
        "bars that carry breakout, per leg", null=True, blank=True, validators=[WithinRange(2, 60, "bars")]
    )
    anchor_bar_away_in = Quantity(
        "those bars, farthest from their bolt", unit="in", low=0.5, high=36, null=True, blank=True
    )
    anchor_bar_foot_in = Quantity(
        "those bars, lower end below the top", unit="in", low=6, high=200, null=True, blank=True
    )
    template_tolerance_in = Quantity(
        "template tolerance, tower's drawing", unit="in", low=0.01, high=0.5, default=0.0625
    )

    base = models.CharField("base of the tower", max_length=10, choices=Base.choices, blank=True)
    leg_spacing_ft = Quantity(
        "leg spacing (tube: bolt circle)", unit="ft", low=0.25, high=60, null=True, blank=True
    )
    water_ft = Quantity("highest water below grade", unit="ft", low=0, high=200, null=True, blank=True)
    soil = models.CharField("soil", max_length=30, choices=_words(*tables.soils()), blank=True)
    report_bearing_psf = Quantity(
        "allowable bearing, soil report", unit="psf", low=200, high=40_000, null=True, blank=True
    )
    report_friction = Quantity(
        "friction factor, soil report", unit="", low=0.05, high=1, null=True, blank=True
    )
    report_cohesion_psf = Quantity(
        "adhesion, soil report", unit="psf", low=10, high=5_000, null=True, blank=True
    )
    fc_psi = Quantity("concrete, specified strength", unit="psi", low=2_500, high=10_000, default=4_500.0)
    dead_kip = Quantity("dead load, tower and turbine", unit="kip", low=0, high=2_000, null=True, blank=True)
    moment_kip_ft = Quantity(
        "wind moment at top of pad", unit="kip-ft", low=0, high=100_000, null=True, blank=True
    )
    shear_kip = Quantity("wind shear", unit="kip", low=0, high=2_000, null=True, blank=True)
    torsion_kip_ft = Quantity(
        "wind torsion at top of pad", unit="kip-ft", low=0, high=20_000, null=True, blank=True
    )
    load_kind = models.CharField("what those loads are", max_length=22, choices=Kind.choices, blank=True)
    wind_strength_factor = Quantity(
        "strength wind over service wind", unit="", low=1, high=3, null=True, blank=True
    )
    seismic_category = models.CharField(
        "seismic design category", max_length=1, choices=_words(*"ABCDEF"), blank=True
    )
    concrete_code = models.CharField(
        "concrete code", max_length=12, choices=_words("ACI 318-19"), default="ACI 318-19"
    )
    reactions_above_ft = Quantity("loads stated above top of pad", unit="ft", low=0, high=10, default=0.0)
    backfill_placed = models.BooleanField("backfill on the pad is placed and compacted", default=False)
    backfill_pcf = Quantity("weight of backfill", unit="pcf", low=70, high=150, default=100.0)
    contact_required_pct = Quantity(
        "least share of the pad that bears", unit="%", low=0, high=100, default=50.0
    )
    prevailing = models.CharField(
        "prevailing wind, from", max_length=3, choices=_words(*COMPASS), default="NW"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(bars__gte=2) & models.Q(bars__lte=200), name="foundation_bars_range"
            ),
            models.CheckConstraint(
                condition=models.Q(anchor_per_leg=None)
                | (models.Q(anchor_per_leg__gte=1) & models.Q(anchor_per_leg__lte=60)),
                name="foundation_anchor_per_leg_range",
            ),
            models.CheckConstraint(
                condition=models.Q(bars_other=None)
                | (models.Q(bars_other__gte=2) & models.Q(bars_other__lte=200)),
                name="foundation_bars_other_range",
            ),
            *(
                models.CheckConstraint(
                    condition=models.Q(**{name: None})
                    | (models.Q(**{f"{name}__gte": 2}) & models.Q(**{f"{name}__lte": 200})),
                    name=f"foundation_{name}_range",
                )
                for name in ("upper_bars", "upper_bars_other")
            ),
            models.CheckConstraint(
                condition=models.Q(anchor_bars=None)
                | (models.Q(anchor_bars__gte=2) & models.Q(anchor_bars__lte=60)),
                name="foundation_anchor_bars_range",
            ),
            models.CheckConstraint(
                condition=models.Q(pedestal_bars__gte=4) & models.Q(pedestal_bars__lte=60),
                name="foundation_pedestal_bars_range",
            ),
        ]

    def __str__(self) -> str:
        return f"foundation of {self.job}"

    def inputs(self) -> dict[str, Any]:
        """With what the tower's draft gives, so that a release freezes what it was judged for."""
        from installs.foundation.tower import tower_of

        given = tower_of(self.job)
        return {**super().inputs(), "tower": given.as_json() if given else None}
