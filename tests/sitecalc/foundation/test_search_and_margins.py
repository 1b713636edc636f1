"""The smallest pad whose ground, concrete and steel all pass, and how far a pad is from failing."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from sitecalc.checks import Verdict
from sitecalc.foundation.margins import MarginCase, margins
from sitecalc.foundation.mat_search import least_mats, stops, with_pad
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.rebar import MatCase
from sitecalc.foundation.search import SearchCase, smallest_pad
from sitecalc.foundation.stability import check_pad
from sitecalc.foundation.strength_case import StrengthCase
from sitecalc.foundation.tables import bars

PAD = PadCase(
    side_ft=20.0,
    thickness_ft=4.0,
    dead_kip=12.0,
    moment_kip_ft=500.0,
    shear_kip=8.0,
    torsion_kip_ft=0.0,
    kind="ASCE strength level",
    soil="SC",
    frost_ft=3.0,
    water_ft=20.0,
)
MATS = MatCase(side_ft=20.0, thickness_ft=4.0, size="#8", count=30, cover_lower_in=3.0, cover_upper_in=2.0)
LEGS = StrengthCase(pad=PAD, mats=MATS, legs=4, leg_spacing_ft=6.0, plate_side_in=14.0)


def found_for(strength: StrengthCase, pad: PadCase = PAD):
    found = smallest_pad(SearchCase(pad, strength=strength)).found
    assert found is not None
    sized = replace(pad, side_ft=found.side_ft, thickness_ft=found.thickness_ft)
    case = with_pad(strength, sized)
    bars_found = {name: getattr(found, name) for name in ("size", "count", "upper_size", "upper_count")}
    return found, replace(case, mats=replace(case.mats, **bars_found))


@pytest.mark.parametrize("outline", ["rectangle", "octagon", "circle"])
def test_what_is_found_passes_every_check_of_ground_concrete_and_steel(outline) -> None:
    pad = replace(PAD, outline=outline)
    found, case = found_for(replace(LEGS, pad=pad, mats=replace(MATS, outline=outline)), pad)
    checks = [*check_pad(case.pad).checks, *check_strength(case).checks]
    assert [c.key for c in checks if c.needs_answer] == []
    assert found.governs.passes and found.strength_governs is not None


def test_nothing_with_less_concrete_passes() -> None:
    """Against every pad in half feet that has less, with every number of #6 to #8 bars in steps of four."""
    strength = replace(LEGS, leg_spacing_ft=10.0)
    found, _case = found_for(strength)
    tried = 0
    for thick in (3.5, 4.0, 4.5, 5.0):
        for half_feet in range(20, 2 * int(found.side_ft) + 2):
            side = half_feet / 2
            if side * side * thick / 27 >= found.volume_yd3 - 1e-9 or thick < found.thickness_ft:
                continue
            pad = replace(PAD, side_ft=side, thickness_ft=thick)
            if [c for c in check_pad(pad).checks if not c.passes]:
                continue
            case = with_pad(strength, pad)
            for size in ("#6", "#7", "#8"):
                for count in range(10, 50, 4):
                    barred = replace(case, mats=replace(case.mats, size=size, count=count))
                    assert [c for c in check_strength(barred).checks if not c.passes]
                    tried += 1
    assert tried > 100


def test_no_lighter_mats_pass_and_the_upper_is_the_lighter() -> None:
    """Against every pair of #6 to #9 below and #5 to #8 above, in steps of two and three bars."""
    mats, stopped = least_mats(LEGS)
    assert mats is not None and stopped is None
    below = mats.count * bars()[mats.size].weight_lb_ft
    above = mats.upper_count * bars()[mats.upper_size].weight_lb_ft
    assert above < below / 2
    tried = 0
    for size, upper_size in product(("#6", "#7", "#8", "#9"), ("#5", "#6", "#7", "#8")):
        for count, upper_count in product(range(14, 39, 2), range(12, 30, 3)):
            weights = (count * bars()[size].weight_lb_ft, upper_count * bars()[upper_size].weight_lb_ft)
            if sum(weights) < below + above - 1e-9:
                barred = replace(MATS, size=size, count=count, upper_size=upper_size, upper_count=upper_count)
                assert [c for c in check_strength(replace(LEGS, mats=barred)).checks if not c.passes]
                tried += 1
    assert tried > 30


def test_what_stops_the_next_smaller_pad_is_said() -> None:
    found, _case = found_for(LEGS)
    assert found.smaller_ft == found.side_ft - 0.5
    assert found.smaller_fails is not None and not found.smaller_fails.passes


def test_a_pad_the_ground_holds_may_still_need_more_concrete() -> None:
    """Legs far apart on a small pad: their bars end too near."""
    ground = smallest_pad(SearchCase(PAD)).found
    wide = replace(LEGS, leg_spacing_ft=10.0)
    found, _case = found_for(wide)
    assert ground is not None and found.volume_yd3 > ground.volume_yd3
    assert ground.size is None and ground.count is None


