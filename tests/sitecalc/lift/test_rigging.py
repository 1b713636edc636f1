"""Slings: published examples, and statics."""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.lift.rigging import SlingCase, choke_factor, shackle_factor, two_leg_slings


def slings(**changes: Any) -> SlingCase:
    hitch = {"near_hitch": "vertical", "far_hitch": "vertical"}
    given = {"weight_lb": 8_000, "near_ft": 4, "far_ft": 6, "height_ft": 12, "dynamic_factor": 1, **hitch}
    return SlingCase(**{**given, **changes})


def test_short_leg_carries_more() -> None:
    """Furley Engineering, Sling load (furleyengineering.co.uk): 2,000 kg, base 1,000 mm, center of gravity
    300 mm off the middle, hook 800 mm up: slings 1,132 and 825 mm, short leg 1,650 kg at 76 degrees. Units
    cancel.
    """
    result = two_leg_slings(slings(weight_lb=2_000, near_ft=0.2, far_ft=0.8, height_ft=0.8))
    assert result.near.length_ft == pytest.approx(0.825, abs=5e-4)
    # the source prints 1,132, cut and not rounded
    assert result.far.length_ft == pytest.approx(1.1315, abs=5e-4)
    assert result.near.tension_lb == pytest.approx(1_650, abs=1)
    assert result.near.angle_deg == pytest.approx(76, abs=0.5)


def test_forty_five_degrees() -> None:
    """Furley Engineering, Sling load: 2,000 kg at 45 degrees: 1,414 kg in each leg."""
    result = two_leg_slings(slings(weight_lb=2_000, near_ft=0.5, far_ft=0.5, height_ft=0.5))
    assert result.near.tension_lb == pytest.approx(1_414, abs=0.5)
    assert result.far.tension_lb == pytest.approx(1_414, abs=0.5)


@pytest.mark.parametrize(
    ("angle", "factor"),
    # Ashley Sling, Calculating sling angles (ashleysling.com): load angle factors
    [
        (90, 1.0),
        (85, 1.004),
        (80, 1.015),
        (75, 1.035),
        (70, 1.064),
        (65, 1.104),
        (60, 1.155),
        (55, 1.221),
        (50, 1.305),
        (45, 1.414),
        (40, 1.555),
        (35, 1.742),
        (30, 2.0),
    ],
)
def test_load_angle_factors(angle: float, factor: float) -> None:
    """The published table takes 1 over a rounded figure, so it agrees to 0.002."""
    out = 0 if angle == 90 else 10 / math.tan(math.radians(angle))
    result = two_leg_slings(slings(weight_lb=2_000, near_ft=out, far_ft=out, height_ft=10))
    assert result.near.tension_lb / 1_000 == pytest.approx(factor, abs=0.002)


def test_tension_factor_from_length_over_height() -> None:
    """Ashley Sling, Calculating sling angles: 1,200 lb a leg, 120 in long, 96 in high: 1.25, 1,500 lb."""
    out = math.sqrt(10**2 - 8**2)
    result = two_leg_slings(slings(weight_lb=2_400, near_ft=out, far_ft=out, height_ft=8))
    assert result.near.tension_lb == pytest.approx(1_500)


def test_plumb_legs_share_like_a_lever() -> None:
    """Certified Slings, Center of gravity and sling loading: 10,000 lb, 8 and 2 ft: 8,000 and 2,000 lb.

    Legs a hundred feet long on a load a quarter of the size stand for plumb ones."""
    result = two_leg_slings(slings(weight_lb=10_000, near_ft=0.5, far_ft=2, height_ft=100))
    assert result.near.tension_lb == pytest.approx(8_000, rel=1e-3)
    assert result.far.tension_lb == pytest.approx(2_000, rel=1e-3)


def test_published_lengths_that_do_not_close_are_refused() -> None:
    """A trade page (covamap.vmasc.org) works 4,000 lb with legs of 4 and 14 ft, 2 and 10 ft out, 3 ft high:
    legs from there to the hook are 3.61 and 10.44 ft long, so those slings hang slack or pull the hook
    aside.
    """
    with pytest.raises(InputError) as error:
        two_leg_slings(
            slings(weight_lb=4_000, near_ft=2, far_ft=10, height_ft=3, near_sling_ft=4, far_sling_ft=14)
        )
    assert error.value.field == "near_sling_ft"


@given(near=st.floats(0.5, 10), far=st.floats(0.5, 10), height=st.floats(6, 40))
def test_legs_balance(near: float, far: float, height: float) -> None:
    """Vertical parts sum to the weight, horizontal parts cancel."""
    result = two_leg_slings(slings(near_ft=near, far_ft=far, height_ft=height))
    turn = [math.radians(leg.angle_deg) for leg in (result.near, result.far)]
    pulls = (result.near.tension_lb, result.far.tension_lb)
    assert sum(p * math.sin(t) for p, t in zip(pulls, turn, strict=True)) == pytest.approx(8_000)
    assert pulls[0] * math.cos(turn[0]) == pytest.approx(pulls[1] * math.cos(turn[1]))
    assert result.inward_lb == pytest.approx(pulls[0] * math.cos(turn[0]))


