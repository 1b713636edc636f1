"""Concrete and steel of a whole pad: a published footing, statics, what is unknown."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_forces import Station, cut_forces, factored, stations
from sitecalc.foundation.pad_shear import OneWayCase, one_way
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.punching import perimeters, punching, sections
from sitecalc.foundation.rebar import MatCase
from sitecalc.foundation.strength_case import StrengthCase, banded, layer_depth_in, mean_depth_in
from sitecalc.inputs import InputError

# Wight & MacGregor, Reinforced Concrete, 5th ed., Ex. 15-2: 18 in column, 912 kip factored, f'c 3,000,
# 11 ft 2 in square, 32 in thick, 11 #8 each way. 1.4 of this dead load is its 912 kip.
SIDE = 134 / 12
FOOTING = StrengthCase(
    pad=PadCase(
        side_ft=SIDE,
        thickness_ft=32 / 12,
        top_above_grade_ft=0.0,
        dead_kip=912 / 1.4,
        moment_kip_ft=0.0,
        shear_kip=0.0,
        kind="ASCE strength level",
        pedestal="square",
        pedestal_side_ft=1.5,
        pedestal_height_ft=1e-6,
    ),
    mats=MatCase(
        side_ft=SIDE,
        thickness_ft=32 / 12,
        size="#8",
        count=11,
        cover_lower_in=3.0,
        cover_upper_in=3.0,
        fc_psi=3000.0,
    ),
    legs=1,
    seismic="A",
)
PAD = PadCase(
    side_ft=16.0,
    thickness_ft=3.5,
    dead_kip=12.0,
    moment_kip_ft=420.0,
    shear_kip=8.0,
    kind="ASCE strength level",
    water_ft=20.0,
)
MATS = MatCase(side_ft=16.0, thickness_ft=3.5, count=20, cover_lower_in=3.0, cover_upper_in=2.0)
FOUR = StrengthCase(pad=PAD, mats=MATS, legs=4, leg_spacing_ft=8.0, plate_side_in=14.0)


def check(case: StrengthCase, key: str):
    return next(c for c in check_strength(case).checks if c.key == key)


def last_row(case: StrengthCase, cuts: list[Station]):
    """Forces of 1.4D, which comes last."""
    forces = cut_forces(factored(case, case.stand), case.stand, cuts)
    return forces.moment_kip_ft[-1], forces.shear_kip[-1]


def test_published_footing_moment_and_one_way_shear() -> None:
    """Mu 954 kip-ft at the face (of 1,065), Vu 204 kip at d = 28 in from it."""
    moment, shear = last_row(FOOTING, [Station(0, 0.75, ("moment",)), Station(1, 0.75 + 28 / 12, ("shear",))])
    assert moment[0] == pytest.approx(953.5, abs=0.5)
    assert shear[1] == pytest.approx(204.1, abs=0.2)
    bent = check(FOOTING, "bending-lower")
    assert bent.demand == pytest.approx(953.5, abs=0.5) and bent.case == "1.4D"
    # it takes 28 in for both layers; here the inner one, 27.5 in, speaks: 0.5 in of 28 less
    assert bent.capacity == pytest.approx(1065 - 0.9 * 8.69 * 60 * 0.5 / 12, abs=1)
    assert bent.passes


def test_published_footing_two_way_shear() -> None:
    """Vu 805 of 847 kip on a section of 4 x 46 in at d = 28 in."""
    found = factored(FOOTING, FOOTING.stand)
    tried = perimeters(FOOTING, FOOTING.stand, found.corners)
    assert sections(tried).length_in == pytest.approx([4 * 46])
    worked = punching(FOOTING, found, tried)
    assert worked.force_kip[-1, 0] == pytest.approx(805, abs=0.6)
    assert worked.moment_x_kip_ft[-1, 0] == pytest.approx(0, abs=1e-6)
    assert worked.strength(FOOTING, 0).design_kip == pytest.approx(846.6, abs=0.2)
    held = check(FOOTING, "two-way shear")
    assert held.ratio == pytest.approx(805 / 847, rel=2e-3) and held.passes


def test_published_footing_passes_the_old_one_way_rule_and_fails_today() -> None:
    """Its 2 sqrt f'c gave 308 kip for 204; ACI 318-19 with the steel ratio leaves 163, so it fails."""
    old = 0.75 * 2 * math.sqrt(3000) * 134 * 28 / 1000
    assert old == pytest.approx(308.3, abs=0.1)
    _, shear = last_row(FOOTING, [Station(0, 0.75 + 28 / 12, ("shear",))])
    assert shear[0] < old
    assert (
        shear[0] > one_way(OneWayCase(width_in=134, depth_in=28, steel_in2=11 * 0.79, fc_psi=3000)).design_kip
    )
    assert check(FOOTING, "one-way shear").verdict is Verdict.FAILS


