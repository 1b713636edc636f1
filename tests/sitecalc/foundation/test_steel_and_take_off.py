"""Bars, concrete and anchor bolts of a pad."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.foundation.development import ld_in
from sitecalc.foundation.rebar import MatCase, lap_in, pieces, rebar_list, spacing_in
from sitecalc.foundation.steel import check_steel
from sitecalc.foundation.take_off import (
    AnchorCase,
    ConcreteCase,
    DeliveryCase,
    anchor_list,
    anchor_room,
    concrete,
    delivery,
    order_yd3,
)
from sitecalc.inputs import InputError

START = MatCase(side_ft=15.0, thickness_ft=4.0)


def check(case: MatCase, key: str):
    return next(c for c in check_steel(case).checks if c.key == key)


def test_a_fifteen_foot_pad_four_feet_deep() -> None:
    """Common practice, no source: it holds 33.3 yd3 and about 35 yd3 is ordered."""
    found = concrete(ConcreteCase(side_ft=15.0, thickness_ft=4.0))
    assert found.net_yd3 == pytest.approx(33.3, abs=0.05)
    ordered = delivery(DeliveryCase(volume_ft3=found.volume_ft3))
    assert ordered.order_yd3 == 35.0
    assert len(ordered.loads_yd3) == 4


def test_published_volume_is_rounded_up() -> None:
    """US Navy Engineering Aid Basic (NAVEDTRA 14070), estimating example: 527.40 ft3 with 10 % is 580.14 ft3,
    21.49 yd3. The manual writes "21 cu yd"; an order rounds up."""
    assert order_yd3(527.40, 10) == 21.5


def test_an_exact_quarter_yard_is_not_rounded_further() -> None:
    assert order_yd3(27 * 10, 5, 0.25) == 10.5
    assert order_yd3(27 * 10 + 0.1, 5, 0.25) == 10.75


def test_starting_layout_has_mats_at_their_least_cover() -> None:
    """ACI 318-19, table 20.5.1.3.1 (from memory): 3 in cast against earth, 2 in of #6 in the weather."""
    assert (START.cover_lower_in, START.cover_upper_in) == (3.0, 2.0)
    assert check(START, "cover").passes


def test_least_steel_counts_the_gross_section() -> None:
    """ACI 318-19, 7.6.1.1 (read in secondary copies): 0.0018 of b h. 180 in by 48 in ask 15.55 in2."""
    found = check(START, "minimum steel")
    assert found.demand == pytest.approx(15.552)
    assert found.capacity == pytest.approx(2 * 18 * 0.44)
    assert found.passes
    assert not check(replace(START, count=17), "minimum steel").passes


def test_spacing_is_held_from_both_ends() -> None:
    assert check(replace(START, count=8), "bar spacing").verdict is Verdict.FAILS
    assert check(replace(START, count=150, size="#11"), "bar spacing").verdict is Verdict.FAILS
    assert check(replace(START, count=70), "bar spacing").verdict is Verdict.FAILS  # 1.77 in clear
    assert check(START, "bar spacing").passes


def test_cover_rules() -> None:
    """ACI 318-19, table 20.5.1.3.1 (read in secondary copies): 3 in against earth; 2 in #6 and up, 1.5 in
    below."""
    assert not check(replace(START, cover_lower_in=2.5), "cover").passes
    assert not check(replace(START, cover_upper_in=1.75), "cover").passes
    assert check(replace(START, cover_upper_in=1.75, size="#5", count=26), "cover").passes


def test_bars_of_each_way_are_counted_for_their_own_width() -> None:
    """17 of 18 bars one way: 2 x 17 x 0.44 = 14.96 in2 of 15.552."""
    assert not check(replace(START, other_count=17), "minimum steel").passes
    assert check(replace(START, other_count=19), "minimum steel").passes


def test_development_length_of_a_published_footing() -> None:
    """Wight and MacGregor, Reinforced Concrete, 5th ed., example 15-2: #8 in 3,000 psi is 54.8 in."""
    assert ld_in("#8", 3000, 60, top=False) == pytest.approx(54.8, abs=0.05)


def test_top_bars_are_developed_further() -> None:
    """ACI 318-19, table 25.4.2.5 (read in secondary copies): 1.3 with more than 12 in of fresh concrete
    below."""
    assert ld_in("#8", 3000, 60, top=True) == pytest.approx(1.3 * 54.77, abs=0.02)
    assert lap_in("#3", 10_000, 40, top=False) == 16.0  # 1.3 times the 12 in that it is at least, rounded up


