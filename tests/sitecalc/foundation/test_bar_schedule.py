"""Every bar of a foundation: lengths toward a rim, hooks, laps, pedestals, edge bars; pieces to cut."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.foundation.bar_schedule import (
    EdgeBars,
    ExtraBars,
    PedestalBars,
    ScheduleCase,
    bar_schedule,
)
from sitecalc.foundation.bending import hook
from sitecalc.foundation.cutting import CuttingCase, cutting_plan
from sitecalc.foundation.rebar import MatCase, bars_for, rebar_list, spacing_in, staggered
from sitecalc.foundation.tables import bars
from sitecalc.inputs import InputError

START = MatCase(side_ft=15.0, thickness_ft=4.0, cover_lower_in=12.0, cover_upper_in=12.0)
STUBS = PedestalBars(count=4, side_ft=2.0, height_ft=1.5, verticals=8)


def test_hooked_mats_reach_from_side_cover_to_side_cover() -> None:
    """Hand-worked: 15 ft less 3 in at each side is 14 ft 6 in out to out; two standard hooks of #6 are 12 in,
    each bend takes 2.50 x 0.75 in: cut 174 + 24 - 3.75 = 194.25 in."""
    found = rebar_list(replace(START, ends="90 degree")).marks[0]
    assert found.length_ft == 14.5 and found.shape == "two 90 degree ends"
    assert found.cut_ft == (pytest.approx(194.25 / 12),)
    assert [round(d.length_in, 2) for d in found.dimensions] == [12.0, 174.0, 12.0]


def test_bars_are_one_more_than_the_spaces() -> None:
    """Arithmetic: 12 ft, 3 in cover, #5 at 12 in or less: ceil(137.375 / 12) = 12 spaces, 13 bars."""
    assert bars_for(12.0, "#5", 12.0) == 13
    assert spacing_in(
        MatCase(side_ft=12.0, thickness_ft=3.0, size="#5", count=13), "east to west", "lower"
    ) == pytest.approx(11.45, abs=0.005)


def test_a_rectangular_pad_is_spaced_both_ways() -> None:
    """Arithmetic: 20 by 12 ft, 3 in cover, #6: those east to west spread over 12 ft, others 20."""
    case = MatCase(
        side_ft=20.0,
        thickness_ft=3.0,
        other_side_ft=12.0,
        count=13,
        other_count=21,
        cover_lower_in=3,
        cover_upper_in=2,
    )
    assert spacing_in(case, "east to west", "lower") == pytest.approx((144 - 6 - 0.75) / 12)
    assert spacing_in(case, "north to south", "lower") == pytest.approx((240 - 6 - 0.75) / 20)
    found = {m.mark: (m.count, m.length_ft) for m in rebar_list(case).marks}
    assert found["B1"] == (13, 19.5) and found["B2"] == (21, 11.5)


@given(
    outline=st.sampled_from(["octagon", "circle"]),
    side=st.floats(8, 60),
    count=st.integers(4, 80),
    step=st.sampled_from([1.0, 3.0, 6.0, 12.0]),
    size=st.sampled_from(sorted(bars())),
)
@settings(deadline=None)
def test_every_bar_keeps_its_cover_from_the_rim(outline, side, count, step, size) -> None:
    """Plane geometry: the corners of a bar's end stay inside the outline less the side cover."""
    case = MatCase(
        side_ft=side,
        thickness_ft=5.0,
        outline=outline,
        count=count,
        step_in=step,
        size=size,
        stock_ft=60.0,
        ends="straight",
    )
    marks = [m for m in rebar_list(case).marks if m.mark.startswith("B1")]
    lengths = sorted((m.length_ft * 12 for m in marks for _ in range(m.count)), reverse=True)
    db, inside = bars()[size].diameter_in, side * 12 / 2 - case.cover_side_in
    # the longest bars lie nearest the middle: two by two, the middle one alone where the count is odd
    spots = sorted(abs(i - (count - 1) / 2) * spacing_in(case, "east to west", "lower") for i in range(count))
    for length, off in zip(lengths, spots, strict=False):
        x, y = length / 2, off + db / 2
        if outline == "circle":
            assert math.hypot(x, y) <= inside + 1e-6
        else:
            assert max(x, y, (x + y) / math.sqrt(2)) <= inside + 1e-6
    assert lengths[0] > 2 * inside - step - 2 * case.cover_side_in - 30


def test_bars_of_an_octagon_are_grouped_by_length() -> None:
    """Geometry: 20 ft across flats, the flat side is 8.28 ft; bars off it run the full 19 ft 6 in."""
    marks = rebar_list(
        MatCase(side_ft=20, thickness_ft=4, outline="octagon", count=21, cover_lower_in=3, cover_upper_in=3)
    ).marks
    lower = [m for m in marks if m.mark.startswith("B1")]
    assert lower[0].length_ft == 19.5 and lower[0].count == 9
    assert [m.length_ft for m in lower] == sorted((m.length_ft for m in lower), reverse=True)
    assert sum(m.count for m in lower) == 21
    assert [m.mark for m in lower[:3]] == ["B1a", "B1b", "B1c"]


