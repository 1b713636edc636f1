"""The figures of the site: lot and neighbors, rules of the place, wind, airspace, ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.inputs import quantity
from sitecalc.site.words import ClearanceDatum, Datum, Kind, Law, SoundAt, Use


@dataclass(frozen=True, kw_only=True)
class ThingRow:
    """Something that stands near the tower."""

    name: str = quantity("", "What", size=16)
    kind: Kind = quantity("", "Kind")
    distance_ft: float = quantity("ft", "Nearest point", low=0, high=30_000)
    bearing_deg: float | None = quantity("deg", "Bearing", low=0, high=360, default=None)
    height_ft: float | None = quantity("ft", "Height", low=0, high=600, default=None)
    ground_ft: float | None = quantity("ft", "Ground above tower base", low=-300, high=300, default=None)
    width_ft: float | None = quantity("ft", "Width", low=1, high=5000, default=None)
    ours: Literal["yes", "no"] | Literal[""] = quantity("", "Owner’s own", default="")


@dataclass(frozen=True, kw_only=True)
class Runway:
    """A runway or landing area of a public-use, military or planned airport. None is unknown, never clear."""

    name: str = quantity("", "airport and runway", label="Airport and runway", size=20)
    use: Use = quantity("", "runway or heliport", label="Kind")
    distance_ft: float | None = quantity(
        "ft",
        "tower to the nearest point of the runway",
        low=0,
        high=500_000,
        default=None,
        label="Nearest point",
    )
    elevation_ft: float | None = quantity(
        "ft",
        "runway's elevation at that point above sea level",
        low=-300,
        high=14_000,
        default=None,
        label="Its elevation",
    )
    longest_ft: float | None = quantity(
        "ft",
        "actual length of the airport's longest runway",
        low=100,
        high=20_000,
        default=None,
        label="Airport’s longest",
    )


@dataclass(frozen=True, kw_only=True)
class MonthsRow:
    """One mean a month."""

    jan: float = quantity("mph", "Jan", low=1, high=45, size=4)
    feb: float = quantity("mph", "Feb", low=1, high=45, size=4)
    mar: float = quantity("mph", "Mar", low=1, high=45, size=4)
    apr: float = quantity("mph", "Apr", low=1, high=45, size=4)
    may: float = quantity("mph", "May", low=1, high=45, size=4)
    jun: float = quantity("mph", "Jun", low=1, high=45, size=4)
    jul: float = quantity("mph", "Jul", low=1, high=45, size=4)
    aug: float = quantity("mph", "Aug", low=1, high=45, size=4)
    sep: float = quantity("mph", "Sep", low=1, high=45, size=4)
    oct: float = quantity("mph", "Oct", low=1, high=45, size=4)
    nov: float = quantity("mph", "Nov", low=1, high=45, size=4)
    dec: float = quantity("mph", "Dec", low=1, high=45, size=4)

    @property
    def means(self) -> tuple[float, ...]:
        return tuple(vars(self).values())


@dataclass(frozen=True, kw_only=True)
class TrenchRow:
    """A point of the trench, as the tower sees it."""

    bearing_deg: float = quantity("deg", "Bearing from the tower", low=0, high=360)
    distance_ft: float = quantity("ft", "Distance from the tower", low=0, high=5000)


@dataclass(frozen=True, kw_only=True)
class SiteFigures:
    """Distances are from the center of the tower's base. What is not given is never taken as clear."""

    north_ft: float | None = quantity(
        "ft", "property line, north", low=0, high=30_000, default=None, balloon=1
    )
    east_ft: float | None = quantity("ft", "property line, east", low=0, high=30_000, default=None, balloon=1)
    south_ft: float | None = quantity(
        "ft", "property line, south", low=0, high=30_000, default=None, balloon=1
    )
    west_ft: float | None = quantity("ft", "property line, west", low=0, high=30_000, default=None, balloon=1)
    things: tuple[ThingRow, ...] = quantity("", "what stands near", default=(), balloon=2)
    surveyed_ft: float | None = quantity(
        "ft",
        "list complete within",
        low=0,
        high=30_000,
        default=None,
        help="All that stands within this distance is in the list.",
        balloon=2,
    )
    no_line_within_ft: float | None = quantity(
        "ft",
        "no overhead line within",
        low=0,
        high=30_000,
        default=None,
        help="Walked and looked at; needed only where no line is in the list.",
        balloon=2,
    )
    datum: Datum = quantity("", "setback height is measured to", default="blade tip", balloon=3)
    property_multiple: float | None = quantity(
        "",
        "setback multiple, property lines",
        low=0,
        high=10,
        default=None,
        help="As the ordinance has it; 0 where it has none.",
        balloon=3,
    )
    dwelling_multiple: float | None = quantity(
        "",
        "setback multiple, neighboring dwellings",
        low=0,
        high=20,
        default=None,
        help="0 where it has none.",
        balloon=3,
    )
    road_multiple: float | None = quantity(
        "", "setback multiple, roads", low=0, high=10, default=None, help="0 where it has none.", balloon=3
    )
    line_multiple: float | None = quantity(
        "",
        "setback multiple, overhead lines",
        low=0,
        high=10,
        default=None,
        help="Empty: 1.1 of the blade tip.",
        balloon=3,
    )
    base_half_ft: float = quantity(
        "ft",
        "deduct to the edge of the base",
        low=0,
        high=30,
        default=0.0,
        help="Where the rule measures from the edge; 0 from the center.",
        balloon=3,
    )
    ordinance: str = quantity("", "ordinance and section", default="", most=120, balloon=3)
    clearance_ft: float = quantity("ft", "clearance over obstacles", low=0, high=100, default=30.0, balloon=4)
    clearance_datum: ClearanceDatum = quantity(
        "", "clearance is measured from", default="blade bottom", balloon=4
    )
    obstacle_radius_ft: float = quantity(
        "ft", "obstacles within", low=100, high=3000, default=500.0, balloon=4
    )
    growth_ft: float = quantity("ft", "growth of trees", low=0, high=60, default=10.0, balloon=4)
    mean_mph: float | None = quantity(
        "mph",
        "mean wind of the year",
        low=2,
        high=35,
        default=None,
        help="At open ground of this site, with its source.",
        balloon=5,
    )
    wind_at_ft: float | None = quantity(
        "ft", "height of the wind figure", low=6, high=700, default=None, balloon=5
    )
    law: Law = quantity("", "shear law to the hub", default="power law", balloon=5)
    exponent: float | None = quantity(
        "",
        "exponent, power law",
        low=0,
        high=0.6,
        default=0.2,
        help="0.14 smooth, 0.20 crops and hedges, 0.25 wooded.",
        balloon=5,
    )
    roughness_ft: float | None = quantity(
        "ft", "roughness length, log law", low=0.0001, high=10, default=None, balloon=5
    )
    displacement_ft: float = quantity(
        "ft", "displacement height, log law", low=0, high=100, default=0.0, balloon=5
    )
    second_mph: float | None = quantity(
        "mph", "mean at a second height", low=2, high=35, default=None, balloon=5
    )
    second_at_ft: float | None = quantity("ft", "second height", low=6, high=700, default=None, balloon=5)
    weibull_k: float = quantity(
        "", "Weibull shape", low=1.2, high=4, default=2.0, help="2 where nothing better is known.", balloon=5
    )
    monthly: tuple[MonthsRow, ...] = quantity(
        "", "means by month", default=(), blank_rows=1, label="Means by month, at the same height", balloon=5
    )
    elevation_ft: float | None = quantity(
        "ft", "ground at the tower above sea level", low=-300, high=12_000, default=None, balloon=6
    )
    temperature_f: float | None = quantity(
        "F",
        "mean air temperature",
        low=-10,
        high=90,
        default=None,
        help="Empty: standard atmosphere.",
        balloon=5,
    )
    downtime_pct: float = quantity("%", "loss: machine or grid down", low=0, high=50, default=4.0, balloon=5)
    electrical_pct: float = quantity(
        "%", "loss: wiring and transformer", low=0, high=30, default=4.0, balloon=5
    )
    turbulence_pct: float = quantity(
        "%", "loss: turbulence, obstacles", low=0, high=50, default=10.0, balloon=5
    )
    icing_pct: float = quantity("%", "loss: ice and dirt", low=0, high=40, default=2.0, balloon=5)
    other_pct: float = quantity("%", "loss: other", low=0, high=50, default=0.0, balloon=5)
    latitude_deg: float | None = quantity(
        "deg", "latitude of the tower", low=17, high=72, default=None, balloon=6
    )
    longitude_deg: float | None = quantity(
        "deg", "longitude, west is negative", low=-180, high=-64, default=None, balloon=6
    )
    runways: tuple[Runway, ...] = quantity("", "runways and heliports", default=(), blank_rows=1, balloon=6)
    airports_listed: bool = quantity("", "every airport within 20,000 ft is listed", default=False, balloon=6)
    determined_ft: float | None = quantity(
        "ft",
        "height in the FAA’s determination",
        low=1,
        high=700,
        default=None,
        help="Above ground, in its determination of no hazard.",
        balloon=6,
    )
    determination: str = quantity("", "its study number", default="", most=40, balloon=6)
    sound_at: SoundAt = quantity("", "sound is measured at the", default="property line", balloon=7)
    sound_limit_dba: float | None = quantity("dBA", "limit there", low=20, high=90, default=None, balloon=7)
    sound_ordinance: str = quantity("", "ordinance for sound", default="", most=120, balloon=7)
    trench: tuple[TrenchRow, ...] = quantity(
        "",
        "trench from the tower",
        default=(),
        blank_rows=1,
        label="Trench, from the tower through",
        balloon=8,
    )
    pad_bearing_deg: float | None = quantity(
        "deg", "crane pad, bearing from the tower", low=0, high=360, default=None, balloon=9
    )
    pad_distance_ft: float | None = quantity(
        "ft", "crane pad, its center off", low=0, high=300, default=None, balloon=9
    )
    pad_ft: float | None = quantity("ft", "crane pad, side", low=6, high=200, default=None, balloon=9)
    access: str = quantity(
        "", "access for crane and trucks", default="", most=200, balloon=9, lines=3, columns=14
    )
    frost_ft: float | None = quantity(
        "ft",
        "frost depth",
        low=0,
        high=12,
        default=None,
        help="From the building official, with the source.",
        balloon=10,
    )
    codes: str = quantity(
        "",
        "building codes in force, with edition",
        default="",
        most=200,
        help="As the authority adopted them.",
        balloon=10,
        lines=2,
        columns=40,
    )
    legal: str = quantity(
        "", "legal description of the lot", default="", most=200, balloon=10, lines=2, columns=40
    )
    soil: str = quantity("", "soil as found", default="", most=200, balloon=10, lines=3, columns=40)