def test_published_footing_anchors_its_bars_and_has_least_steel() -> None:
    """ld 54.8 in; 0.0018 x 134 x 32 = 7.72 in2 of its 8.69; least dowels 0.005 x 18^2 = 1.62 in2;
    bearing on the footing 1,070 kip."""
    long = check(FOOTING, "development-lower")
    assert long.demand == pytest.approx(54.8, abs=0.05)
    assert long.capacity == pytest.approx(58 - 3)
    assert check(FOOTING, "minimum-lower").demand == pytest.approx(7.72, abs=0.005)
    dowelled = replace(FOOTING, dowel_size="#6", dowels=4)
    assert check(dowelled, "dowels").demand == pytest.approx(1.62, abs=0.001)
    assert check(FOOTING, "concrete bearing").capacity * 324 / 1000 == pytest.approx(1074, abs=5)


PLANS = st.sampled_from(["rectangle", "octagon", "circle"])


@settings(deadline=None)
@given(
    outline=PLANS,
    legs=st.sampled_from([0, 3, 4]),
    moment=st.floats(0, 450),
    shear=st.floats(0, 30),
    above=st.floats(0, 3),
    axis=st.sampled_from([0, 1]),
    water=st.floats(0, 10),
)
def test_nothing_is_left_over_at_the_end_of_the_pad(outline, legs, moment, shear, above, axis, water) -> None:
    """Equilibrium: soil, water, weights and legs of the whole pad sum to no force and no moment."""
    pad = replace(
        PAD,
        outline=outline,
        moment_kip_ft=moment,
        shear_kip=shear,
        reactions_above_ft=above,
        water_ft=water,
        top_above_grade_ft=-0.5,
    )
    case = StrengthCase(
        pad=pad,
        mats=replace(MATS, outline=outline),
        legs=legs,
        leg_spacing_ft=6.0,
        plate_side_in=84.0 if legs == 0 else 14.0,
    )
    found = factored(case, case.stand)
    ends = [Station(axis, at, ("moment",)) for at in (-8.2, 8.2)]
    forces = cut_forces(found, case.stand, ends)
    held = found.balanced
    assert np.abs(forces.shear_kip[held]).max(initial=0) < 1e-6
    assert np.abs(forces.moment_kip_ft[held]).max(initial=0) < 1e-5


@settings(deadline=None)
@given(moment=st.floats(10, 450), shear=st.floats(0, 30), at=st.floats(-7, 7))
def test_a_quarter_turn_of_the_wind_is_a_quarter_turn_of_the_forces(moment, shear, at) -> None:
    case = replace(FOUR, pad=replace(PAD, moment_kip_ft=moment, shear_kip=shear))
    found = factored(case, case.stand)
    forces = cut_forces(found, case.stand, [Station(0, at, ("moment",)), Station(1, at, ("moment",))])
    for combination in ("1.2D + 1.0W", "0.9D + 1.0W"):
        east = found.names.index(f"wind from the E, {combination}")
        north = found.names.index(f"wind from the N, {combination}")
        if found.balanced[[east, north]].all():
            assert forces.moment_kip_ft[east, 0] == pytest.approx(forces.moment_kip_ft[north, 1], abs=1e-6)
            assert forces.shear_kip[east, 0] == pytest.approx(forces.shear_kip[north, 1], abs=1e-6)


@pytest.mark.parametrize("legs", [0, 3, 4])
@pytest.mark.parametrize("key", ["bending-lower", "bending-upper", "one-way shear"])
def test_steps_add_up_from_the_other_side_of_the_cut(legs, key) -> None:
    """What acts on the smaller part beyond the cut gives the same moment and shear as all the rest."""
    case = replace(FOUR, legs=legs, leg_spacing_ft=6.0, plate_side_in=84.0 if legs == 0 else 14.0)
    found = check(case, key)
    step = {s.symbol: s.value for s in found.steps}
    if key == "one-way shear":
        assert abs(step["Q"] - step["W"] - step["F"]) == pytest.approx(found.demand)
    else:
        assert abs(step["Mu"]) == pytest.approx(found.demand)


