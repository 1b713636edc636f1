"""Runways near a point, from their ends' coordinates; what has no coordinates is listed as unknown.

Distances are on the tangent plane of the WGS 84 ellipsoid at the point: within 10 miles the error is under a
foot or two, far less than that of the published coordinates.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.inputs import quantity
from sitecalc.site.airspace import FARTHEST_FT
from sitecalc.site.figures import Runway
from sitecalc.site.words import Use

SEMI_MAJOR_FT = 6_378_137 / 0.3048
ECCENTRICITY_2 = 0.00669437999014
WITHIN_FT = FARTHEST_FT + 5_000.0  # published coordinates are not surveys


@dataclass(frozen=True, kw_only=True)
class End:
    """One end of a runway anywhere on earth, as published; None is not published."""

    latitude_deg: float | None = quantity("deg", "latitude", low=-90, high=90)
    longitude_deg: float | None = quantity("deg", "longitude, west is negative", low=-180, high=180)
    # the lists hold the whole earth: from the shore of the Dead Sea to above every airport there is
    elevation_ft: float | None = quantity("ft", "elevation above sea level", low=-1500, high=20_000)

    @property
    def placed(self) -> bool:
        return self.latitude_deg is not None and self.longitude_deg is not None


@dataclass(frozen=True)
class Strip:
    """A runway or landing pad as published, with both of its ends. Closed ones are left out before."""

    airport: str
    name: str
    use: Use
    length_ft: float | None = same_as(Runway, "longest_ft", required=True)
    ends: tuple[End, End] = quantity("", "its two ends")


def plane_ft(latitude: float, longitude: float, end: End) -> tuple[float, float] | None:
    """East and north of the point in ft; None for an end without coordinates."""
    if end.latitude_deg is None or end.longitude_deg is None:
        return None
    phi = math.radians((latitude + end.latitude_deg) / 2)
    bend = 1 - ECCENTRICITY_2 * math.sin(phi) ** 2
    meridian = SEMI_MAJOR_FT * (1 - ECCENTRICITY_2) / bend**1.5
    parallel = SEMI_MAJOR_FT / math.sqrt(bend) * math.cos(phi)
    turn = (end.longitude_deg - longitude + 180) % 360 - 180
    return math.radians(turn) * parallel, math.radians(end.latitude_deg - latitude) * meridian


def nearest_point(latitude: float, longitude: float, strip: Strip) -> tuple[float, float | None] | None:
    """(distance in ft, elevation there) of the strip's nearest point; None unless both ends are placed.

    A pad of one placed end is taken as that point.
    """
    places = [plane_ft(latitude, longitude, end) for end in strip.ends]
    a, b = places
    if strip.use == "heliport" and (a is None) != (b is None):
        end, place = next((e, p) for e, p in zip(strip.ends, places, strict=True) if p is not None)
        return math.hypot(*place), end.elevation_ft
    if a is None or b is None:
        return None
    along = (b[0] - a[0], b[1] - a[1])
    length2 = along[0] ** 2 + along[1] ** 2
    share = 0.0 if length2 == 0 else -(a[0] * along[0] + a[1] * along[1]) / length2
    share = min(max(share, 0.0), 1.0)
    distance = math.hypot(a[0] + share * along[0], a[1] + share * along[1])
    low, high = strip.ends[0].elevation_ft, strip.ends[1].elevation_ft
    if low is None or high is None:
        return distance, low if high is None else high
    return distance, low + share * (high - low)


def runways_near(
    strips: Iterable[Strip], latitude: float, longitude: float, *, within_ft: float = WITHIN_FT
) -> tuple[Runway, ...]:
    """Every runway of each airport that has one placed end or more within ``within_ft``, the nearest first.

    Each carries its airport's longest published length, None if one of that airport's is not published.
    Those without coordinates come last with no distance: unknown, never clear.
    """
    airports: dict[str, list[Strip]] = defaultdict(list)
    for strip in strips:
        airports[strip.airport].append(strip)
    found = [
        _runway(strip, mine, latitude, longitude)
        for mine in airports.values()
        if any(_is_near(strip, latitude, longitude, within_ft) for strip in mine)
        for strip in mine
    ]
    return tuple(sorted(found, key=lambda r: (r.distance_ft is None, r.distance_ft or 0.0, r.name)))


def _is_near(strip: Strip, latitude: float, longitude: float, within_ft: float) -> bool:
    nearest = nearest_point(latitude, longitude, strip)
    if nearest is not None:
        return nearest[0] <= within_ft
    places = (plane_ft(latitude, longitude, end) for end in strip.ends)
    # the end that is not placed may lie the runway's length nearer
    reach = within_ft + (strip.length_ft or FARTHEST_FT)
    return any(place is not None and math.hypot(*place) <= reach for place in places)


def _runway(strip: Strip, airport: list[Strip], latitude: float, longitude: float) -> Runway:
    lengths = [s.length_ft for s in airport if s.use == "runway"]
    known = [length for length in lengths if length is not None]
    nearest = nearest_point(latitude, longitude, strip)
    return Runway(
        name=f"{strip.airport} {strip.name}",
        use=strip.use,
        distance_ft=nearest[0] if nearest else None,
        elevation_ft=nearest[1] if nearest else None,
        longest_ft=max(known) if known and len(known) == len(lengths) else None,
    )
