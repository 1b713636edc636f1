"""An anchorage as a whole: every mode at its worst wind, what is left to the engineer, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.__main__ import run
from sitecalc.checks import Verdict
from sitecalc.foundation.anchor_case import AnchorageCase, AnchorReinforcement
from sitecalc.foundation.anchor_layout import AnchorLayout
from sitecalc.foundation.anchor_strength import basic_breakout_lb
from sitecalc.foundation.anchorage import AnchorageResult, check_anchorage
from sitecalc.foundation.development import ld_in
from sitecalc.foundation.loads import BaseLoads, StrengthLoad, service, strength
from sitecalc.inputs import InputError

FOUR = AnchorLayout(legs=4, spacing_ft=10.0, bolts=4, pattern_in=8.0)
WIND = StrengthLoad(name="0.9D + 1.0W", vertical_kip=6.0, moment_kip_ft=300.0, shear_kip=8.0)
PAD = AnchorageCase(
    layout=FOUR, loads=(WIND,), side_ft=18.0, thickness_ft=4.0, fc_psi=4000, seismic_category="B"
)
BEFORE = AnchorReinforcement(size="#5", count=8, away_in=6.0, top_in=3.0, foot_in=44.0)


def check(found: AnchorageResult, key: str):
    return next(c for c in found.checks if c.key == key)


def test_steel_of_a_leg_in_the_words_of_the_house() -> None:
    """Closed form: M/(sqrt2 a) - W/4 = 19.71 kip over four bolts; phi Nsa of 1 in Grade 55 is 34.1 kip."""
    found = check(check_anchorage(PAD), "anchor-steel-tension")
    assert found.demand == pytest.approx(19.71 / 4, abs=0.005)
    assert found.capacity == pytest.approx(34.1, abs=0.02)
    assert found.passes
    for words in ("4.93 of 34.09 kip", "leg toward", "wind from the", "0.9D + 1.0W"):
        assert words in found.note


def test_steel_in_shear_is_a_fifth_weaker_over_grout() -> None:
    """17.7.1.2.1 (read in secondary copies): 0.8; phi 0.65 x 0.6 x 0.606 x 75 = 17.7 kip."""
    on = {
        s: check(check_anchorage(replace(PAD, seat=s)), "anchor-steel-shear")
        for s in ("on concrete", "on grout")
    }
    assert on["on concrete"].capacity == pytest.approx(0.65 * 0.6 * 0.606 * 75)
    assert on["on grout"].capacity == pytest.approx(0.8 * on["on concrete"].capacity)
    assert on["on grout"].demand == pytest.approx(8 / 16)


def test_breakout_of_a_leg_far_from_the_edges() -> None:
    """Closed form: 8 in square, hef 12 in, phi 0.70: (36 + 8)^2 / (9 x 144) x 16 sqrt(4000) 12^(5/3)."""
    found = check(check_anchorage(replace(PAD, embedment_in=12.0)), "anchor-breakout-tension")
    nb = 16 * math.sqrt(4000) * 12 ** (5 / 3)
    assert found.capacity == pytest.approx(0.70 * 44**2 / 1296 * nb / 1000)
    assert found.demand == pytest.approx(19.71, abs=0.005)


def test_pryout_is_twice_breakout_of_all_bolts() -> None:
    """17.7.3 (read in secondary copies): kcp 2 from 2.5 in on; the printed example doubles 92,221 lb to
    184,442."""
    found = check_anchorage(replace(PAD, embedment_in=12.0))
    twice = 2 * check(found, "anchor-breakout-tension").capacity
    assert check(found, "anchor-pryout").capacity == pytest.approx(twice)
    assert check(found, "anchor-pryout").demand == pytest.approx(2.0)


def test_two_legs_that_share_concrete_are_asked_for_together() -> None:
    """hef 45 in spreads 135 in: legs 10 ft apart break out together, wind square to a side. Their strength
    is less than twice that of one alone."""
    found = check_anchorage(replace(PAD, thickness_ft=6.0, embedment_in=45.0, side_ft=26.0))
    both = check(found, "anchor-breakout-tension")
    assert "legs toward" in both.note
    alone = 0.70 * (135 + 8) ** 2 / (9 * 45**2) * basic_breakout_lb(45, 4000) / 1000
    assert both.demand > 19.71 and both.capacity < 2 * alone


def test_a_narrow_pedestal_kills_breakout_and_reinforcement_takes_over() -> None:
    """17.6.2.1.2 cuts hef from 30 to 5.33 in; 17.5.2.1: phi 0.75 x 8 x 0.31 x 60 replaces breakout only."""
    bare = replace(PAD, pedestals="one under each leg", pedestal_side_ft=2.0, pedestal_height_ft=1.5,
                   embedment_in=40.0, thickness_ft=5.0)  # fmt: skip
    weak = check(check_anchorage(bare), "anchor-breakout-tension")
    assert weak.steps[0].value == pytest.approx(8 / 1.5)
    assert weak.capacity == pytest.approx(0.70 * 24**2 / (9 * (8 / 1.5) ** 2) * 24 * math.sqrt(4000)
                                          * (8 / 1.5) ** 1.5 / 1000)  # fmt: skip
    tied = check_anchorage(replace(bare, reinforcement=BEFORE))
    strong = check(tied, "anchor-breakout-tension")
    assert strong.capacity == pytest.approx(0.75 * 8 * 0.31 * 60)
    for key in ("anchor-pullout", "anchor-blowout"):
        assert check(tied, key).capacity == check(check_anchorage(bare), key).capacity


def test_reinforcement_must_be_developed_on_both_sides() -> None:
    """The body's face crosses a bar 6 in from its bolt at 40 - 6/1.5 = 36 in; a foot at 44 in leaves 8 in."""
    case = replace(PAD, embedment_in=40.0, thickness_ft=6.0, reinforcement=BEFORE)
    found = check_anchorage(case)
    below = check(found, "anchor-reinforcement-below")
    assert below.demand == pytest.approx(ld_in("#5", 4000)) and below.capacity == pytest.approx(8.0)
    assert below.verdict is Verdict.FAILS
    assert check(found, "anchor-reinforcement-above").capacity == pytest.approx(33.0)
    deeper = replace(BEFORE, foot_in=66.0)
    assert check(check_anchorage(replace(case, reinforcement=deeper)), "anchor-reinforcement-below").passes