def test_legs_share_a_moment_as_a_rigid_base() -> None:
    """Four legs 8 ft apart: square to a side M / (2 s), diagonally M / (s sqrt 2) (textbook statics)."""
    case = replace(FOUR, pad=replace(PAD, shear_kip=0.0))
    found = factored(case, case.stand)
    at = found.names.index("wind from the N, 1.2D + 1.0W")
    assert found.down[at].max() == pytest.approx(1.2 * 12 / 4 + 420 / 16)
    at = found.names.index("wind from the NW, 1.2D + 1.0W")
    assert found.down[at].max() == pytest.approx(1.2 * 12 / 4 + 420 / (8 * math.sqrt(2)))
    three = replace(case, legs=3)
    found = factored(three, three.stand)
    at = found.names.index("wind from the S, 0.9D + 1.0W")
    assert found.down[at].max() == pytest.approx(0.9 * 12 / 3 + 420 / (8 * math.sqrt(3) / 2))


def test_a_part_that_lifts_hangs_from_the_upper_mat() -> None:
    """Where no soil presses, what is beyond the face is a cantilever: w b l^2 / 2 of its own weight."""
    gone = replace(PAD, moment_kip_ft=2300.0, shear_kip=0.0, side_ft=24.0)
    case = StrengthCase(
        pad=gone, mats=replace(MATS, side_ft=24.0), legs=0, leg_spacing_ft=3.0, plate_side_in=42.0
    )
    found = factored(case, case.stand)
    row = found.names.index("wind from the N, 0.9D + 1.0W")
    north = 8.0  # the north part lifts under a wind from the north
    a, _b, c = found.planes[row]
    assert a + c * north < 0
    forces = cut_forces(found, case.stand, [Station(1, north, ("moment",))])
    weight = 0.9 * 3.5 * 0.150 * 24
    assert forces.moment_kip_ft[row, 0] == pytest.approx(-weight * 4**2 / 2)
    assert forces.shear_kip[row, 0] == pytest.approx(-weight * 4)
    assert check(case, "bending-upper").demand > 0


def test_pulled_legs_bend_the_pad_between_them_and_punch_upward() -> None:
    keys = {c.key for c in check_strength(FOUR).checks}
    assert {"two-way shear", "two-way shear-pulled", "bending-upper", "minimum-upper"} <= keys
    heavy = replace(FOUR, pad=replace(PAD, dead_kip=400.0, moment_kip_ft=50.0))
    assert "two-way shear-pulled" not in {c.key for c in check_strength(heavy).checks}


def test_each_layer_has_its_own_depth() -> None:
    outer, inner = layer_depth_in(FOUR, "lower", 0), layer_depth_in(FOUR, "lower", 1)
    assert outer == pytest.approx(42 - 3 - 0.375)
    assert outer - inner == pytest.approx(0.75)
    assert mean_depth_in(FOUR, "lower") == pytest.approx(42 - 3 - 0.75)


def test_mats_a_foot_from_the_faces_are_worked_out_as_they_lie() -> None:
    """The starting layout: 12 in of cover leaves a lower mat less depth, and less strength."""
    near, far = (
        check(FOUR, "bending-lower"),
        check(replace(FOUR, mats=replace(MATS, cover_lower_in=12.0)), "bending-lower"),
    )
    assert far.capacity < near.capacity
    assert far.demand == pytest.approx(near.demand)


def test_short_bars_fail_until_they_are_hooked() -> None:
    tight = replace(
        FOOTING,
        mats=replace(FOOTING.mats, size="#11", count=7),
        pad=replace(FOOTING.pad, dead_kip=200.0),
    )
    straight = check(tight, "development-lower")
    assert straight.verdict is Verdict.FAILS and "standard hooks" in straight.note
    assert check(replace(tight, mats=replace(tight.mats, ends="90 degree")), "development-lower").passes


def test_what_is_unknown_passes_nothing() -> None:
    for case in (
        replace(FOUR, legs=None),
        replace(FOUR, plate_side_in=None),
        replace(FOUR, pad=replace(PAD, kind=None)),
        replace(FOUR, edition="ACI 318-14"),
        replace(FOUR, pad=replace(PAD, moment_kip_ft=5000.0)),
    ):
        for key in ("bending-lower", "bending-upper", "one-way shear", "two-way shear"):
            found = check(case, key)
            assert found.verdict is Verdict.NOT_CHECKED and len(found.note) > 20


