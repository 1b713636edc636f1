"""Where a base plate stands says how its load comes into the concrete: by bearing, or through the bolts."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.foundation.anchor_case import AnchorageCase
from sitecalc.foundation.anchor_feet import column_steps, foot_size
from sitecalc.foundation.anchor_layout import AnchorLayout
from sitecalc.foundation.anchorage import check_anchorage
from sitecalc.foundation.loads import StrengthLoad
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.rebar import MatCase
from sitecalc.foundation.strength_case import StrengthCase

PAD = PadCase(
    side_ft=16.0, thickness_ft=4.0, top_above_grade_ft=0.5, dead_kip=12.0, moment_kip_ft=470.0,
    shear_kip=6.9, torsion_kip_ft=0.0, kind="ASCE strength level", soil="SM", frost_ft=3.0, water_ft=12.0,
)  # fmt: skip
MATS = MatCase(
    side_ft=16.0, thickness_ft=4.0, size="#8", count=24, cover_lower_in=3.0, cover_upper_in=2.0, fc_psi=4500.0
)
BEARS = StrengthCase(
    pad=PAD, mats=MATS, legs=4, leg_spacing_ft=8.0, plate_side_in=16.0, seat="on grout", embedment_in=30.0,
    foot_in=(2.625, 0.5), feet=4, feet_apart_in=10.0,
)  # fmt: skip
ON_NUTS = replace(BEARS, seat="on leveling nuts")
BOLTS = AnchorageCase(
    layout=AnchorLayout(legs=4, spacing_ft=8.0, bolts=4, pattern_in=10.0),
    loads=(StrengthLoad(name="w", vertical_kip=14.4, moment_kip_ft=470.0, shear_kip=6.9),),
    side_ft=16.0,
    thickness_ft=4.0,
    foot="plate under each",
    seat="on leveling nuts",
    embedment_in=30.0,
    fc_psi=4500.0,
)


def of(checks, key):
    return next(c for c in checks if c.key == key)


def steps(check):
    return {step.symbol: step for step in check.steps}


def test_a_plate_that_does_not_bear_is_not_said_to_pass() -> None:
    assert of(check_strength(BEARS).checks, "concrete bearing").verdict is Verdict.PASSES
    hangs = of(check_strength(ON_NUTS).checks, "concrete bearing")
    assert hangs.verdict is Verdict.DOES_NOT_APPLY and "bolts" in hangs.note


def test_pressed_legs_punch_what_is_left_under_the_feet_of_their_bolts() -> None:
    """Statics: 48 in of pad less 30 in of bolt, 1/2 in of foot, 3 in of cover and one bar."""
    through = steps(of(check_strength(ON_NUTS).checks, "two-way shear"))
    assert through["d"].value == pytest.approx(48 - 30 - 0.5 - 3 - 1.0)
    bearing = steps(of(check_strength(BEARS).checks, "two-way shear"))
    assert bearing["d"].value == pytest.approx(48 - 3 - 1.0)


def test_the_section_stands_round_the_feet_not_round_the_plate() -> None:
    """bo = 4 (10 + 2.625 + 13.5) in inside the pad."""
    through = steps(of(check_strength(ON_NUTS).checks, "two-way shear"))
    assert through["bo"].value == pytest.approx(4 * (10 + 2.625 + 13.5))


def test_feet_far_apart_punch_one_by_one() -> None:
    """Four feet 60 in apart have no more section than four times that of one, 4 x 4 (2.625 + 13.5) in."""
    wide = replace(ON_NUTS, feet_apart_in=60.0, leg_spacing_ft=8.0)
    assert wide.stand is not None
    perimeter = 4 * (12 * wide.stand.side_ft + 13.5)
    assert perimeter == pytest.approx(16 * (2.625 + 13.5))


def test_feet_in_the_lower_mat_leave_nothing_to_stand_on() -> None:
    deep = replace(ON_NUTS, embedment_in=44.0)
    assert of(check_strength(deep).checks, "two-way shear").verdict is Verdict.NOT_CHECKED


def test_feet_that_stay_in_a_pedestal_do_not_thin_the_pad() -> None:
    pad = replace(PAD, pedestal="square", pedestal_side_ft=11.0, pedestal_height_ft=3.0)
    stood = replace(ON_NUTS, pad=pad, dowel_size="#6", dowels=40)
    assert not stood.through_feet
    deeper = replace(stood, embedment_in=60.0)
    found = steps(of(check_strength(deeper).checks, "two-way shear"))
    assert found["d"].value == pytest.approx(48 + 36 - 60 - 0.5 - 3 - 1.0)


@pytest.mark.parametrize(("slender", "design_ksi"), [(60.0, 34.6), (100.0, 21.7), (140.0, 11.5)])
def test_a_column_of_steel_by_its_slenderness(slender: float, design_ksi: float) -> None:
    """phi Fcr of steel that yields at 50 ksi: AISC Manual, table 4-14 (from memory, three figures)."""
    area = 0.606
    free = slender * math.sqrt(area / (4 * math.pi)) / 1.2
    assert column_steps(area, 50.0, free)[-1].value / area == pytest.approx(design_ksi, abs=0.06)


def test_bolts_without_free_length_yield() -> None:
    assert column_steps(0.606, 55.0, 0.0)[-1].value == pytest.approx(0.9 * 55 * 0.606)


def test_the_hardest_pressed_bolt_is_checked_where_it_stands_free() -> None:
    """Statics: M / (sqrt2 a) + P / 4 of a leg, a quarter of that a bolt."""
    found = of(check_anchorage(BOLTS).checks, "anchor-compression")
    assert found.demand == pytest.approx((470 / (math.sqrt(2) * 8) + 14.4 / 4) / 4, rel=1e-6)
    assert found.verdict is Verdict.PASSES
    long = of(check_anchorage(replace(BOLTS, gap_in=12.0, size="1/2")).checks, "anchor-compression")
    assert long.verdict is Verdict.FAILS


@pytest.mark.parametrize("seat", ["on concrete", "on grout"])
def test_bolts_under_a_plate_that_bears_are_not_pressed(seat) -> None:
    checks = check_anchorage(replace(BOLTS, seat=seat)).checks
    for key in ("anchor-compression", "anchor-foot-bearing"):
        assert of(checks, key).verdict is Verdict.DOES_NOT_APPLY


def test_the_foot_bears_on_the_concrete_below_it() -> None:
    """0.65 x 0.85 f'c, doubled at most (22.8.3.2); area of a 2.625 in foot less its 1 in bolt."""
    found = of(check_anchorage(BOLTS).checks, "anchor-foot-bearing")
    assert found.capacity == pytest.approx(0.65 * 0.85 * 4500 * 2)
    assert found.demand == pytest.approx(
        1000 * of(check_anchorage(BOLTS).checks, "anchor-compression").demand
        / (2.625**2 - math.pi / 4)
    )  # fmt: skip
    shallow = of(check_anchorage(replace(BOLTS, embedment_in=47.4)).checks, "anchor-foot-bearing")
    assert shallow.capacity < found.capacity


def test_a_ring_or_a_hook_is_left_to_the_engineer() -> None:
    for foot in ("one plate or ring", "hook"):
        found = of(check_anchorage(replace(BOLTS, foot=foot)).checks, "anchor-foot-bearing")
        assert found.verdict is Verdict.NOT_CHECKED
        assert foot_size(foot, 1.0, 4.0) is None