def test_fatigue_is_never_passed_and_static_modes_are_judged() -> None:
    found = check_anchorage(PAD)
    left = [c for c in found.checks if c.verdict is Verdict.NOT_CHECKED]
    assert [c.key for c in left] == ["anchor-fatigue"]
    assert "17.1.4" in left[0].note and "engineer" in left[0].note
    # the edges are far and nowhere are tension and shear both a fifth: these two ask nothing, and are no pass
    unasked = {c.key for c in found.checks if c.verdict is Verdict.DOES_NOT_APPLY}
    assert unasked == {"anchor-blowout", "anchor-interaction"}
    assert sum(c.passes for c in found.checks) + len(unasked) >= 9
    assert sum(c.passes for c in found.checks) == len(found.checks) - len(unasked) - len(left)
    assert any("Prying" in said for said in found.said)


@pytest.mark.parametrize("foot", ["one plate or ring", "hook"])
def test_bolts_outside_the_chapter_pass_in_steel_only(foot) -> None:
    found = check_anchorage(replace(PAD, foot=foot))
    assert check(found, "anchor-steel-tension").passes
    concrete = ["anchor-breakout-tension", "anchor-pullout", "anchor-blowout", "anchor-breakout-shear",
                "anchor-pryout", "anchor-interaction"]  # fmt: skip
    assert all(check(found, key).verdict is Verdict.NOT_CHECKED for key in concrete)
    assert len({c.key for c in found.checks}) == len(found.checks)


def test_long_bolts_under_a_bare_plate_bend() -> None:
    """One diameter of gap is the most (AASHTO's rule for double-nut joints, from memory)."""
    assert check(check_anchorage(replace(PAD, gap_in=3.0)), "anchor-bending").verdict is Verdict.NOT_CHECKED
    assert all(c.key != "anchor-bending" for c in check_anchorage(replace(PAD, gap_in=1.0)).checks)


def test_an_earthquake_asks_for_more() -> None:
    """17.10.5.4 (read in secondary copies): 0.75 on concrete in tension, not on steel, not in shear."""
    calm, shaken = check_anchorage(PAD), check_anchorage(replace(PAD, seismic_category="D"))
    for key in ("anchor-breakout-tension", "anchor-pullout"):
        assert check(shaken, key).capacity == pytest.approx(0.75 * check(calm, key).capacity)
    for key in ("anchor-steel-tension", "anchor-breakout-shear", "anchor-pryout"):
        assert check(shaken, key).capacity == pytest.approx(check(calm, key).capacity)
    assert check(shaken, "anchor-seismic").verdict is Verdict.NOT_CHECKED
    assert check(shaken, "anchor-stretch").verdict is Verdict.NOT_CHECKED
    assert check(shaken, "anchor-seismic-ductility").demand == pytest.approx(1.2 * 0.606 * 75)
    given_ = replace(PAD, seismic_category="D", earthquake_in_loads=True, overstrength=True)
    assert not [c for c in check_anchorage(given_).checks if "seismic" in c.key or c.key == "anchor-stretch"]


def test_an_unknown_seismic_category_is_not_checked() -> None:
    found = check_anchorage(replace(PAD, seismic_category=None))
    assert check(found, "anchor-seismic").verdict is Verdict.NOT_CHECKED


def test_tension_with_shear_of_the_same_leg() -> None:
    """17.8: the sum of both ratios to 1.2, each over 0.2. Steel governs both: 16 bolts, 4 a leg."""
    load = StrengthLoad(name="0.9D + 1.0W", vertical_kip=6.0, moment_kip_ft=1500.0, shear_kip=130.0)
    case = replace(
        PAD, loads=(load,), embedment_in=40.0, thickness_ft=5.0, side_ft=30.0, foot="plate under each"
    )
    found = check(check_anchorage(case), "anchor-interaction")
    tension = (1500 / (math.sqrt(2) * 10) - 1.5) / 4 / (0.75 * 0.606 * 75)
    shear = 130 / 16 / (0.8 * 0.65 * 0.6 * 0.606 * 75)
    assert found.demand == pytest.approx(tension + shear, rel=1e-6)
    assert found.capacity == 1.2 and found.steps[-1].value == found.demand


