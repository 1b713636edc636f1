"""Hook, block and sling legs stay out of what hangs: plane and solid geometry, worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.lift.figures import Corner
from sitecalc.lift.hanging import HangingCase, beside_the_load, out_at, outline

TOWER = (Corner(up_ft=0.0, out_ft=5.0), Corner(up_ft=100.0, out_ft=1.0))


def case(**changes) -> HangingCase:
    values = {
        "corners": TOWER, "pick_ft": 100.0, "rigging_ft": 12.0, "near_ft": 1.2, "far_ft": 1.2,
        "block_ft": 4.0,        "is_raised": True,
    }  # fmt: skip
    return HangingCase(**{**values, **changes})


def verdicts(**changes) -> dict[str, Verdict]:
    return {c.key: c.verdict for c in beside_the_load(case(**changes)).checks}


def test_a_pick_at_the_top_keeps_hook_and_legs_clear() -> None:
    found = beside_the_load(case())
    assert [c.verdict for c in found.checks] == [Verdict.PASSES, Verdict.PASSES]
    # upright the hook is the rigging's 12 ft over the top
    upright = beside_the_load(case(is_raised=False))
    assert upright.hook.clear_ft == pytest.approx(12.0)


def test_a_hook_below_the_top_stands_in_the_tower() -> None:
    """Hook 72.4 ft up a 100 ft tower: the drawing shows it inside the lattice."""
    found = beside_the_load(case(pick_ft=60.0, rigging_ft=12.4))
    assert found.hook.clear_ft < 0 and found.legs is not None and found.legs.clear_ft < 0
    assert [c.verdict for c in found.checks] == [Verdict.FAILS, Verdict.FAILS]


def test_a_long_bridle_over_the_top_still_cuts_its_corners() -> None:
    """Hook over the top, but straight legs from the tower's own legs cross its narrower top."""
    assert verdicts(pick_ft=86.0, rigging_ft=20.0, near_ft=1.6, far_ft=1.6) == {
        "hook-clear": Verdict.PASSES,
        "legs-clear": Verdict.FAILS,
    }
    # a spreader holds them out: at the top a leg is 4 (1 - 14/20) = 1.2 ft off the axis, the corner 1 ft
    assert verdicts(pick_ft=86.0, rigging_ft=20.0, near_ft=4.0, far_ft=4.0) == {
        "hook-clear": Verdict.PASSES,
        "legs-clear": Verdict.PASSES,
    }


def test_a_leg_is_looked_at_on_its_way_up_and_not_only_upright() -> None:
    """Flat, a leg from the side of a pick at its very outline comes nearer to the axis than that."""
    found = beside_the_load(case(near_ft=1.0, far_ft=1.0))
    assert found.legs is not None and found.legs.clear_ft < 0 and found.legs.angle_deg < 45
    # from (0, 1) to (12, 0) the nearest point to the axis: 12 / sqrt(145)
    assert found.legs.clear_ft == pytest.approx(12 / math.sqrt(145) - 1.0, abs=1e-6)


def test_the_longer_leg_is_looked_at_too() -> None:
    found = beside_the_load(case(near_ft=2.0, far_ft=0.9))
    assert found.legs is not None and found.legs.part == "far" and found.legs.clear_ft < 0


def test_a_blade_that_stands_over_the_body_keeps_off_the_hook_line() -> None:
    head = (
        Corner(up_ft=0.0, out_ft=1.5),
        Corner(up_ft=2.7, out_ft=2.2),
        Corner(up_ft=16.8, out_ft=2.6, name="blade"),
    )
    how = {"corners": head, "pick_ft": 2.7, "top_ft": 2.7, "is_raised": False}
    near = beside_the_load(case(**how, near_ft=2.2, far_ft=2.2))
    assert near.hook.clear_ft == pytest.approx(2.6)
    assert near.legs is not None and near.legs.clear_ft == pytest.approx(0.4)
    assert verdicts(**how, near_ft=3.0, far_ft=3.0)["legs-clear"] is Verdict.FAILS
    close = (*head[:2], Corner(up_ft=16.8, out_ft=0.5, name="blade"))
    assert verdicts(**{**how, "corners": close})["hook-clear"] is Verdict.FAILS


@given(
    pick=st.floats(1, 100), rigging=st.floats(0.5, 40), near=st.floats(0, 8), up=st.floats(-2, 2),
    degree=st.integers(0, 90), along=st.floats(0, 1),
)  # fmt: skip
def test_no_point_of_a_leg_or_hook_is_nearer_than_what_is_said(
    pick: float, rigging: float, near: float, up: float, degree: int, along: float
) -> None:
    """Any point of leg or block, at any degree, against the outline: found here by coordinates."""
    found = beside_the_load(case(pick_ft=pick, rigging_ft=rigging, near_ft=near, far_ft=near, pick_up_ft=up))
    th = math.radians(degree)
    line = outline(TOWER)
    x = pick + along * rigging * math.sin(th)
    off = math.hypot(up + along * rigging * math.cos(th), near * (1 - along))
    if x < 100:
        assert found.legs is not None
        assert found.legs.clear_ft <= off - out_at(line, x) + 1e-9
