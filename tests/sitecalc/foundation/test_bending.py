"""Bent bars: standard hooks, bend deductions, cut lengths."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.foundation.bending import BendCase, bend, deduction_in, end_in, hook
from sitecalc.foundation.tables import bars
from sitecalc.inputs import InputError

# CRSI Manual of Standard Practice, recommended end hooks: A of 90 and of 180 degrees, in (from memory)
END_HOOKS = {
    "#3": (6, 5), "#4": (8, 6), "#5": (10, 7), "#6": (12, 8), "#7": (14, 10), "#8": (16, 11),
    "#9": (19, 15), "#10": (22, 17), "#11": (24, 19),
}  # fmt: skip
# the same manual, 135 degree tie hooks: A (from memory)
TIE_HOOKS = {"#3": 4.25, "#4": 4.5, "#5": 5.5}


@pytest.mark.parametrize("size", END_HOOKS)
def test_end_hooks_of_the_trade_table(size) -> None:
    """CRSI's A to the whole inch (from memory): 90 degrees out to out, 180 degrees what a hook takes."""
    square, turned = END_HOOKS[size]
    db = bars()[size].diameter_in
    assert hook(size, 90).leg_in == pytest.approx(square, abs=0.5)
    assert end_in(hook(size, 180), db) == pytest.approx(turned, abs=0.55)


@pytest.mark.parametrize("size", TIE_HOOKS)
def test_tie_hooks_of_the_trade_table(size) -> None:
    """CRSI's A to the quarter inch (from memory)."""
    assert end_in(hook(size, 135, "tie"), bars()[size].diameter_in) == pytest.approx(
        TIE_HOOKS[size], abs=0.25
    )


def test_a_square_bend_takes_two_and_a_half_diameters() -> None:
    """2 (D/2 + db) - pi/2 (D + db)/2: at D = 6 db it is 2.50 db, as BS 8666 shape 11 gives with r = 3 d
    (L = A + B - 0.5 r - d, from memory); at D = 8 db 2.93 db."""
    assert deduction_in(6.0, 1.0) == pytest.approx(2.50, abs=0.005)
    assert deduction_in(6.0, 1.0) == pytest.approx(0.5 * 3 + 1, abs=0.005)
    assert deduction_in(8.0, 1.0) == pytest.approx(2.93, abs=0.005)


def test_a_bar_with_two_square_ends() -> None:
    """Hand-worked: #6, 14 ft 6 in out to out with standard hooks of 12 in: 174 + 2 x 12 - 2 x 2.50 x 0.75."""
    found = bend(BendCase(size="#6", shape="two 90 degree ends", length_in=174.0))
    assert [d.letter for d in found.dimensions] == ["A", "B", "C"]
    assert found.bend_in == 4.5
    assert found.cut_in == pytest.approx(174 + 24 - 2 * 2.50 * 0.75, abs=0.01)
    assert found.order_in == 194.25


def test_a_closed_tie() -> None:
    """Hand-worked: #4, 18 by 18 in. Three square bends at D = 4 db lose 2 (2.0/2 + 0.5) - pi/2 x 1.25 =
    1.037 in each; each 135 degree end adds 3/4 pi x 1.25 + 3 - 1.5 = 4.445 in."""
    found = bend(BendCase(size="#4", shape="closed tie", length_in=18.0))
    assert found.cut_in == pytest.approx(72 - 3 * 1.0365 + 2 * 4.4452, abs=0.002)


def test_a_round_tie() -> None:
    """Hand-worked: #4, 21 in across: pi x 20.5, 6 in of overlap, twice (3/4 pi x 1.25 + 3)."""
    found = bend(BendCase(size="#4", shape="round tie", length_in=21.0))
    assert found.cut_in == pytest.approx(math.pi * 20.5 + 6 + 2 * (0.75 * math.pi * 1.25 + 3))


@given(
    size=st.sampled_from(sorted(bars())),
    length=st.floats(40, 700),
    shape=st.sampled_from(["one 90 degree end", "two 90 degree ends", "one 180 degree end"]),
)
def test_a_bent_bar_is_cut_longer_than_its_back_and_shorter_than_its_outline(size, length, shape) -> None:
    found = bend(BendCase(size=size, shape=shape, length_in=length))
    assert length < found.cut_in
    if "90" in shape:
        assert found.cut_in < sum(d.length_in for d in found.dimensions)
    assert 0 <= found.order_in - found.cut_in < 0.25 + 1e-5


def test_what_cannot_be_bent_is_refused_at_its_field() -> None:
    for case, field in (
        (BendCase(size="#8", shape="one 90 degree end", length_in=100.0, leg_in=3.0), "leg_in"),
        (BendCase(size="#8", shape="two 90 degree ends", length_in=6.0), "length_in"),
        (BendCase(size="#4", shape="closed tie", length_in=12.0, depth_in=2.0), "depth_in"),
        (BendCase(size="#9", shape="closed tie", length_in=24.0), "size"),
    ):
        with pytest.raises(InputError) as caught:
            bend(case)
        assert caught.value.field == field
