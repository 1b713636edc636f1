"""Sections of reinforced concrete against published examples and general libraries."""

from __future__ import annotations

import math

import pytest

from sitecalc.foundation.flexure import FlexureCase, flexure, steel_needed_in2
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_shear import OneWayCase, TwoWayCase, one_way, size_factor, two_way
from sitecalc.foundation.pedestal import interaction
from sitecalc.foundation.rebar import MatCase
from sitecalc.foundation.strength_case import StrengthCase


@pytest.mark.parametrize(
    ("width", "depth", "steel", "fc", "nominal", "axis"),
    [
        (12, 20.5, 3 * 0.79, 4000, 222.284, 4.1007),
        (12, 21.625, 3 * 0.79, 4000, 235.616, 4.1008),
        (12, 20.6875, 0.31, 4000, 31.696, 0.5358),
        (156, 28, 13 * 0.79, 3000, 1397.82, 1.8219),
    ],
)
def test_bending_against_a_general_section_library(width, depth, steel, fc, nominal, axis) -> None:
    """concreteproperties 0.7.0 (Python package), ultimate_bending_capacity, printed values."""
    found = flexure(FlexureCase(width_in=width, depth_in=depth, steel_in2=steel, fc_psi=fc))
    assert found.nominal_kip_ft == pytest.approx(nominal, rel=1e-3)
    assert found.axis_in == pytest.approx(axis, rel=1.2e-3)
    assert found.phi == 0.9


def test_a_published_beam() -> None:
    """PCA Notes on ACI 318-11, Ex. 7.1, as re-worked in a verification manual: 10 by 16 in, d 13.5,
    f'c 4,000, As 2.406 in2 hold Mu = 1.2 x 56 + 1.6 x 35 = 123 kip-ft with a = 4.246 in."""
    found = flexure(FlexureCase(width_in=10, depth_in=13.5, steel_in2=2.406, fc_psi=4000))
    assert found.block_in == pytest.approx(4.246, abs=0.001)
    assert found.design_kip_ft == pytest.approx(123.2, abs=0.1)
    assert found.tension_controlled
    assert steel_needed_in2(123.2, 10, 13.5, 4000, 60) == pytest.approx(2.406, abs=0.003)


def test_too_much_steel_is_not_tension_controlled_and_never_stronger() -> None:
    """ACI 318-19, 7.3.3.1 and table 21.2.2 (read in secondary copies)."""
    crowded = flexure(FlexureCase(width_in=10, depth_in=13.5, steel_in2=3.5, fc_psi=4000))
    assert not crowded.tension_controlled and 0.65 <= crowded.phi < 0.9
    assert flexure(FlexureCase(width_in=10, depth_in=13.5, steel_in2=9.0, fc_psi=4000)).design_kip_ft == 0
    assert math.isinf(steel_needed_in2(500, 10, 13.5, 4000, 60))


def test_size_factor() -> None:
    """ACI 318-19, 22.5.5.1.3: sqrt(2 / (1 + d/10)); at 1,000 mm 63 percent (structuresimply.blogspot.com)."""
    assert size_factor(39.37) == pytest.approx(0.6366, abs=0.005)
    assert size_factor(10) == 1.0 and size_factor(6) == 1.0


def test_one_way_shear_keeps_the_steel_ratio_and_drops_the_size_effect_for_footings_only() -> None:
    """8 lambda_s lambda rho^(1/3) sqrt f'c b d, ACI 318-19 table 22.5.5.1 (read in secondary copies), by
    hand."""
    case = OneWayCase(width_in=134, depth_in=28, steel_in2=8.69, fc_psi=3000)
    by_hand = 0.75 * 8 * (8.69 / 134 / 28) ** (1 / 3) * math.sqrt(3000) * 134 * 28 / 1000
    assert one_way(case).design_kip == pytest.approx(by_hand) == pytest.approx(163.1, abs=0.1)
    slab = OneWayCase(width_in=134, depth_in=28, steel_in2=8.69, fc_psi=3000, footing=False)
    assert one_way(slab).design_kip == pytest.approx(118.4, abs=0.1)
    heavy = OneWayCase(width_in=12, depth_in=20, steel_in2=60.0, fc_psi=3000)
    assert one_way(heavy).stress_psi == pytest.approx(5 * math.sqrt(3000))


def test_two_way_shear_takes_the_least_of_three() -> None:
    """ACI 318-19, table 22.6.5.2 (read in secondary copies)."""
    near = TwoWayCase(perimeter_in=4 * 46, depth_in=28, fc_psi=3000, alpha_s=40)
    assert two_way(near).nominal_psi == pytest.approx(4 * math.sqrt(3000))
    assert two_way(
        TwoWayCase(perimeter_in=400, depth_in=10, fc_psi=3000, alpha_s=20)
    ).factor == pytest.approx(2.5)
    assert two_way(
        TwoWayCase(perimeter_in=184, depth_in=28, fc_psi=3000, alpha_s=40, long_over_short=4)
    ).factor == pytest.approx(3.0)
    assert two_way(
        TwoWayCase(perimeter_in=184, depth_in=28, fc_psi=3000, alpha_s=40, footing=False)
    ).size_factor == pytest.approx(0.7255, abs=1e-4)


@pytest.mark.parametrize(("load", "moment"), [(0.0, 1250.267), (15.76667, 1273.418), (100.0, 1395.157)])
def test_round_pedestal_against_a_general_section_library(load: float, moment: float) -> None:
    """concreteproperties 0.7.0 (Python package), ultimate_bending_capacity of a 48 in circle, f'c 4,500,
    16 #8 with 3 in cover; all tension controlled, so phi is 0.9."""
    case = StrengthCase(
        pad=PadCase(
            side_ft=20.0, thickness_ft=4.0, pedestal="round", pedestal_side_ft=4.0, pedestal_height_ft=2.0
        ),
        mats=MatCase(side_ft=20.0, thickness_ft=4.0),
        legs=1,
        dowel_size="#8",
        dowels=16,
    )
    found = interaction(case, 0.0).at(0.9 * load)
    assert found.phi == pytest.approx(0.9)
    assert found.design_kip_ft / 0.9 == pytest.approx(moment, rel=5e-4)
