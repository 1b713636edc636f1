"""What one side view of a job shows: plain figures, in feet, of the releases, else of the drafts.

Heights are above grade at the tower, distances from the tower's axis. Nothing is made up: what no figure says
is None, and is not drawn.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Any

from sitecalc.foundation.figures import FoundationFigures
from sitecalc.ground_station.figures import GroundStationFigures
from sitecalc.site.figures import SiteFigures, ThingRow
from sitecalc.tower.figures import TowerFigures


class State(StrEnum):
    """How far a part is. The drawing has another line or hatch for each, and always the word."""

    NOTHING = "nothing known"
    DRAFTED = "drafted"
    RELEASED = "released"
    UNDER_WAY = "under way"
    BUILT = "built"
    HELD = "held"
    VOID = "void"


@dataclass(frozen=True, kw_only=True)
class Pad:
    side_ft: float
    thickness_ft: float
    top_ft: float
    outline: str = "rectangle"
    pedestal_side_ft: float | None = None
    pedestal_height_ft: float = 0.0

    @property
    def bottom_ft(self) -> float:
        return self.top_ft - self.thickness_ft

    @property
    def seat_ft(self) -> float:
        """Where the tower stands on it."""
        return self.top_ft + self.pedestal_height_ft


@dataclass(frozen=True, kw_only=True)
class Section:
    length_ft: float
    bottom_ft: float
    top_ft: float


@dataclass(frozen=True, kw_only=True)
class Tower:
    kind: str
    sections: tuple[Section, ...]
    seat_ft: float = 0.0

    @property
    def is_tube(self) -> bool:
        return self.kind == "tube"

    @property
    def length_ft(self) -> float:
        return sum(section.length_ft for section in self.sections)

    @property
    def top_ft(self) -> float:
        return self.seat_ft + self.length_ft


@dataclass(frozen=True, kw_only=True)
class Head:
    """``ahead_ft`` is the hub before the tower's axis, toward the wind; below 0 of a downwind rotor."""

    name: str
    hub_ft: float
    rotor_ft: float
    ahead_ft: float
    above_flange_ft: float
    body_length_ft: float
    body_height_ft: float
    tail_ft: float

    @property
    def tip_ft(self) -> float:
        return self.hub_ft + self.rotor_ft / 2


@dataclass(frozen=True, kw_only=True)
class CranePad:
    distance_ft: float
    side_ft: float


@dataclass(frozen=True, kw_only=True)
class Trench:
    """``distance_ft`` is where it ends as the tower sees it, ``length_ft`` what is dug."""

    distance_ft: float
    length_ft: float
    cover_ft: float | None = None


@dataclass(frozen=True, kw_only=True)
class Thing:
    """``width_ft`` and ``height_ft`` are None where nobody gave them."""

    name: str
    distance_ft: float
    height_ft: float | None = None
    width_ft: float | None = None
    ground_ft: float = 0.0
    has_station: bool = False


@dataclass(frozen=True)
class Scene:
    pad: Pad | None = None
    tower: Tower | None = None
    head: Head | None = None
    crane_pad: CranePad | None = None
    trench: Trench | None = None
    buildings: tuple[Thing, ...] = ()
    line: Thing | None = None
    station: bool = False  # whether a ground station is drawn at all

    @property
    def is_empty(self) -> bool:
        drawn = (self.pad, self.tower, self.head, self.crane_pad, self.trench, self.line)
        return not any(drawn) and not self.buildings and not self.station

    @property
    def of_ours(self) -> tuple[Thing, ...]:
        """The building that the ground station is in."""
        return tuple(thing for thing in self.buildings if thing.has_station)

    @property
    def top_ft(self) -> float:
        """The highest that is drawn."""
        tops = [self.head.tip_ft if self.head else 0.0, self.tower.top_ft if self.tower else 0.0]
        near = [*self.buildings, *([self.line] if self.line else [])]
        return max(20.0, *tops, *((thing.height_ft or 0.0) + thing.ground_ft for thing in near))


MOST_BUILDINGS = 3


def scene_of(figures: Mapping[str, Any], machine: Mapping[str, Any] | None) -> Scene:
    """From the figures of each part by its key (its dataclass), and the machine's as releases freeze them."""
    pad = _pad(figures.get("foundation"))
    site: SiteFigures | None = figures.get("site")
    station: GroundStationFigures | None = figures.get("ground_station")
    trench = _trench(site, station) if site else None
    hub_ft = figures["turbine"].hub_ft if "turbine" in figures else None
    return Scene(
        pad=pad,
        tower=_tower(figures.get("tower"), pad.seat_ft if pad else 0.0),
        head=_head(machine, hub_ft),
        crane_pad=_crane_pad(site) if site else None,
        trench=trench,
        buildings=_buildings(site, trench) if site else (),
        line=_line(site) if site else None,
        station=station is not None,
    )