def test_lengths_and_weight_of_the_starting_layout() -> None:
    """ASTM A615: #6 weighs 1.502 lb/ft; 15 ft less 3 in at each end is 14.5 ft."""
    found = rebar_list(START)
    assert [m.mark for m in found.marks] == ["B1", "B2", "T1", "T2"]
    assert {(m.length_ft, m.pieces, m.lap_in) for m in found.marks} == {(14.5, 1, 0.0)}
    assert found.weight_lb == pytest.approx(4 * 18 * 14.5 * 1.502)


def test_spacing_from_a_worked_layout() -> None:
    """Arithmetic: 12 ft, 3 in cover, 13 #5: (144 - 6 - 0.625) / 12."""
    case = MatCase(side_ft=12.0, thickness_ft=3.0, size="#5", count=13, cover_lower_in=3, cover_upper_in=2)
    assert spacing_in(case, "east to west", "lower") == pytest.approx(11.45, abs=0.005)
    assert rebar_list(case).weight_lb == pytest.approx(623.7, abs=0.1)


def test_bars_longer_than_stock_are_lapped() -> None:
    """24.5 ft from 20 ft stock with 31 in laps: two pieces, 27.08 ft in all (arithmetic)."""
    count, each = pieces(24.5, 20.0, 31 / 12)
    assert count == 2
    assert count * each == pytest.approx(27.08, abs=0.005)
    assert pieces(20.0, 20.0, 2.0) == (1, 20.0)
    assert pieces(100.0, 20.0, 3.0)[0] == 6  # 5 cover 5 x 20 - 4 x 3 = 88 ft


def test_a_lap_longer_than_the_stock_is_refused() -> None:
    with pytest.raises(InputError, match="lap"):
        pieces(30.0, 5.0, 6.0)


def test_every_lapped_piece_can_be_sent() -> None:
    found = rebar_list(MatCase(side_ft=45.0, thickness_ft=5.0, count=40, stock_ft=20.0))
    assert all(m.piece_ft <= 20.0 and m.pieces > 1 for m in found.marks)
    for m in found.marks:
        assert m.pieces * m.piece_ft - (m.pieces - 1) * m.lap_in / 12 == pytest.approx(m.length_ft)
    assert {m.lap_in for m in found.marks if m.mat == "upper"} > {0.0} or all(m.lap_in for m in found.marks)


def test_mats_that_do_not_fit_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        rebar_list(replace(START, thickness_ft=2.0, cover_lower_in=12.0, cover_upper_in=12.0))
    assert caught.value.field == "cover_upper_in"


def test_anchor_bolts_are_counted_by_leg() -> None:
    found = anchor_list(AnchorCase(legs=4, per_leg=4))
    assert found.bolts == 16
    items = {line.item: line.quantity for line in found.lines}
    assert items["Heavy hex nut"] == 64 and items["Hardened washer"] == 32 and items["Anchor plate"] == 16
    assert found.length_in == 7 + 30 + 2  # projection, embedment, plate 1/2, nut 1, thread 1/2


def test_anchor_bolts_end_above_the_lower_mat() -> None:
    case = AnchorCase(legs=4, per_leg=4, embedment_in=30.0)
    assert anchor_room(case, 4.0, 12.0, 0.75).passes
    assert not anchor_room(case, 3.0, 3.0, 0.75).passes


def test_the_command_runs_every_calculation_of_the_foundation(tmp_path) -> None:
    cases = {
        "foundation.pad": {"side_ft": 15, "thickness_ft": 4},
        "foundation.smallest_pad": {"pad": {"side_ft": 15, "thickness_ft": 4}},
        "foundation.steel": {"side_ft": 15, "thickness_ft": 4},
        "foundation.rebar": {"side_ft": 15, "thickness_ft": 4},
        "foundation.concrete": {"side_ft": 15, "thickness_ft": 4},
        "foundation.anchors": {"legs": 4, "per_leg": 4},
    }
    from sitecalc.__main__ import run

    for name, case in cases.items():
        assert json.dumps(run(name, case)["results"], allow_nan=False)
    path = tmp_path / "case.json"
    path.write_text(json.dumps({"side_ft": 15, "thickness_ft": 48}), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "sitecalc", "foundation.pad", str(path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "thickness_ft" in done.stderr
