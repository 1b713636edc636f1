"""The firm's catalogue of machines, and which of them a job sets on its tower."""

from __future__ import annotations

from typing import Any, get_args

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity
from sitecalc.ground_station.words import BRAKE_WORDS, Kind
from sitecalc.site.wind import CLASS_MEAN_MPS
from sitecalc.turbine.figures import TurbineFigures

UNKNOWN: dict[str, Any] = {"null": True, "blank": True}


def words(choices: Any) -> list[tuple[str, str]]:
    return [(choice, choice) for choice in choices]


OUTPUTS = words(get_args(Kind))
BRAKES = list(BRAKE_WORDS.items())
CLASSES = words([*CLASS_MEAN_MPS, "S"])
DENSITY_RULES = [
    ("power", "power times density (stall, furling)"),
    ("speed", "speed times root of density (controlled pitch)"),
    ("curve is for this density", "none: curve is for this density"),
]


class TurbineModel(models.Model):
    """A machine as its maker's papers state it. What is not stated stays empty and is not checked."""

    name = models.CharField("name", max_length=60, unique=True)
    certificate = models.CharField(
        "certified to, by, number",
        max_length=160,
        blank=True,
        help_text="AWEA 9.1 or IEC 61400-2, with its date",
    )
    iec_class = models.CharField("IEC class", max_length=3, choices=CLASSES, blank=True)
    rated_kw = Quantity("rated power", unit="kW", low=0.2, high=200)
    rotor_diameter_ft = Quantity("rotor diameter", unit="ft", low=3, high=100)
    blades = models.PositiveSmallIntegerField("blades", default=3)
    speed_low_rpm = Quantity("lowest speed of steady operation", unit="rpm", low=0, high=2000, **UNKNOWN)
    speed_high_rpm = Quantity("highest speed of steady operation", unit="rpm", low=1, high=2000, **UNKNOWN)
    overspeed_rpm = Quantity("overspeed shutdown", unit="rpm", low=1, high=3000, **UNKNOWN)
    cut_in_mph = Quantity("cut-in wind speed", unit="mph", low=1, high=20, **UNKNOWN)
    cut_out_mph = Quantity("cut-out wind speed", unit="mph", low=15, high=120, **UNKNOWN)
    survival_mph = Quantity("survival wind speed", unit="mph", low=50, high=250, **UNKNOWN)
    thrust_kip = Quantity("greatest thrust on the tower", unit="kip", low=0.02, high=100, **UNKNOWN)

    head_weight_lb = Quantity("weight of the whole head with rotor", unit="lb", low=30, high=40_000)
    rotor_weight_lb = Quantity("of which rotor", unit="lb", low=5, high=15_000, **UNKNOWN)
    center_above_flange_ft = Quantity(
        "center of gravity above yaw flange", unit="ft", low=-5, high=20, **UNKNOWN
    )
    center_ahead_ft = Quantity("center of gravity ahead of yaw axis", unit="ft", low=-20, high=20, **UNKNOWN)
    hub_above_flange_ft = Quantity("hub above yaw flange", unit="ft", low=0, high=20, default=2)
    hub_ahead_ft = Quantity("rotor ahead of yaw axis", unit="ft", low=-15, high=15, default=3)
    body_length_ft = Quantity("length of body", unit="ft", low=0.5, high=40, default=5)
    body_height_ft = Quantity("height of body", unit="ft", low=0.3, high=15, default=2)
    tail_ft = Quantity("tail behind yaw axis, 0 for none", unit="ft", low=0, high=40, default=0)
    wind_area_ft2 = Quantity(
        "wind area of the head, as it is lifted", unit="ft2", low=1, high=1000, **UNKNOWN
    )

    output = models.CharField("output", max_length=40, choices=OUTPUTS, default=OUTPUTS[0][0])
    output_v = Quantity("voltage at maximum output", unit="V", low=12, high=1000, **UNKNOWN)
    output_max_a = Quantity("maximum output current", unit="A", low=0.1, high=2000, **UNKNOWN)
    open_circuit_v = Quantity("open-circuit voltage, highest speed", unit="V", low=12, high=5000, **UNKNOWN)
    short_circuit_a = Quantity(
        "sustained short-circuit current, braked", unit="A", low=0, high=5000, **UNKNOWN
    )
    output_hz = Quantity("frequency at maximum output", unit="Hz", low=1, high=400, **UNKNOWN)
    regulates_speed = models.BooleanField("output circuit holds the rotor’s speed", null=True, blank=True)
    brake = models.CharField(
        "stops the rotor without the grid", max_length=40, choices=BRAKES, default="not known"
    )

    sound_dba = Quantity("rated sound level at 60 m", unit="dBA", low=20, high=90, **UNKNOWN)
    density_rule = models.CharField(
        "density correction", max_length=30, choices=DENSITY_RULES, default="power"
    )
    curve = models.JSONField("power curve", default=list)
    archived_on = models.DateField(null=True, blank=True)
    archived_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["archived_on", "name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(blades__gte=1) & models.Q(blades__lte=6), name="turbine_blades_range"
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.rated_kw:g} kW"

    def figures(self) -> dict[str, Any]:
        """All that a release freezes of the machine, as JSON values."""
        left_out = {"id", "archived_on", "archived_by"}
        return {
            f.name: f.value_from_object(self) for f in self._meta.concrete_fields if f.name not in left_out
        }


class TurbineDesign(Draft):
    """The machine of a job, a row of the catalogue; and how it is stopped, locked and bolted on."""

    PART = "turbine"
    FIGURES = TurbineFigures
    REPORTED = {"hub_ft": lambda figures: figures.hub_ft, "serial": lambda figures: figures.serial}

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="turbine")
    model = models.ForeignKey(
        TurbineModel, models.PROTECT, null=True, blank=True, related_name="designs", verbose_name="turbine"
    )
    hub_ft = Quantity("hub above grade", unit="ft", low=15, high=300, null=True, editable=False)
    serial = models.CharField("serial number", max_length=40, blank=True, editable=False)

    def __str__(self) -> str:
        return f"turbine of {self.job}"

    def inputs(self) -> dict[str, Any]:
        """With the machine's own figures, so that a release freezes them."""
        return {**super().inputs(), "machine": self.model.figures() if self.model else None}
