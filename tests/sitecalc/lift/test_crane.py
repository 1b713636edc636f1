"""Boom, hook and clearance, against plane geometry worked out another way."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.lift.crane import (
    Boom,
    CraneCase,
    Heights,
    boom_angle_deg,
    boom_clearance_ft,
    crane_geometry,
    least_boom_ft,
    tip_height_ft,
)
from sitecalc.lift.figures import Corner

BOOM = Boom(pin_height_ft=9, pin_behind_ft=5, depth_ft=2.5)
HEIGHTS = Heights(foot_ft=0, over_ft=3, pick_ft=100, rigging_ft=2, block_ft=2, two_block_ft=2)
TOWER = (
    Corner(up_ft=0, out_ft=6),
    Corner(up_ft=50, out_ft=3.5),
    Corner(up_ft=100, out_ft=1, name="tower top"),
)


def case(radius: float, boom: float, **changes: object) -> CraneCase:
    given = CraneCase(boom=BOOM, heights=HEIGHTS, corners=TOWER, radius_ft=radius, boom_ft=boom)
    return replace(given, **changes)  # type: ignore[arg-type]


def distance_to_boom(radius: float, boom_ft: float, height: float, out: float) -> float:
    """Nearest point of the boom's center line by search, less half its depth; the hook line is x = radius."""
    from scipy.optimize import minimize_scalar

    pin = np.array([-BOOM.pin_behind_ft, BOOM.pin_height_ft])
    tip = np.array([radius, tip_height_ft(BOOM, radius, boom_ft)])
    corner = np.array([radius - out, height])
    found = minimize_scalar(
        lambda t: float(np.linalg.norm(pin + t * (tip - pin) - corner)), bounds=(0, 1), method="bounded"
    )
    return float(found.fun) - BOOM.depth_ft / 2


def test_pin_and_tip_are_the_boom_length_apart() -> None:
    """Pythagoras."""
    tip = tip_height_ft(BOOM, 35, 130)
    assert np.hypot(35 + 5, tip - 9) == pytest.approx(130)


def test_three_four_five_triangle() -> None:
    """A 100 ft boom whose tip stands 60 ft from the pin is 80 ft above it."""
    boom = Boom(pin_height_ft=8, pin_behind_ft=-4, depth_ft=2)
    assert tip_height_ft(boom, 64, 100) == pytest.approx(88)


def test_pin_ahead_of_the_center_gives_a_steeper_boom() -> None:
    ahead = replace(BOOM, pin_behind_ft=-5)
    assert boom_angle_deg(ahead, 30, 100) > boom_angle_deg(BOOM, 30, 100)


@given(radius=st.floats(20, 60), boom=st.floats(90, 200), height=st.floats(20, 90), out=st.floats(0, 10))
def test_clearance_is_the_distance_to_the_boom(radius: float, boom: float, height: float, out: float) -> None:
    """Against a numerical search for the nearest point of the boom (scipy.optimize)."""
    formula = boom_clearance_ft(BOOM, radius, boom, height, out)
    assume(formula > -BOOM.depth_ft / 2)  # on the far side of the center line a distance has no sign
    assert formula == pytest.approx(distance_to_boom(radius, boom, height, out), abs=1e-3)


@given(radius=st.floats(15, 60))
def test_least_boom_has_height_and_clearance_and_an_inch_less_has_not(radius: float) -> None:
    """Closed form against the clearances themselves."""
    needed = least_boom_ft(case(radius, 130), radius)
    assert needed is not None
    enough = crane_geometry(case(radius, needed + 0.01))
    assert enough.tip_ft >= HEIGHTS.tip_ft
    assert enough.closest.clear_ft >= 3
    short = crane_geometry(case(radius, needed - 0.08))
    assert short.tip_ft < HEIGHTS.tip_ft or short.closest.clear_ft < 3


def test_boom_long_enough_for_height_can_still_hit_the_tower() -> None:
    """The mistake of taking height alone: tip high enough, boom in the top of the tower."""
    by_height = float(np.hypot(30 + 5, HEIGHTS.tip_ft - 9))
    geometry = crane_geometry(case(30, by_height))
    checks = {c.key: c for c in geometry.checks}
    assert checks["boom-tip"].passes
    assert checks["boom-clearance"].verdict is Verdict.FAILS
    assert geometry.closest.corner.name == "tower top"
    assert "hit" in checks["boom-clearance"].note


def test_every_corner_is_looked_at() -> None:
    """A rotor disc half way down a load governs although the top clears."""
    disc = Corner(up_ft=60, out_ft=20, name="rotor")
    assert crane_geometry(case(35, 130, corners=(*TOWER, disc))).closest.corner.name == "rotor"


def test_no_boom_clears_a_load_wider_than_the_radius() -> None:
    assert least_boom_ft(case(20, 130, corners=(Corner(up_ft=100, out_ft=25),)), 20) is None


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("boom_ft", case(60, 60)),
        ("radius_ft", case(float("nan"), 130)),
        ("clear_ft", case(35, 130, clear_ft=0)),
        ("corners", case(35, 130, corners=())),
        ("corners[0].up_ft", case(35, 130, corners=(Corner(up_ft=float("inf"), out_ft=1),))),
    ],
)
def test_bad_input_is_named_at_its_field(field: str, bad: CraneCase) -> None:
    with pytest.raises(InputError) as error:
        crane_geometry(bad)
    assert error.value.field == field
