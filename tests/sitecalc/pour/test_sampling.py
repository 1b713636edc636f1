from __future__ import annotations

import pytest

from sitecalc.checks import Verdict
from sitecalc.pour.sampling import LayersCase, SamplingCase, layers, sampling


@pytest.mark.parametrize(
    ("yards", "trucks", "area", "tests"),
    [(9, 1, 300, 1), (38, 4, 300, 4), (60, 7, 500, 5), (900, 95, 500, 6), (160, 17, 30000, 6)],
)
def test_tests_by_day_volume_area_and_at_least_five(yards, trucks, area, tests):
    """ACI 318-19 26.12.2.1, read in a secondary copy: once a day, 150 yd3, 5,000 ft2; at least five tests, or
    one of each batch where fewer than five are used."""
    assert sampling(SamplingCase(yards=yards, trucks=trucks, area_ft2=area)).tests == tests


def test_fewer_sets_than_asked_for_fail_and_none_known_is_not_checked():
    (made,) = sampling(SamplingCase(yards=38, trucks=4, area_ft2=300, made=3)).checks
    assert not made.passes
    assert "may waive" in made.note
    assert sampling(SamplingCase(yards=38, trucks=4, area_ft2=300, made=4)).checks[0].passes
    assert not sampling(SamplingCase(yards=38, trucks=4, area_ft2=300)).checks[0].passes


def test_a_pad_whose_surface_is_not_known_may_ask_for_more():
    """5,000 ft2 ask for a test each: three sets are too few for certain, four may be."""
    assert sampling(SamplingCase(yards=38, trucks=4, made=3)).checks[0].verdict is Verdict.FAILS
    assert sampling(SamplingCase(yards=38, trucks=4, made=4)).checks[0].verdict is Verdict.NOT_CHECKED


def test_layers_of_at_most_20_in_and_the_next_in_time():
    """ACI 309R: layers of at most 20 in (from memory). 36 yd3 in 3 layers at 18 yd3 an hour: 40 min each."""
    made = layers(LayersCase(thickness_in=54, yards=36, truck_yd3=9, spacing_minutes=30, joint_minutes=60))
    assert (made.count, made.thickness_in, made.rate_yd3_h) == (3, 18, 18)
    assert made.minutes == pytest.approx(40)
    assert made.checks[0].passes
    assert (
        not layers(LayersCase(thickness_in=54, yards=36, truck_yd3=9, spacing_minutes=50, joint_minutes=60))
        .checks[0]
        .passes
    )


def test_one_layer_waits_for_nothing():
    assert (
        layers(LayersCase(thickness_in=18, yards=36, truck_yd3=9, spacing_minutes=120, joint_minutes=15))
        .checks[0]
        .verdict
        is Verdict.DOES_NOT_APPLY
    )


def test_a_layer_takes_its_volume_at_the_trucks_rate():
    """By hand: 9.5 yd3 each 30 min are 19 yd3/h; a third of 47.4 yd3 at that takes 0.832 h, 49.9 min."""
    case = LayersCase(thickness_in=54, yards=47.4, truck_yd3=9.5, spacing_minutes=30, joint_minutes=60)
    made = layers(case)
    step = made.checks[0].steps[-1]
    assert (step.meaning, step.unit) == ("a layer takes", "min")
    assert step.value == pytest.approx(49.9, abs=0.05)
    assert step.numbers == "60 x 47.4 / (3 x 19)"