def test_torqued_bolts_keep_six_diameters() -> None:
    """17.9.2 (read in secondary copies): 6 da where torqued, 4 da where not."""
    close = replace(PAD, layout=replace(FOUR, pattern_in=5.0))
    assert check(check_anchorage(close), "anchor-spacing").verdict is Verdict.FAILS
    assert check(check_anchorage(replace(close, torqued=False)), "anchor-spacing").passes


def test_a_ring_in_a_round_pedestal() -> None:
    ring = AnchorLayout(legs=1, spacing_ft=3.0, bolts=12)
    case = AnchorageCase(
        layout=ring,
        loads=(StrengthLoad(name="w", vertical_kip=8.0, moment_kip_ft=150.0, shear_kip=5.0),),
        side_ft=14.0,
        thickness_ft=4.0,
        pedestals="one under all",
        pedestal_side_ft=5.0,
        pedestal_round=True,
        pedestal_height_ft=2.0,
        size="1",
        embedment_in=36.0,
        seismic_category="A",
    )
    found = check_anchorage(case)
    assert check(found, "anchor-steel-tension").demand == pytest.approx(16.0)
    assert max(b.tension_kip for b in found.bolts) == pytest.approx(16.0)
    assert any("octagon" in said for said in found.said)


def test_service_loads_never_reach_the_bolts() -> None:
    with pytest.raises(TypeError, match="Factored"):
        check_anchorage(replace(PAD, loads=service(BaseLoads(dead_kip=6, moment_kip_ft=300, shear_kip=8))))


def test_the_least_dead_load_lifts_most() -> None:
    """0.9D governs uplift, never 1.2D."""
    found = check_anchorage(
        replace(PAD, loads=strength(BaseLoads(dead_kip=6, moment_kip_ft=300, shear_kip=8)))
    )
    assert "0.9D" in check(found, "anchor-steel-tension").case


@given(
    m=st.floats(0, 3000), v=st.floats(0, 60), t=st.floats(0, 60), d=st.floats(0, 60),
    legs=st.sampled_from([1, 3, 4]), first=st.floats(0, 360),
)  # fmt: skip
@settings(max_examples=15, deadline=None)
def test_more_wind_never_helps(m, v, t, d, legs, first) -> None:
    layout = AnchorLayout(
        legs=legs, spacing_ft=4.0, bolts=8, pattern="circle", pattern_in=14.0, first_deg=first
    )
    case = replace(
        PAD,
        layout=layout,
        loads=(StrengthLoad(name="w", vertical_kip=d, moment_kip_ft=m, shear_kip=v, torsion_kip_ft=t),),
    )
    more = replace(
        case,
        loads=(
            StrengthLoad(
                name="w", vertical_kip=d, moment_kip_ft=1.3 * m, shear_kip=1.3 * v, torsion_kip_ft=1.3 * t
            ),
        ),
    )
    low, high = check_anchorage(case), check_anchorage(more)
    for c in low.checks:
        if c.ratio is not None and c.key in ("anchor-steel-tension", "anchor-pullout", "anchor-steel-shear",
                                             "anchor-breakout-shear", "anchor-pryout"):  # fmt: skip
            assert (check(high, c.key).ratio or 0.0) >= c.ratio - 1e-9


def test_what_cannot_be_built_is_refused_at_its_field() -> None:
    for case, field in (
        (replace(PAD, side_ft=8.0), "side_ft"),
        (replace(PAD, embedment_in=48.0), "embedment_in"),
        (
            replace(
                PAD,
                pedestals="one under each leg",
                pedestal_side_ft=8 / 12,
                pedestal_height_ft=1.0,
            ),
            "pedestal_side_ft",
        ),
        (replace(PAD, pedestals="one under each leg"), "pedestal_side_ft"),
        (replace(PAD, pedestals="one under each leg", pedestal_side_ft=2.0), "pedestal_height_ft"),
        (replace(PAD, loads=()), "loads"),
    ):
        with pytest.raises(InputError) as caught:
            check_anchorage(case)
        assert caught.value.field == field


def test_the_command_takes_a_case() -> None:
    case = {
        "layout": {"legs": 4, "spacing_ft": 10.0, "bolts": 4, "pattern_in": 8.0},
        "loads": [{"name": "0.9D + 1.0W", "vertical_kip": 6, "moment_kip_ft": 300, "shear_kip": 8}],
        "side_ft": 18.0,
        "thickness_ft": 4.0,
    }
    found = run("foundation.anchorage", case)["results"]
    assert {c["key"] for c in found["checks"]} >= {"anchor-steel-tension", "anchor-fatigue"}
    assert found["legs"][0]["uplift_kip"] == pytest.approx(19.71, abs=0.005)