def test_search_says_what_is_missing_or_stops_every_pad() -> None:
    assert "Legs" in smallest_pad(SearchCase(PAD, strength=replace(LEGS, legs=None))).why_none
    crushed = replace(LEGS, plate_side_in=2.0)
    said = smallest_pad(
        SearchCase(replace(PAD, dead_kip=900.0, soil="crystalline bedrock"), strength=crushed)
    )
    assert said.found is None and "Bearing on the concrete" in said.why_none


def row(case: MarginCase, what: str):
    return next(r for r in margins(case).rows if r.what == what)


def test_wind_may_grow_to_where_the_first_check_fails() -> None:
    for case in (MarginCase(PAD), MarginCase(PAD, LEGS)):
        wind = row(case, "wind")
        for factor, all_pass in ((wind.limit, True), (wind.limit * 1.003, False)):
            pad = replace(PAD, moment_kip_ft=500 * factor, shear_kip=8 * factor)
            checks = [*check_pad(pad).checks]
            if case.strength:
                checks += check_strength(replace(LEGS, pad=pad)).checks
            assert all(c.verdict is not Verdict.FAILS for c in checks) is all_pass
        assert wind.first is not None and wind.first.lower() in wind.note


@pytest.mark.parametrize(
    ("dead", "moment", "title"), [(400.0, 1500.0, "One-way shear"), (12.0, 900.0, "Balance")]
)
def test_wind_may_grow_to_where_concrete_fails_before_the_ground(dead, moment, title) -> None:
    """On rock, with no rule for contact: plain halving between passing and failing finds the same."""
    pad = replace(
        PAD,
        soil="crystalline bedrock",
        contact_required_pct=0.0,
        moment_kip_ft=float(moment),
        dead_kip=float(dead),
    )
    case = replace(LEGS, pad=pad, mats=replace(MATS, count=27, upper_size="#6", upper_count=14))

    def stopped(factor: float) -> list[str]:
        blown = replace(pad, moment_kip_ft=moment * factor, shear_kip=8 * factor)
        return [c.title for c in [*check_pad(blown).checks, *check_strength(replace(case, pad=blown)).checks]
                if stops(c)]  # fmt: skip

    low, high = 1.0, 4.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (low, middle) if stopped(middle) else (middle, high)
    wind = row(MarginCase(pad, case), "wind")
    assert low - 3 / 4096 <= wind.limit <= low + 1e-5
    assert wind.first == title and (title in stopped(high) or "balances" in wind.note)


def test_water_may_rise_to_where_the_first_check_fails() -> None:
    heavy = replace(PAD, moment_kip_ft=1000.0)
    water = row(MarginCase(heavy), "water")
    assert 0 < water.limit < 20
    assert not [c for c in check_pad(replace(heavy, water_ft=water.limit)).checks if not c.passes]
    raised = check_pad(replace(heavy, water_ft=water.limit - 0.01)).checks
    assert [c.title for c in raised if not c.passes] == [water.first]


def test_ground_may_be_as_soft_as_the_pressure_on_it() -> None:
    bearing = row(MarginCase(PAD), "bearing")
    assert bearing.limit == pytest.approx(check_pad(PAD).governing.pressure_psf)
    held = replace(PAD, report_bearing_psf=bearing.limit)
    assert next(c for c in check_pad(held).checks if c.key == "bearing").passes


def test_a_pad_that_fails_already_says_so() -> None:
    wind = row(MarginCase(replace(PAD, moment_kip_ft=1800.0)), "wind")
    assert wind.limit < 1 and "of this wind" in wind.note
    assert "given" in row(MarginCase(replace(PAD, kind=None)), "wind").note
    assert "given" in row(MarginCase(replace(PAD, water_ft=None)), "water").note


def test_the_winds_torsion_grows_with_it_and_what_is_not_checked_is_said() -> None:
    """Where little holds it sideways: at the limit shear and torsion are both as many times as large."""
    pad = replace(PAD, report_friction=0.1, torsion_kip_ft=60.0)
    wind = row(MarginCase(pad), "wind")
    assert wind.first == "Sliding"
    sliding = {
        factor: next(
            c for c in check_pad(
                replace(pad, moment_kip_ft=500 * factor, shear_kip=8 * factor, torsion_kip_ft=60 * factor)
            ).checks if c.key == "sliding"
        ).verdict
        for factor in (wind.limit, wind.limit * 1.003)
    }  # fmt: skip
    assert list(sliding.values()) == [Verdict.PASSES, Verdict.FAILS]
    assert "not checked: sliding" in row(MarginCase(replace(PAD, torsion_kip_ft=None)), "wind").note