def test_under_thirty_degrees_is_refused() -> None:
    """ASME B30.9 (from memory)."""
    with pytest.raises(InputError) as error:
        two_leg_slings(slings(near_ft=10, far_ft=10, height_ft=5.7))
    assert error.value.field == "height_ft"


def test_an_angle_from_the_vertical_is_not_mistaken() -> None:
    """60 degrees from the horizontal is 1.155, not 2.0."""
    out = 10 * math.tan(math.radians(30))
    result = two_leg_slings(slings(weight_lb=2_000, near_ft=out, far_ft=out, height_ft=10))
    assert result.near.tension_lb == pytest.approx(1_155, abs=1)


def test_without_a_tag_nothing_passes() -> None:
    """29 CFR 1926.251: an untagged sling is not used."""
    checks = {c.key: c for c in two_leg_slings(slings(near_rating_lb=9_000)).checks}
    assert checks["sling-near"].passes
    assert checks["sling-far"].verdict is Verdict.NOT_CHECKED
    assert checks["shackles"].verdict is Verdict.NOT_CHECKED


def test_tag_is_held_against_the_leg_with_its_dynamic_factor() -> None:
    still = two_leg_slings(slings()).near.tension_lb
    case = slings(near_rating_lb=1.05 * still, far_rating_lb=9_000, shackle_rating_lb=9_500)
    assert two_leg_slings(case).checks[1].passes
    moving = two_leg_slings(replace(case, dynamic_factor=1.1))
    assert moving.checks[1].verdict is Verdict.FAILS
    assert moving.near.tension_lb == pytest.approx(1.1 * still)


@pytest.mark.parametrize(("side", "factor"), [(0, 1.0), (1, 0.70), (45, 0.70), (46, 0.50), (90, 0.50)])
def test_shackle_side_load(side: float, factor: float) -> None:
    """Katradis, shackle table: 100, 70, 50 % at 0, 45, 90 degrees; never read between."""
    assert shackle_factor(side) == factor


def test_half_of_the_shackle_is_lost_sideways() -> None:
    tension = two_leg_slings(slings()).heavier.tension_lb
    case = slings(shackle_rating_lb=1.5 * tension)
    assert two_leg_slings(case).checks[3].passes
    assert two_leg_slings(replace(case, shackle_side_deg=90)).checks[3].verdict is Verdict.FAILS


@pytest.mark.parametrize(
    ("angle", "factor"),
    [
        (180, 1.0),
        (120, 1.0),
        (119, 0.87),
        (90, 0.87),
        (89, 0.74),
        (60, 0.74),
        (59, 0.62),
        (30, 0.62),
        (29, 0.49),
        (0, 0.49),
    ],
)
def test_a_choker_loses_by_its_angle(angle: float, factor: float) -> None:
    """ASME B30.9, choker rating by the angle of choke (from memory)."""
    assert choke_factor(angle) == factor


def near(**changes: Any):
    return {c.key: c for c in two_leg_slings(slings(**changes)).checks}["sling-near"]


def test_a_choked_leg_is_held_to_its_choker_rating() -> None:
    """8,000 lb, legs 4 and 6 ft out, hook 12 ft up: 5,060 lb in the near leg (statics)."""
    choked = {"near_hitch": "choker", "choke_deg": 120.0, "near_vertical_lb": 8_400.0}
    assert near(**choked, near_rating_lb=6_720.0).passes
    sharp = near(**{**choked, "choke_deg": 100.0}, near_rating_lb=5_800.0)
    assert sharp.verdict is Verdict.FAILS and "5,046" in sharp.note
    assert near(**{**choked, "choke_deg": None}, near_rating_lb=6_720.0).verdict is Verdict.NOT_CHECKED


def test_a_tag_without_a_choker_rating_never_passes_as_a_choker() -> None:
    """29 CFR 1926.251: by the tag only. What is usual, 0.8 of vertical (from memory), may only fail."""
    choked = {"near_hitch": "choker", "choke_deg": 120.0}
    found = near(**choked, near_vertical_lb=50_000.0)
    assert found.verdict is Verdict.NOT_CHECKED and "40,000 lb" in found.note
    assert near(**choked, near_vertical_lb=6_000.0).verdict is Verdict.FAILS


def test_a_basket_without_its_rating_and_a_leg_nobody_hitched_are_not_checked() -> None:
    assert near(near_hitch="basket", near_vertical_lb=50_000.0).verdict is Verdict.NOT_CHECKED
    assert near(near_hitch=None, near_rating_lb=50_000.0).verdict is Verdict.NOT_CHECKED


def test_a_choker_gives_some_of_its_length_to_the_wrap() -> None:
    """The near leg is 12.65 ft: a 14 ft sling chokes it, a 12 ft sling does not reach, a basket takes two."""
    assert two_leg_slings(slings(near_hitch="choker", near_sling_ft=14.0))
    for hitch, feet in (("choker", 12.0), ("basket", 20.0), ("vertical", 14.0)):
        with pytest.raises(InputError, match="near_sling"):
            two_leg_slings(slings(near_hitch=hitch, near_sling_ft=feet))
