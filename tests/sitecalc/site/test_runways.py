"""Distances to runways, held to published runways and to the great circle."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from sitecalc.site.airspace import AirspaceCase, airspace
from sitecalc.site.runways import End, Strip, nearest_point, plane_ft, runways_near


def strip(airport: str, name: str, length: float | None, *ends: tuple[float | None, ...]) -> Strip:
    first, second = (
        End(latitude_deg=lat, longitude_deg=lon, elevation_ft=elevation)  # type: ignore[arg-type]
        for lat, lon, elevation in ends
    )
    return Strip(airport, name, "runway", length, (first, second))  # type: ignore[arg-type]


# repository davidmegginson/ourairports-data at 1fb3eea (public domain), runways.csv
KOWA = strip("KOWA", "12/30", 5500, (44.127602, -93.269302, 1106), (44.119202, -93.251900, 1145))
KRST_03 = strip("KRST", "03/21", 7301, (43.894901, -92.506897, 1315), (43.9128, -92.494598, 1282))
KRST_13 = strip("KRST", "13/31", 9034, (43.9202, -92.5121, 1268), (43.9035, -92.4867, 1304))
KFSD_03 = strip("KFSD", "03/21", 9000, (43.572601, -96.753700, 1423), (43.592899, -96.734299, 1429))
KFSD_09 = strip("KFSD", "09/27", 3151, (43.577999, -96.747498, 1422), (43.576, -96.736, 1421))
ALL = (KOWA, KRST_03, KRST_13, KFSD_03, KFSD_09)


@pytest.mark.parametrize("runway", ALL, ids=lambda s: f"{s.airport} {s.name}")
def test_ends_of_published_runways_are_their_length_apart(runway: Strip) -> None:
    first, second = runway.ends
    reach = plane_ft(first.latitude_deg, first.longitude_deg, second)  # type: ignore[arg-type]
    assert math.hypot(*reach) == pytest.approx(runway.length_ft, rel=0.01)  # type: ignore[misc]


def test_a_minute_of_latitude_is_a_nautical_mile() -> None:
    """WGS 84: a minute of latitude is 1,852 m within 0.6 % at every latitude of the US."""
    for latitude in (25.0, 45.0, 65.0):
        reach = plane_ft(
            latitude, -97, End(latitude_deg=latitude + 1 / 60, longitude_deg=-97, elevation_ft=0)
        )
        assert reach is not None
        assert math.hypot(*reach) * 0.3048 == pytest.approx(1852, rel=0.006)


def test_agrees_with_the_great_circle_of_the_mean_sphere() -> None:
    """Haversine formula, R = 6,371,009 m (IUGG mean radius): within half a percent over 4 miles."""
    lat1, lon1, lat2, lon2 = map(math.radians, (44.0, -97.0, 44.04, -96.95))
    h = math.sin((lat2 - lat1) / 2) ** 2 + math.cos(lat1) * math.cos(lat2) * math.sin((lon2 - lon1) / 2) ** 2
    great_circle_ft = 2 * 6_371_009 / 0.3048 * math.asin(math.sqrt(h))
    reach = plane_ft(44.0, -97.0, End(latitude_deg=44.04, longitude_deg=-96.95, elevation_ft=0))
    assert reach is not None
    assert math.hypot(*reach) == pytest.approx(great_circle_ft, rel=0.005)


def test_beside_the_middle_of_a_runway_the_distance_is_square_to_it() -> None:
    """Not to an end, nor to the airport's reference point: 3,000 ft east of a north-south runway."""
    runway = strip("TEST", "18/36", 6076, (44.0083333, -97.0, 1000), (43.9916667, -97.0, 1060))
    east = 3000 / (math.cos(math.radians(44)) * 6_387_000 / 0.3048)  # radius of the parallel's ellipsoid arc
    found = nearest_point(44.0, -97.0 + math.degrees(east), runway)
    assert found is not None
    assert found[0] == pytest.approx(3000, rel=0.002)
    assert found[1] == pytest.approx(1030, abs=1)


def test_all_runways_of_a_near_airport_carry_its_longest() -> None:
    """Three miles west of Sioux Falls: 09/27 is 3,151 ft, its class that of the 9,000 ft runway."""
    found = runways_near(ALL, 43.578, -96.81)
    assert [r.name for r in found] == ["KFSD 03/21", "KFSD 09/27"]
    assert {r.longest_ft for r in found} == {9000}
    case = AirspaceCase(height_ft=180, ground_ft=1430, runways=found, all_listed=True)
    assert airspace(case).notice is True


def test_what_has_no_coordinates_is_unknown_and_not_clear() -> None:
    lost = replace(
        KFSD_09,
        ends=(
            End(latitude_deg=None, longitude_deg=None, elevation_ft=None),
            End(latitude_deg=None, longitude_deg=None, elevation_ft=None),
        ),
    )
    found = runways_near((KFSD_03, lost), 43.578, -96.835)
    assert found[-1].distance_ft is None
    case = AirspaceCase(height_ft=100, ground_ft=1430, runways=found, all_listed=True)
    assert airspace(case).notice is None


def test_an_end_without_its_other_may_reach_a_runway_nearer() -> None:
    half = replace(KOWA, ends=(KOWA.ends[0], End(latitude_deg=None, longitude_deg=None, elevation_ft=None)))
    assert runways_near((half,), 44.127602, -93.16) != ()
    assert nearest_point(44.127602, -93.16, half) is None


def test_an_unpublished_length_leaves_the_class_open() -> None:
    found = runways_near((KFSD_03, replace(KFSD_09, length_ft=None)), 43.578, -96.81)
    assert {r.longest_ft for r in found} == {None}


def test_far_airports_are_left_out() -> None:
    assert runways_near(ALL, 46.0, -100.0) == ()
