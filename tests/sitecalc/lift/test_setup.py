"""The search for boom and radius."""

from dataclasses import replace

import pytest

from sitecalc.inputs import InputError
from sitecalc.lift.chart import LiftClass, Rating
from sitecalc.lift.crane import Boom, CraneCase, Heights, crane_geometry
from sitecalc.lift.figures import Corner
from sitecalc.lift.setup import SearchCase, search_set_ups

# a chart of our own, for a truck crane of no maker
COLUMNS = {
    80: {20: 38_000, 25: 31_000, 30: 25_500, 40: 17_800, 50: 13_000},
    100: {20: 30_000, 25: 26_500, 30: 22_600, 40: 16_400, 50: 12_100},
    115: {25: 23_000, 30: 20_100, 40: 15_200, 50: 11_500},
    130: {25: 19_400, 30: 17_300, 40: 13_700, 50: 10_600, 60: 8_300},
    150: {30: 13_900, 40: 11_800, 50: 9_400, 60: 7_500},
}
CHART = tuple(
    Rating(boom_ft=boom, radius_ft=radius, capacity_lb=capacity)
    for boom, column in COLUMNS.items()
    for radius, capacity in column.items()
)
# 100 ft tower of about 5,000 lb: picked near its top, carried 3 ft over the bolts of a pad 0.5 ft above grade
TOWER = SearchCase(
    boom=Boom(pin_height_ft=8, pin_behind_ft=4, depth_ft=2.5),
    heights=Heights(foot_ft=0.5, over_ft=3, pick_ft=95, rigging_ft=8, block_ft=4, two_block_ft=5),
    corners=(Corner(up_ft=0, out_ft=6), Corner(up_ft=100, out_ft=1)),
    chart=CHART,
    gross_lb=5_900,
    beyond_ft=1.5,
)


def test_hundred_foot_tower_is_set_with_130_ft_of_boom_and_not_with_100() -> None:
    """A 100 ft tower of about 5,000 lb was set with a 130 ft boom (common practice, no source)."""
    result = search_set_ups(TOWER)
    shortest = result.shortest_boom
    assert shortest is not None and shortest.boom_ft <= 130
    assert 100 in [r.boom_ft for r in result.refused]


def test_every_set_up_found_holds_by_itself() -> None:
    for found in search_set_ups(TOWER).set_ups:
        here = CraneCase(
            boom=TOWER.boom,
            heights=TOWER.heights,
            corners=TOWER.corners,
            radius_ft=found.radius_ft,
            boom_ft=found.boom_ft,
        )
        assert all(check.passes for check in crane_geometry(here).checks)
        row = min(r for r in COLUMNS[int(found.boom_ft)] if r >= found.radius_ft + TOWER.beyond_ft)
        assert found.percent == pytest.approx(100 * 5_900 / COLUMNS[int(found.boom_ft)][row])
        assert found.lift_class is LiftClass.STANDARD


def test_refusals_say_why() -> None:
    refused = {r.boom_ft: r.why for r in search_set_ups(TOWER).refused}
    assert "needed" in refused[80]
    heavy = {r.boom_ft: r.why for r in search_set_ups(replace(TOWER, gross_lb=40_000)).refused}
    assert "% of chart" in heavy[130]
    assert search_set_ups(replace(TOWER, gross_lb=40_000)).shortest_boom is None


def test_crane_kept_far_off_runs_out_of_chart() -> None:
    far = search_set_ups(replace(TOWER, least_radius_ft=70, most_radius_ft=90))
    assert far.set_ups == ()
    assert "out of the chart" in {r.boom_ft: r.why for r in far.refused}[150]


def test_bad_range_is_named() -> None:
    with pytest.raises(InputError, match="most_radius_ft"):
        search_set_ups(replace(TOWER, least_radius_ft=60, most_radius_ft=20))


def test_the_reason_names_the_chart_where_the_chart_is_the_reason() -> None:
    """Boom and load clear at 25 to 33 ft, and this boom's column begins at 40: not "0.8 ft from the load"."""
    late = tuple(Rating(boom_ft=130, radius_ft=r, capacity_lb=5_000) for r in (40, 50))
    found = search_set_ups(replace(TOWER, chart=late, least_radius_ft=25))
    assert found.set_ups == ()
    assert "this chart begins at 40 ft" in found.refused[0].why
