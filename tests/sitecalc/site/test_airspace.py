"""Notice to the FAA: 14 CFR 77.9, both sides of every edge."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.site.airspace import AirspaceCase, airspace, surface
from sitecalc.site.figures import Runway

LEVEL = AirspaceCase(height_ft=140, ground_ft=1000, all_listed=True)


def near(distance_ft: float, longest_ft: float | None = 5000, **fields: float | str | None) -> Runway:
    values = {"name": "Test 13/31", "use": "runway", "elevation_ft": 1000.0, **fields}
    return Runway(distance_ft=distance_ft, longest_ft=longest_ft, **values)  # type: ignore[arg-type]


def test_200_ft_and_not_a_foot_more() -> None:
    """77.9(a): more than 200 ft above ground."""
    assert airspace(replace(LEVEL, height_ft=200)).notice is False
    assert airspace(replace(LEVEL, height_ft=200.1)).notice is True


@pytest.mark.parametrize(
    ("longest", "slope", "reach"),
    [(3200, 50, 10_000), (3200.1, 100, 20_000), (9000, 100, 20_000), (1000, 50, 10_000)],
)
def test_class_follows_from_the_longest_runway(longest: float, slope: float, reach: float) -> None:
    """77.9(b)(1) and (2): more than 3,200 ft in actual length, or no more than that."""
    assert surface("runway", longest) == (slope, reach)


def test_a_short_runway_of_a_large_airport_is_on_the_100_to_1_surface() -> None:
    """Sioux Falls 09/27 is 3,151 ft, its longest 9,000 ft: class by the longest, distance by this one."""
    found = airspace(replace(LEVEL, runways=(near(12_000, 9000),)))
    assert found.notice is True and found.allowed_ft == 120


@pytest.mark.parametrize(
    ("height", "runway", "notice"),
    [
        (140, near(14_000), False),  # on the surface is not above it
        (140, near(13_999), True),
        (165, near(16_500), False),
        (165, near(16_499), True),
        (140, near(7_000, 3200), False),
        (140, near(6_999, 3200), True),
        (199, near(20_000), False),
        (140, near(20_000, elevation_ft=900), True),  # 20,000 ft is inside
        (140, near(20_001, elevation_ft=900), False),
        (140, near(10_001, 3200, elevation_ft=500), False),
        (140, near(5_000, use="heliport"), False),
        (140, near(3_499, use="heliport"), True),
        (140, near(5_001, use="heliport", elevation_ft=800), False),
    ],
)
def test_surfaces(height: float, runway: Runway, notice: bool) -> None:
    """77.9(b)(1) 100 to 1 for 20,000 ft, (2) 50 to 1 for 10,000 ft, (3) 25 to 1 for 5,000 ft."""
    assert airspace(replace(LEVEL, height_ft=height, runways=(runway,))).notice is notice


def test_terrain_counts() -> None:
    """Site 60 ft above the runway, 16,000 ft off: 200 ft over the runway against 160."""
    runway = near(16_000)
    assert airspace(replace(LEVEL, ground_ft=1060, runways=(runway,))).notice is True
    assert airspace(replace(LEVEL, runways=(runway,))).notice is False


def test_ground_above_the_surface_is_said_so() -> None:
    """Site 500 ft over the runway, 16,000 ft off: the surface is 340 ft below the ground."""
    found = airspace(replace(LEVEL, ground_ft=1500, runways=(near(16_000),)))
    assert found.notice is True and found.allowed_ft == -340
    assert "on ground 340 ft above" in found.checks[0].note


def test_notice_fails_until_the_determination_covers_the_height() -> None:
    high = replace(LEVEL, height_ft=210)
    found = airspace(high).checks[0]
    assert found.verdict is Verdict.FAILS and "45 days" in found.note
    assert airspace(replace(high, determined_ft=210, determination="2031-TEST-1-OE")).checks[0].passes
    assert airspace(replace(high, determined_ft=205)).checks[0].verdict is Verdict.FAILS


@pytest.mark.parametrize(
    "case",
    [
        replace(LEVEL, all_listed=False),
        replace(LEVEL, runways=(Runway(name="Plum", use="runway", longest_ft=5000, elevation_ft=1000),)),
        replace(LEVEL, runways=(near(12_000, 3200), near(15_000, elevation_ft=None))),
        replace(LEVEL, ground_ft=None, runways=(near(19_000),)),
    ],
)
def test_unknown_is_never_clear(case: AirspaceCase) -> None:
    found = airspace(case)
    assert found.notice is None and found.checks[0].verdict is Verdict.NOT_CHECKED
    # the FAA's own answer stands over what is not known here
    assert airspace(replace(case, determined_ft=150)).checks[0].passes


def test_unknown_length_is_taken_as_long() -> None:
    assert airspace(replace(LEVEL, runways=(near(12_000, None),))).notice is True
    assert airspace(replace(LEVEL, runways=(near(15_000, None),))).notice is False


def test_a_known_surface_that_is_pierced_needs_no_complete_list() -> None:
    assert airspace(replace(LEVEL, all_listed=False, runways=(near(9_000),))).notice is True


def test_the_crane_counts_and_has_a_check_of_its_own() -> None:
    found = airspace(replace(LEVEL, what="crane", height_ft=205)).checks[0]
    assert found.key == "airspace-crane" and found.verdict is Verdict.FAILS
