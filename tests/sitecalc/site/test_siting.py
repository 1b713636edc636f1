"""Setbacks by published ordinances, obstacles and overhead lines."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitecalc.checks import Check, Known, Verdict
from sitecalc.inputs import InputError
from sitecalc.site.obstacles import ObstacleRule, Thing
from sitecalc.site.siting import SetbackRule, SitingCase, siting

HUB, DIAMETER = 120.0, 23.0  # blade tip at 131.5 ft
FAR = {f"{side}_ft": 1000.0 for side in ("north", "east", "south", "west")}
RULE = SetbackRule(
    property_multiple=1.1,
    dwelling_multiple=1.1,
    road_multiple=1.0,
    line_multiple=1.1,
    source="Invented code 4",
)
CASE = SitingCase(
    hub_ft=HUB, diameter_ft=DIAMETER, rule=RULE, **FAR, surveyed_ft=1000, no_line_within_ft=1000
)


def check(case: SitingCase, key: str) -> Check:
    return next(c for c in siting(case).checks if c.key == key)


@pytest.mark.parametrize(
    ("datum", "multiple", "required", "ordinance"),
    [
        ("blade tip", 1.1, 144.65, "Diamond, Illinois, chapter 151: 110 % of tower height and blade tip"),
        ("blade tip", 1.0, 131.5, "Mullen, Nebraska, 151.04: 100 % of total height, center of the base"),
        ("hub", 1.1, 132.0, "Summerset, South Dakota, 154.081: 1.1 times hub height"),
        ("blade tip", 2.0, 263.0, "Antis, Pennsylvania: 2 times tower height, which is to the blade tip"),
    ],
)
def test_ordinances_differ_by_datum_and_multiple(
    datum: str, multiple: float, required: float, ordinance: str
) -> None:
    """Rules as published by codelibrary.amlegal.com; the products are arithmetic."""
    rule = SetbackRule(datum=datum, property_multiple=multiple, source=ordinance)  # type: ignore[arg-type]
    near = replace(CASE, rule=rule, west_ft=required)
    assert siting(near).required_ft == pytest.approx(required)
    assert check(near, "setback-property").passes
    short = check(replace(near, west_ft=required - 0.1), "setback-property")
    assert short.verdict is Verdict.FAILS and short.case == "line west"


def test_without_an_ordinance_no_setback_passes() -> None:
    bare = replace(CASE, rule=SetbackRule())
    for key in ("setback-property", "setback-dwelling", "setback-road"):
        assert check(bare, key).verdict is Verdict.NOT_CHECKED


def test_a_missing_side_is_not_clear_but_a_short_one_fails() -> None:
    unknown = replace(CASE, east_ft=None)
    assert check(unknown, "setback-property").verdict is Verdict.NOT_CHECKED
    assert "east" in check(unknown, "setback-property").note
    assert check(replace(unknown, north_ft=100), "setback-property").verdict is Verdict.FAILS


def test_measured_from_the_edge_of_the_base() -> None:
    case = replace(CASE, west_ft=150, rule=replace(RULE, base_half_ft=4.5))
    assert check(case, "setback-property").passes
    assert not check(replace(case, rule=replace(RULE, base_half_ft=6)), "setback-property").passes


def test_own_house_is_no_neighbor() -> None:
    house = Thing(name="house", kind="dwelling", distance_ft=90, height_ft=22)
    assert check(replace(CASE, things=(house,)), "setback-dwelling").verdict is Verdict.FAILS
    assert check(replace(CASE, things=(replace(house, ours=True),)), "setback-dwelling").passes


def test_what_was_not_looked_for_is_not_clear() -> None:
    assert check(replace(CASE, surveyed_ft=None), "setback-dwelling").verdict is Verdict.NOT_CHECKED
    assert check(replace(CASE, surveyed_ft=100), "setback-road").verdict is Verdict.NOT_CHECKED
    assert check(replace(CASE, no_line_within_ft=None), "overhead-line").verdict is Verdict.NOT_CHECKED
    assert check(replace(CASE, no_line_within_ft=140), "overhead-line").verdict is Verdict.FAILS


def test_a_rule_of_nothing_passes() -> None:
    """Multiple 0: the ordinance has no setback of this kind."""
    none = replace(RULE, dwelling_multiple=0.0, road_multiple=0.0)
    road = Thing(name="lane", kind="road", distance_ft=1)
    case = replace(CASE, rule=none, things=(road,), surveyed_ft=None)
    assert check(case, "setback-road").passes and check(case, "setback-dwelling").passes


def test_a_falling_tower_must_not_reach_a_line() -> None:
    line = Thing(name="distribution line", kind="overhead line", distance_ft=144.6, height_ft=30)
    assert check(replace(CASE, things=(line,)), "overhead-line").verdict is Verdict.FAILS
    off = replace(line, distance_ft=144.7)
    assert check(replace(CASE, things=(off,)), "overhead-line").passes
    # without a rule of the ordinance: 1.1 of the blade tip, and said to be practice
    ours = check(replace(CASE, rule=SetbackRule(datum="hub"), things=(off,)), "overhead-line")
    assert ours.passes and ours.demand == pytest.approx(144.65) and ours.known is Known.PRACTICE


def test_obstacles_by_the_safe_datum_and_by_the_other() -> None:
    """50 ft tree, 20 ft blades: hub at 100 ft where the blade bottom keeps 30 ft, at 80 ft where it does.

    30 ft above anything within 500 ft: Open Energy Information guidebooks; the bottom of the blades: siting
    guide of e3a4u.info.
    """
    tree = Thing(name="cottonwood", kind="trees", distance_ft=300, height_ft=50)
    grown = replace(CASE, diameter_ft=40, things=(tree,), obstacles=ObstacleRule(growth_ft=0))
    assert check(replace(grown, hub_ft=100), "obstacles").passes
    assert check(replace(grown, hub_ft=99), "obstacles").verdict is Verdict.FAILS
    by_hub = replace(grown, obstacles=ObstacleRule(growth_ft=0, datum="hub"))
    assert check(replace(by_hub, hub_ft=80), "obstacles").passes
    assert check(replace(by_hub, hub_ft=79), "obstacles").verdict is Verdict.FAILS


def test_trees_grow_ground_rises_and_far_ones_do_not_count() -> None:
    tree = Thing(name="ash", kind="trees", distance_ft=300, height_ft=50, ground_ft=8)
    case = replace(CASE, things=(tree,), obstacles=ObstacleRule(growth_ft=12))
    assert check(case, "obstacles").demand == pytest.approx(50 + 12 + 8 + 30)
    far = replace(tree, distance_ft=501, height_ft=90)
    assert check(replace(case, things=(far,)), "obstacles").demand == pytest.approx(30)


def test_a_height_not_given_is_not_clear_but_a_known_one_too_high_fails() -> None:
    barn = Thing(name="barn", kind="building", distance_ft=200)
    assert check(replace(CASE, things=(barn,)), "obstacles").verdict is Verdict.NOT_CHECKED
    tall = Thing(name="elevator", kind="building", distance_ft=400, height_ft=110)
    assert check(replace(CASE, things=(barn, tall)), "obstacles").verdict is Verdict.FAILS
    assert check(replace(CASE, surveyed_ft=400), "obstacles").verdict is Verdict.NOT_CHECKED


def test_inches_typed_as_feet_are_refused_at_their_field() -> None:
    with pytest.raises(InputError) as caught:
        siting(replace(CASE, things=(Thing(name="x", kind="other", distance_ft=50, height_ft=960),)))
    assert caught.value.field == "things[0].height_ft"
