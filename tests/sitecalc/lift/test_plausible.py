"""Figures of a lift that cannot be: units mixed up, weights under their own steel."""

import math
from types import SimpleNamespace
from typing import Any

import pytest

from sitecalc.checks import Verdict
from sitecalc.lift.plausible import (
    STEEL_PCF,
    head_sail_check,
    section_steel_lb,
    soil_check,
    steel_checks,
    tower_sail_check,
    weight_check,
)


def section(**fields: Any) -> SimpleNamespace:
    base = {"length_ft": 20.0, "bottom_in": 84.0, "top_in": 70.0, "leg_area_in2": None, "wall_in": None}
    return SimpleNamespace(**{**base, **fields})


def test_steel_of_a_sections_legs() -> None:
    """Steel weighs 3.4 lb a foot for each in2 (#9 bar, 1.00 in2, ASTM A615): 4 legs of 3.6 in2, 20 ft."""
    assert section_steel_lb("lattice, 4 legs", section(leg_area_in2=3.6)) == pytest.approx(
        3.4028 * 4 * 3.6 * 20, rel=1e-4
    )
    # a 24 in pipe of 0.25 in wall weighs 63.4 lb/ft (pipe tables, from memory)
    tube = section(length_ft=1.0, bottom_in=24.0, top_in=24.0, wall_in=0.25)
    assert section_steel_lb("tube", tube) == pytest.approx(63.4, abs=0.1)
    assert section_steel_lb("tube", section()) is None


@pytest.mark.parametrize(
    ("diameter_in", "lb_ft"), [(0.625, 1.043), (1.0, 2.670), (1.128, 3.400), (1.410, 5.313)]
)
def test_steel_weighs_what_bars_weigh(diameter_in: float, lb_ft: float) -> None:
    """Nominal diameters and weights of ASTM A615, Concrete Construction, Rebar size and weights."""
    pcf = lb_ft / (math.pi * (diameter_in / 12) ** 2 / 4)
    assert pytest.approx(pcf, rel=2e-3) == STEEL_PCF


def test_a_section_lighter_than_its_own_legs_fails() -> None:
    """689 is 1,520 lb in kilograms."""
    assert steel_checks([1_520.0], [980.0])[0].passes
    found = steel_checks([689.0, 1_290.0], [980.0, 843.0])[0]
    assert found.verdict is Verdict.FAILS and found.case == "section 1"
    assert steel_checks([689.0], [None]) == []


def test_a_typed_weight_far_off_the_designs_fails() -> None:
    assert weight_check(5_300.0, 5_440.0)[0].passes
    assert weight_check(2_467.0, 5_440.0)[0].verdict is Verdict.FAILS
    assert weight_check(5_800.0, 5_440.0)[0].verdict is Verdict.FAILS
    assert weight_check(None, 5_440.0) == [] and weight_check(5_440.0, None) == []


def test_square_meters_typed_for_square_feet_fail() -> None:
    """120 ft2 are 11.1 m2; the outline of this tower has 600 ft2 inside."""
    tower = [(0.0, 5.0), (100.0, 1.0)]
    assert tower_sail_check(120.0, tower)[0].passes
    assert tower_sail_check(11.1, tower)[0].verdict is Verdict.FAILS
    assert head_sail_check(5.4, 58.0)[0].verdict is Verdict.FAILS and head_sail_check(58.0, 58.0)[0].passes


@pytest.mark.parametrize(
    ("psf", "soil", "verdict"),
    # IBC 2012 table 1806.2: rock 12,000 and 4,000, gravel 3,000, sand 2,000, clay and silt 1,500, fill none
    [
        (20_000.0, "", Verdict.NOT_CHECKED),
        (2_000.0, "sand", Verdict.PASSES),
        (2_000.0, "clay or silt", Verdict.FAILS),
        (3_000.0, "gravel", Verdict.PASSES),
        (12_001.0, "crystalline rock", Verdict.FAILS),
        (500.0, "fill", Verdict.NOT_CHECKED),
        (6_000.0, "soil report", Verdict.DOES_NOT_APPLY),
    ],
)
def test_bearing_is_held_to_the_soil_that_is_named(psf: float, soil: str, verdict: Verdict) -> None:
    assert soil_check(psf, soil)[0].verdict is verdict


def test_the_least_of_the_table_needs_no_class() -> None:
    assert soil_check(1_500.0, "") == []
