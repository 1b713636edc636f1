"""An invented lot for the tests of this room."""

from __future__ import annotations

from typing import Any

from installs.jobs.models import Job
from installs.site.models import SiteDesign


def thing(name: str, kind: str, distance: float, bearing: float | None, **other: Any) -> dict[str, Any]:
    return {
        "name": name,
        "kind": kind,
        "distance_ft": distance,
        "bearing_deg": bearing,
        "height_ft": None,
        "ground_ft": None,
        "width_ft": None,
        "ours": "",
        **other,
    }


def things() -> list[dict[str, Any]]:
    return [
        thing("house", "dwelling", 320.0, 235.0, height_ft=22.0, width_ft=48.0, ours="yes"),
        thing("line, 7.2 kV", "overhead line", 480.0, 270.0, height_ft=30.0),
        thing("County Road 12", "road", 660.0, 180.0, width_ft=24.0),
        thing("shelterbelt", "trees", 350.0, 210.0, height_ft=38.0, ground_ft=-4.0, width_ft=180.0),
    ]


def figures(**change: Any) -> dict[str, Any]:
    return {
        "north_ft": 162.0,
        "east_ft": 454.0,
        "south_ft": 700.0,
        "west_ft": 520.0,
        "things": things(),
        "surveyed_ft": 700.0,
        "property_multiple": 1.1,
        "dwelling_multiple": 1.5,
        "road_multiple": 1.1,
        "ordinance": "Juniper County 9.14 (invented)",
        "mean_mph": 12.4,
        "wind_at_ft": 98.0,
        "exponent": 0.18,
        "elevation_ft": 1450.0,
        "airports_listed": True,
        "sound_limit_dba": 50.0,
        "trench": [{"bearing_deg": 90.0, "distance_ft": 30.0}, {"bearing_deg": 0.0, "distance_ft": 40.0}],
        **change,
    }


def make_site(job: Job, **change: Any) -> SiteDesign:
    return SiteDesign.objects.create(job=job, **figures(**change))
