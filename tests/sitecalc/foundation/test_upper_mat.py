"""An upper mat with bars of its own: each mat is listed and judged by its own bars."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.foundation.bar_schedule import ScheduleCase, bar_schedule
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.rebar import MatCase, rebar_list
from sitecalc.foundation.steel import check_steel
from sitecalc.foundation.strength_case import StrengthCase, layer_depth_in
from sitecalc.inputs import InputError

MATS = MatCase(
    side_ft=20.0,
    thickness_ft=4.0,
    size="#8",
    count=27,
    cover_lower_in=3.0,
    cover_upper_in=2.0,
    upper_size="#6",
    upper_count=14,
)
PAD = PadCase(
    side_ft=20.0,
    thickness_ft=4.0,
    dead_kip=12.0,
    moment_kip_ft=700.0,
    shear_kip=10.0,
    kind="ASCE strength level",
    water_ft=20.0,
)
FOUR = StrengthCase(pad=PAD, mats=MATS, legs=4, leg_spacing_ft=8.0, plate_side_in=14.0, seismic="A")
TUBE = StrengthCase(pad=PAD, mats=MATS, legs=0, leg_spacing_ft=3.0, plate_side_in=42.0, seismic="A")
KEYS = ("bending", "minimum", "development")


def check(case: StrengthCase | MatCase, key: str):
    checks = check_steel(case).checks if isinstance(case, MatCase) else check_strength(case).checks
    return next((c for c in checks if c.key == key), None)


def alike(case: StrengthCase, size: str, count: int) -> StrengthCase:
    return replace(case, mats=replace(case.mats, size=size, count=count, upper_size=None, upper_count=None))


def test_each_mat_has_its_own_marks() -> None:
    """Spaces (240 - 6 - db) / (n - 1); weights of ASTM A615, #8 2.670 and #6 1.502 lb/ft."""
    marks = {m.mark: m for m in rebar_list(MATS).marks}
    assert [(m.size, m.count) for m in marks.values()] == [("#8", 27), ("#8", 27), ("#6", 14), ("#6", 14)]
    assert marks["B1"].spacing_in == pytest.approx((240 - 6 - 1.0) / 26)
    assert marks["T2"].spacing_in == pytest.approx((240 - 6 - 0.75) / 13)
    assert marks["T1"].weight_lb == pytest.approx(14 * 19.5 * 1.502)
    assert marks["B1"].weight_lb == pytest.approx(27 * 19.5 * 2.670)


def test_its_bars_north_to_south_follow_its_own_number() -> None:
    mats = replace(MATS, other_side_ft=12.0, other_count=40)
    counts = [m.count for m in rebar_list(mats).marks]
    assert counts == [27, 40, 14, 14]
    assert [m.count for m in rebar_list(replace(mats, upper_count=None)).marks] == [27, 40, 27, 40]
    assert [m.count for m in rebar_list(replace(mats, upper_other_count=20)).marks] == [27, 40, 14, 20]


def test_laps_are_those_of_its_size_over_fresh_concrete() -> None:
    """Class B at f'c 4,000 by ACI 318-19, 25.4.2.3 and 25.5.2.1 (read in secondary copies): #8 below 61.7 in,
    #6 28.5 in straight, on top 1.3 x 1.3 x 28.46 = 48.1 in."""
    long = replace(MATS, side_ft=45.0, fc_psi=4000.0, count=60, upper_count=31)
    laps = {m.mark: m.lap_in for m in rebar_list(long).marks}
    assert laps == {"B1": 62.0, "B2": 62.0, "T1": 49.0, "T2": 49.0}


def test_chairs_stand_between_what_the_mats_leave() -> None:
    """Arithmetic: 48 in less covers 3 and 2, two layers of #8 and two of #6."""
    high = bar_schedule(ScheduleCase(MATS)).chairs[1]
    assert high.height_in == pytest.approx(48 - 3 - 2 - 2 * 1.0 - 2 * 0.75)


def test_the_covers_leave_room_for_both() -> None:
    thin = replace(MATS, thickness_ft=1.0, cover_lower_in=4.5, cover_upper_in=4.5)
    with pytest.raises(InputError):
        rebar_list(thin)
    rebar_list(replace(thin, size="#6"))