def test_least_strength_of_the_concrete() -> None:
    """2,500 psi; 3,000 in seismic design categories D to F (Colorado's ACI 318-19 ch. 19 at up.codes)."""
    weak = replace(FOUR, mats=replace(MATS, fc_psi=2500.0))
    assert check(weak, "least strength").verdict is Verdict.NOT_CHECKED
    assert check(replace(weak, seismic="C"), "least strength").passes
    assert check(replace(weak, seismic="D"), "least strength").verdict is Verdict.FAILS


@pytest.mark.parametrize(
    ("case", "field"),
    [
        (replace(FOUR, mats=replace(MATS, side_ft=17.0)), "mats.side_ft"),
        (replace(FOUR, mats=replace(MATS, thickness_ft=4.0)), "mats.thickness_ft"),
        (replace(FOUR, legs=2), "legs"),
        (replace(FOUR, legs=1), "legs"),
        (replace(FOUR, leg_spacing_ft=15.9), "leg_spacing_ft"),
    ],
)
def test_what_contradicts_itself_is_refused(case, field: str) -> None:
    with pytest.raises(InputError) as caught:
        check_strength(case)
    assert caught.value.field == field


def test_cuts_lie_at_every_line_of_legs_and_between() -> None:
    at = {round(s.off_ft, 3) for s in stations(FOUR, FOUR.stand) if s.axis == 0 and "moment" in s.use}
    assert {-4.0, 0.0, 4.0} <= at
    three = replace(FOUR, legs=3)
    north = {round(s.off_ft, 3) for s in stations(three, three.stand) if s.axis == 1 and "moment" in s.use}
    assert {round(8 / math.sqrt(3), 3), round(-8 / math.sqrt(3) / 2, 3)} <= north


def test_short_bars_of_a_rectangle_count_by_their_middle_band() -> None:
    """ACI 318-19, 13.3.3.3 (read in secondary copies): 2 / (1.5 + 1) of them in 1 / 1.5 of the length; 5/6
    count."""
    pad, mats = replace(PAD, other_side_ft=24.0), replace(MATS, other_side_ft=24.0)
    case = StrengthCase(
        pad=replace(pad, moment_kip_ft=100.0), mats=mats, legs=0, leg_spacing_ft=3.0, plate_side_in=42.0
    )
    assert banded(case, 0) == pytest.approx(5 / 6)
    assert banded(case, 1) == 1.0


@settings(deadline=None)
@given(
    outline=PLANS,
    legs=st.sampled_from([0, 1, 3, 4, None]),
    side=st.floats(4, 60),
    thick=st.floats(1, 10),
    moment=st.floats(0, 100_000),
    dead=st.floats(0, 2000),
    spacing=st.floats(0.25, 60),
    plate=st.floats(2, 480),
    count=st.integers(2, 200),
    pedestal=st.sampled_from(["none", "square", "round"]),
    cover=st.floats(1, 72),
)
def test_any_figures_are_judged_or_refused_at_a_field(
    outline, legs, side, thick, moment, dead, spacing, plate, count, pedestal, cover
) -> None:
    """Never an unnamed error, never a check that passes on what is no number."""
    size = {"pedestal_side_ft": 3.0, "pedestal_height_ft": 1.0} if pedestal != "none" else {}
    pad = replace(
        PAD,
        outline=outline,
        side_ft=side,
        thickness_ft=thick,
        moment_kip_ft=moment,
        dead_kip=dead,
        pedestal=pedestal,
        **size,
    )
    mats = replace(MATS, outline=outline, side_ft=side, thickness_ft=thick, count=count, cover_lower_in=cover)
    case = StrengthCase(
        pad=pad, mats=mats, legs=legs, leg_spacing_ft=spacing, plate_side_in=plate, dowel_size="#6", dowels=8
    )
    try:
        checks = check_strength(case).checks
    except InputError as error:
        assert error.field
        return
    for c in checks:
        assert c.verdict is not Verdict.PASSES or math.isfinite(c.ratio)
        assert c.note and c.source


def test_octagon_counts_only_bars_that_reach_past_the_cut() -> None:
    case = StrengthCase(
        pad=replace(PAD, outline="octagon"),
        mats=replace(MATS, outline="octagon"),
        legs=4,
        leg_spacing_ft=8.0,
        plate_side_in=14.0,
    )
    square = check(FOUR, "bending-lower")
    assert check(case, "bending-lower").capacity < square.capacity
