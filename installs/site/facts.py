"""What a review of the site finds, as it is frozen on release, and the rows of the draft as objects."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sitecalc.cases import drawn_from, same_as
from sitecalc.site.figures import ThingRow, TrenchRow
from sitecalc.site.obstacles import Thing


@dataclass(frozen=True, kw_only=True)
class BandFacts:
    """Hours of a year and net energy with the wind from ``from_mph`` to ``to_mph``."""

    from_mph: float
    to_mph: float
    hours: float
    kwh: float


@dataclass(frozen=True, kw_only=True)
class EnergyFacts:
    """``monthly_kwh`` is empty where no means by month are given."""

    gross_kwh: float
    kept: float
    net_kwh: float
    capacity_factor: float
    low_kwh: float
    high_kwh: float
    monthly_kwh: tuple[float, ...]
    bands: tuple[BandFacts, ...]


@dataclass(frozen=True, kw_only=True)
class SiteFacts:
    """Heights are above grade. None: not known."""

    machine: str
    hub_ft: float
    rotor_diameter_ft: float
    tip_ft: float
    blade_bottom_ft: float
    setback_ft: float | None
    line_setback_ft: float
    notice: bool | None
    height_without_notice_ft: float | None
    sound_dba: float | None
    sound_at: str
    hub_mean_mph: float | None
    density_kg_m3: float | None
    power_density_w_m2: float | None
    energy: EnergyFacts | None
    trench_ft: float | None


@dataclass(frozen=True, kw_only=True)
class Standing(Thing):
    """What stands near, with its place. ``bearing_deg`` from north, clockwise; None: not drawn in plan."""

    bearing_deg: float | None = same_as(ThingRow, "bearing_deg")
    width_ft: float | None = same_as(ThingRow, "width_ft")

    @property
    def short(self) -> str:
        """The name as it fits a drawing."""
        return self.name if len(self.name) <= 32 else f"{self.name[:31].rstrip()}…"

    @property
    def at(self) -> tuple[float, float] | None:
        """Its nearest point in plan, east and north of the tower."""
        return None if self.bearing_deg is None else in_plan(self.bearing_deg, self.distance_ft)


def in_plan(bearing_deg: float, distance_ft: float) -> tuple[float, float]:
    """East and north of the tower."""
    turn = math.radians(bearing_deg)
    return distance_ft * math.sin(turn), distance_ft * math.cos(turn)


def trench_points(rows: Iterable[TrenchRow]) -> list[tuple[float, float]]:
    """From the tower through the points of the trench."""
    return [(0.0, 0.0), *(in_plan(row.bearing_deg, row.distance_ft) for row in rows)]


def trench_length_ft(rows: Sequence[TrenchRow]) -> float | None:
    """Along the trench; None where none is given."""
    points = trench_points(rows)
    if len(points) < 2:
        return None
    return sum(math.dist(a, b) for a, b in pairwise(points))


def standing_things(rows: Iterable[ThingRow]) -> tuple[Standing, ...]:
    return tuple(
        drawn_from(
            Standing,
            row,
            ours=row.ours == "yes",
        )
        for row in rows
    )