def _pad(figures: FoundationFigures | None) -> Pad | None:
    if figures is None:
        return None
    stands = bool(figures.pedestal) and figures.pedestal_height_ft is not None
    return Pad(
        side_ft=figures.side_ft,
        thickness_ft=figures.thickness_ft,
        top_ft=figures.top_above_grade_ft,
        outline=figures.outline,
        pedestal_side_ft=figures.pedestal_side_ft if stands else None,
        pedestal_height_ft=(figures.pedestal_height_ft or 0.0) if stands else 0.0,
    )


def _tower(figures: TowerFigures | None, seat_ft: float) -> Tower | None:
    if figures is None or not figures.sections:
        return None
    sections = (
        Section(length_ft=row.length_ft, bottom_ft=row.bottom_in / 12, top_ft=row.top_in / 12)
        for row in figures.sections
    )
    return Tower(kind=figures.kind, sections=tuple(sections), seat_ft=seat_ft)


def _head(machine: Mapping[str, Any] | None, hub_ft: float | None) -> Head | None:
    if machine is None or hub_ft is None:
        return None
    return Head(
        name=machine["name"],
        hub_ft=hub_ft,
        rotor_ft=machine["rotor_diameter_ft"],
        ahead_ft=machine["hub_ahead_ft"],
        above_flange_ft=machine["hub_above_flange_ft"],
        body_length_ft=machine["body_length_ft"],
        body_height_ft=machine["body_height_ft"],
        tail_ft=machine["tail_ft"],
    )


def _crane_pad(site: SiteFigures) -> CranePad | None:
    if site.pad_distance_ft is None or site.pad_ft is None:
        return None
    return CranePad(distance_ft=site.pad_distance_ft, side_ft=site.pad_ft)


def _trench(site: SiteFigures, station: GroundStationFigures | None) -> Trench | None:
    """Along its points; how deep its conductors lie is the least cover of the buried runs."""
    if not site.trench:
        return None
    points = [(0.0, 0.0), *(_in_plan(row.bearing_deg, row.distance_ft) for row in site.trench)]
    runs = station.runs if station else ()
    covers = [run.cover_in for run in runs if run.location != "not buried" and run.cover_in is not None]
    return Trench(
        distance_ft=site.trench[-1].distance_ft,
        length_ft=sum(math.dist(a, b) for a, b in pairwise(points)),
        cover_ft=min(covers) / 12 if covers else None,
    )


def _in_plan(bearing_deg: float, distance_ft: float) -> tuple[float, float]:
    turn = math.radians(bearing_deg)
    return distance_ft * math.sin(turn), distance_ft * math.cos(turn)


def _buildings(site: SiteFigures, trench: Trench | None) -> tuple[Thing, ...]:
    """The owner's own, nearest first; the ground station is in the one at the end of the trench."""
    own = [row for row in site.things if row.kind in ("dwelling", "building") and row.ours == "yes"]
    end = _in_plan(site.trench[-1].bearing_deg, site.trench[-1].distance_ft) if site.trench else None
    ended = min(own, key=lambda row: _off(row, end), default=None) if end else None
    near = sorted(own, key=lambda row: (row is not ended, row.distance_ft))[:MOST_BUILDINGS]
    return tuple(
        _thing(row, has_station=row is ended) for row in sorted(near, key=lambda row: row.distance_ft)
    )


def _off(row: ThingRow, end: tuple[float, float] | None) -> float:
    """How far from the end of the trench; one of no known bearing is no nearer than any."""
    if row.bearing_deg is None or end is None:
        return math.inf
    return math.dist(_in_plan(row.bearing_deg, row.distance_ft), end)


def _line(site: SiteFigures) -> Thing | None:
    lines = [row for row in site.things if row.kind == "overhead line"]
    nearest = min(lines, key=lambda row: row.distance_ft, default=None)
    return _thing(nearest) if nearest else None


def _thing(row: ThingRow, *, has_station: bool = False) -> Thing:
    return Thing(
        name=row.name,
        distance_ft=row.distance_ft,
        height_ft=row.height_ft,
        width_ft=row.width_ft,
        ground_ft=row.ground_ft or 0.0,  # level with the tower's base unless somebody says otherwise
        has_station=has_station,
    )
