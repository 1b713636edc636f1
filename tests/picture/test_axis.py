"""Distances along the sheet: to scale but for broken gaps, and what a break leaves out adds up."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.drafting.lanes import spread
from installs.picture.axis import laid_out

spans = st.lists(
    st.tuples(st.floats(0, 3000), st.floats(1, 80)).map(lambda s: (s[0], s[0] + s[1])), min_size=1, max_size=6
)


def test_what_fits_is_not_broken() -> None:
    left, right = laid_out([(0, 8)], [(0, 8), (235, 295)], most_scale=2, width_px=700, kept_px=40)
    assert (left.breaks, right.breaks) == ((), ())
    assert right.px(235) == pytest.approx(470)


def test_the_longest_gap_is_broken_first_and_says_what_it_leaves_out() -> None:
    """By hand: 20 ft + 40 px + 20 ft + 60 ft + 20 ft at 2 px a foot; 900 ft less the 20 ft that are drawn."""
    _, right = laid_out([], [(0, 20), (920, 940), (1000, 1020)], most_scale=2, width_px=280, kept_px=40)
    (only,) = right.breaks
    assert (only.from_ft, only.to_ft, only.left_out_ft) == (20, 920, 880)
    assert [right.px(feet) for feet in (20, 920, 940, 1000, 1020)] == [40, 80, 120, 240, 280]


@given(spans, spans, st.floats(0.3, 4), st.floats(150, 1300))
def test_things_are_to_scale_in_order_and_no_foot_is_lost(left, right, most, width) -> None:
    for side, solid in zip(
        laid_out(left, right, most_scale=most, width_px=width, kept_px=20), (left, right), strict=True
    ):
        for begin, end in solid:
            assert side.px(end) - side.px(begin) == pytest.approx((end - begin) * side.scale, abs=1e-6)
        marks = sorted(feet for span in solid for feet in span)
        assert [side.px(feet) for feet in marks] == sorted(side.px(feet) for feet in marks)
        drawn = side.width_px / side.scale
        assert drawn + sum(each.left_out_ft for each in side.breaks) == pytest.approx(side.end_ft)
        assert all(each.left_out_ft > 0 for each in side.breaks)


@given(spans, spans, st.floats(300, 1300))
def test_both_sides_fit_the_sheet(left, right, width) -> None:
    sides = laid_out(left, right, most_scale=4, width_px=width, kept_px=20)
    assert sum(side.width_px for side in sides) <= width + 0.1


@given(st.lists(st.floats(0, 1000), max_size=8).map(sorted), st.floats(5, 120))
def test_notes_in_a_row_keep_their_order_and_apart(wanted, width) -> None:
    places = spread(wanted, width, 0, 1000)
    assert all(b - a >= width - 1e-6 for a, b in pairwise(places))
    assert all(place >= -1e-6 for place in places)
    if width * len(wanted) <= 1000:
        assert all(place + width <= 1000 + 1e-6 for place in places)


def test_a_note_that_has_room_stands_where_it_is_wanted() -> None:
    assert spread([10, 200, 500], 50, 0, 1000) == [10, 200, 500]