def test_least_steel_counts_what_lies_in_both() -> None:
    """27 #8 of 0.79 and 14 #6 of 0.44 in2 each way; 0.0018 x 240 x 48."""
    least = check(MATS, "minimum steel")
    assert least.capacity == pytest.approx(27 * 0.79 + 14 * 0.44)
    assert least.demand == pytest.approx(0.0018 * 240 * 48)


def test_bars_of_either_mat_may_be_too_far_apart_or_too_close() -> None:
    assert check(replace(MATS, upper_count=13), "bar spacing").ratio > 1  # 19.4 in
    assert check(replace(MATS, upper_count=100), "bar spacing").ratio > 1  # 1.6 in clear
    assert check(MATS, "bar spacing").case.startswith("upper mat")


def test_cover_over_it_is_that_of_its_size() -> None:
    """ACI 318-19, table 20.5.1.3.1 (read in secondary copies): 2 in, to #5 1-1/2 in."""
    assert check(replace(MATS, cover_upper_in=1.5), "cover").ratio > 1
    assert check(replace(MATS, cover_upper_in=1.5, upper_size="#5"), "cover").passes


def test_depth_of_each_layer_by_its_own_bars() -> None:
    """h - cover - db / 2 and 3 db / 2."""
    assert layer_depth_in(FOUR, "lower", 0) == pytest.approx(48 - 3 - 0.5)
    assert layer_depth_in(FOUR, "upper", 0) == pytest.approx(48 - 2 - 0.375)
    assert layer_depth_in(FOUR, "upper", 1) == pytest.approx(48 - 2 - 1.125)


def test_strength_of_the_upper_mat_by_hand() -> None:
    """phi As fy (d - a/2), a = As fy / (0.85 f'c b): 14 x 0.44 = 6.16 in2, d of the inner layer 44.875 in."""
    a = 6.16 * 60 / (0.85 * 4.5 * 240)
    assert check(FOUR, "bending-upper").capacity == pytest.approx(
        0.9 * 6.16 * 60 * (44.875 - a / 2) / 12, rel=1e-6
    )


def test_a_moment_is_handed_over_by_both_mats_on_their_strip() -> None:
    """phi Mn of each on the side of the equal square + 3 h; bars lie evenly over 20 ft."""
    handed = check(TUBE, "moment transfer")
    strip = next(s.value for s in handed.steps if s.symbol == "b")
    share, held = strip / 20, 0.0
    for steel, depth in ((27 * 0.79, 48 - 3 - 1.5), (14 * 0.44, 48 - 2 - 1.125)):
        a = share * steel * 60 / (0.85 * 4.5 * 12 * strip)
        held += 0.9 * share * steel * 60 * (depth - a / 2) / 12
    assert handed.capacity == pytest.approx(held, rel=1e-3)


@settings(max_examples=25, deadline=None)
@given(
    lower=st.sampled_from(["#6", "#8", "#10"]),
    upper=st.sampled_from(["#5", "#6", "#9"]),
    count=st.integers(16, 30),
    outline=st.sampled_from(["rectangle", "octagon", "circle"]),
)
def test_what_hangs_on_one_mat_asks_only_for_its_own_bars(lower, upper, count, outline) -> None:
    """As of a pad whose two mats are like that one."""
    mats = replace(MATS, size=lower, count=28, upper_size=upper, upper_count=count, outline=outline)
    case = replace(FOUR, pad=replace(PAD, outline=outline), mats=mats)
    both = {"lower": alike(case, lower, 28), "upper": alike(case, upper, count)}
    for mat, single in both.items():
        for key in KEYS:
            mine, its = (check(c, f"{key}-{mat}") for c in (case, single))
            assert (mine and (mine.demand, mine.capacity)) == (its and (its.demand, its.capacity))
    assert check(case, "depth").capacity == check(both["lower"], "depth").capacity


def test_a_pad_whose_mats_are_said_to_be_alike_is_as_one_of_which_nothing_is_said() -> None:
    said = replace(MATS, upper_size="#8", upper_count=27)
    plain = replace(MATS, upper_size=None, upper_count=None)
    assert check_strength(replace(FOUR, mats=said)) == check_strength(replace(FOUR, mats=plain))
    assert rebar_list(said) == rebar_list(plain)
