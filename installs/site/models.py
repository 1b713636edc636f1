"""The draft of the site: lot and neighbors, rules of the place, wind, airspace, ground."""

from __future__ import annotations

from typing import Any, get_args

from django.db import models

from installs.jobs.drafts import Draft
from installs.measures import Quantity
from installs.turbine.machine import turbine_given
from sitecalc.site.obstacles import ClearanceDatum
from sitecalc.site.siting import Datum
from sitecalc.site.wind import Law

UNKNOWN: dict[str, Any] = {"null": True, "blank": True}
SOUND_PLACES = ("property line", "nearest neighboring dwelling")


def words(choices: Any) -> list[tuple[str, str]]:
    return [(choice, choice) for choice in choices]


def feet(verbose: str, low: float = 0, high: float = 30_000, **more: Any) -> Quantity:
    return Quantity(verbose, unit="ft", low=low, high=high, **more)


def percent(verbose: str, high: float, default: float) -> Quantity:
    return Quantity(verbose, unit="%", low=0, high=high, default=default)


class SiteDesign(Draft):
    """Distances are from the center of the tower's base. What is not given is never taken as clear."""

    PART = "site"

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="site")

    north_ft = feet("property line, north", **UNKNOWN)
    east_ft = feet("property line, east", **UNKNOWN)
    south_ft = feet("property line, south", **UNKNOWN)
    west_ft = feet("property line, west", **UNKNOWN)
    # rows: see columns.py
    things = models.JSONField("what stands near", default=list, blank=True)
    surveyed_ft = feet("list complete within", **UNKNOWN)
    no_line_within_ft = feet("no overhead line within", **UNKNOWN)

    datum = models.CharField(
        "setback from the height to the", max_length=12, choices=words(get_args(Datum)), default="blade tip"
    )
    property_multiple = Quantity("times, to property lines", low=0, high=10, **UNKNOWN)
    dwelling_multiple = Quantity("times, to neighboring dwellings", low=0, high=20, **UNKNOWN)
    road_multiple = Quantity("times, to roads", low=0, high=10, **UNKNOWN)
    line_multiple = Quantity("times, to overhead lines", low=0, high=10, **UNKNOWN)
    base_half_ft = feet("less, to the base’s edge", high=30, default=0)
    ordinance = models.CharField("ordinance and section", max_length=120, blank=True)
    clearance_ft = feet("clearance over obstacles", high=100, default=30)
    clearance_datum = models.CharField(
        "kept by the", max_length=14, choices=words(get_args(ClearanceDatum)), default="blade bottom"
    )
    obstacle_radius_ft = feet("obstacles within", low=100, high=3000, default=500)
    growth_ft = feet("growth of trees", high=60, default=10)

    mean_mph = Quantity("mean wind of the year", unit="mph", low=2, high=35, **UNKNOWN)
    wind_at_ft = feet("known at", low=6, high=700, **UNKNOWN)
    law = models.CharField(
        "carried to the hub by", max_length=12, choices=words(get_args(Law)), default="power law"
    )
    exponent = Quantity("exponent, power law", low=0, high=0.6, null=True, blank=True, default=0.2)
    roughness_ft = Quantity("roughness length, log law", unit="ft", low=0.0001, high=10, **UNKNOWN)
    displacement_ft = feet("displacement height, log law", high=100, default=0)
    second_mph = Quantity("mean at a second height", unit="mph", low=2, high=35, **UNKNOWN)
    second_at_ft = feet("second height", low=6, high=700, **UNKNOWN)
    weibull_k = Quantity("Weibull shape", low=1.2, high=4, default=2)
    monthly = models.JSONField("means by month", default=list, blank=True)
    elevation_ft = feet("ground at the tower above sea level", low=-300, high=12_000, **UNKNOWN)
    temperature_f = Quantity("mean air temperature", unit="F", low=-10, high=90, **UNKNOWN)
    downtime_pct = percent("lost: machine or grid down", 50, 4)
    electrical_pct = percent("lost: wiring and transformer", 30, 4)
    turbulence_pct = percent("lost: turbulence, obstacles", 50, 10)
    icing_pct = percent("lost: ice and dirt", 40, 2)
    other_pct = percent("lost: other", 50, 0)

    latitude_deg = Quantity("latitude of the tower", unit="deg", low=17, high=72, **UNKNOWN)
    longitude_deg = Quantity("longitude, west is negative", unit="deg", low=-180, high=-64, **UNKNOWN)
    runways = models.JSONField("runways and heliports", default=list, blank=True)
    airports_listed = models.BooleanField("every airport within 20,000 ft is listed", default=False)
    determined_ft = feet("height in the FAA’s determination", low=1, high=700, **UNKNOWN)
    determination = models.CharField("its study number", max_length=40, blank=True)

    sound_at = models.CharField(
        "sound is measured at the", max_length=30, choices=words(SOUND_PLACES), default=SOUND_PLACES[0]
    )
    sound_limit_dba = Quantity("limit there", unit="dBA", low=20, high=90, **UNKNOWN)
    sound_ordinance = models.CharField("ordinance for sound", max_length=120, blank=True)

    trench = models.JSONField("trench from the tower", default=list, blank=True)
    pad_bearing_deg = Quantity("crane pad, bearing from the tower", unit="deg", low=0, high=360, **UNKNOWN)
    pad_distance_ft = feet("crane pad, its center off", high=300, **UNKNOWN)
    pad_ft = feet("crane pad, side", low=6, high=200, **UNKNOWN)
    access = models.CharField("access for crane and trucks", max_length=200, blank=True)
    frost_ft = feet("frost depth", high=12, **UNKNOWN)
    soil = models.CharField("soil as found", max_length=200, blank=True)

    def __str__(self) -> str:
        return f"site of {self.job}"

    def inputs(self) -> dict[str, Any]:
        """With the machine and its hub height as the turbine's draft has them: a release freezes them."""
        given = turbine_given(self.job)
        turbine = given and {"machine": vars(given.machine), "hub_ft": given.hub_ft, "source": given.source}
        return {**super().inputs(), "turbine": turbine}