def test_laps_are_staggered_by_turning_every_other_bar() -> None:
    """Arithmetic: 24.5 ft from 20 ft with a 31 in lap: 20 ft and 7.08 ft; laps lie 13 ft apart."""
    first, last = staggered(24.5, 20.0, 31 / 12)
    assert (first, last) == (20.0, pytest.approx(24.5 + 31 / 12 - 20))
    assert sum((first, last)) == pytest.approx(27.08, abs=0.005)


@given(length=st.floats(21, 75), lap=st.floats(1.2, 5.0))
@settings(deadline=None)
def test_staggered_pieces_are_sent_and_laid_clear_of_each_other(length, lap) -> None:
    try:
        found = staggered(length, 20.0, lap)
    except InputError as error:
        assert error.field == "staggered"
        return
    assert all(0 < piece <= 20.0 + 1e-9 for piece in found)
    assert sum(found) - (len(found) - 1) * lap == pytest.approx(length)
    ends = [sum(found[: i + 1]) - i * lap for i in range(len(found) - 1)]
    zones = [(end - lap, end) for end in ends]
    turned = [(length - b, length - a) for a, b in zones]
    assert all(a2 >= b - 1e-6 or b2 <= a + 1e-6 for a, b in zones for a2, b2 in turned)


def test_a_pedestals_bars() -> None:
    """Hand-worked: 24 in square, 18 in high on a 4 ft pad, lower mat of #6 at 3 in: verticals are 18 - 2
    above, 48 - 3 - 1.5 in the pad, 59.5 in on a 12 in foot. Ties 20 by 20 in."""
    mats = replace(START, cover_lower_in=3.0, cover_upper_in=3.0)
    found = bar_schedule(ScheduleCase(mats, STUBS))
    upright, ties = (next(m for m in found.marks if m.mark == name) for name in ("P1", "P2"))
    assert upright.count == 32 and upright.length_ft * 12 == pytest.approx(59.5)
    assert upright.cut_ft[0] * 12 == pytest.approx(59.5 + 12 - 2.5 * 0.75, abs=0.25)
    assert [d.length_in for d in ties.dimensions[:2]] == [20.0, 20.0]
    # two in the top 5 in, one at 12 in or less below them, two in the pad; four pedestals
    assert ties.count == 4 * 5
    assert any("10.7.6.1.6" in note and "clause not verified" in note for note in found.notes)


def test_edge_bars_close_the_rim() -> None:
    """Arithmetic: 60 ft round at 12 in are 60 bars, 48 - 12 - 12 in high."""
    found = bar_schedule(ScheduleCase(START, edge=EdgeBars("#5", 12.0, 24.0)))
    bar = next(m for m in found.marks if m.mark == "U1")
    assert bar.count == 60 and bar.length_ft == 2.0
    assert [d.length_in for d in bar.dimensions] == [24.0, 24.0, 24.0]


def test_weights_add_up_by_size() -> None:
    dowels = ExtraBars(
        mark="D1",
        words="dowels to the pedestals",
        size="#7",
        count=16,
        shape="one 90 degree end",
        length_in=60.0,
    )
    found = bar_schedule(
        ScheduleCase(
            START,
            STUBS,
            EdgeBars(size="#5"),
            (dowels,),
        )
    )
    assert sum(w.weight_lb for w in found.by_size) == pytest.approx(found.weight_lb)
    for w in found.by_size:
        assert w.weight_lb == pytest.approx(w.length_ft * bars()[w.size].weight_lb_ft)
    assert [w.size for w in found.by_size] == ["#4", "#5", "#6", "#7"]


def test_chairs_hold_the_mats_apart() -> None:
    """Arithmetic: 48 in, 12 in to each mat, four layers of #6: 21 in between."""
    low, high = bar_schedule(ScheduleCase(START)).chairs
    assert (low.height_in, high.height_in) == (12.0, 21.0)
    assert low.count == high.count == 16


def test_the_schedule_goes_straight_to_the_cutting_plan() -> None:
    found = bar_schedule(ScheduleCase(START, STUBS, EdgeBars(size="#5")))
    plan = cutting_plan(CuttingCase(pieces=found.pieces))
    for mark in found.marks:
        cut = sum(c.count * b.times for b in plan.bars for c in b.cuts if c.mark == mark.mark)
        assert cut == mark.count * mark.pieces
    assert plan.pieces_ft == pytest.approx(sum(w.length_ft for w in found.by_size), abs=1.0)


def test_a_mark_used_twice_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        bar_schedule(ScheduleCase(START, extra=(ExtraBars(mark="B1", words="dowels", size="#5", count=4),)))
    assert caught.value.field == "extra"


def test_a_hook_of_a_tie_is_no_hook_of_a_bar() -> None:
    """ACI 318-19, tables 25.3.1 and 25.3.2 (read in secondary copies): #5 bends about 6 db as a bar, 4 db as
    a tie."""
    assert hook("#5", 90).bend_in == 6 * 0.625
    assert hook("#5", 135, "tie").bend_in == 4 * 0.625
