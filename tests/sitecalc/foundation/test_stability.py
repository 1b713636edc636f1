"""The pad on its ground: loads at the underside, least and greatest dead load, what is unknown."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.foundation.pad import PadCase, combinations, leeward, weights
from sitecalc.foundation.search import SearchCase, smallest_pad
from sitecalc.foundation.stability import check_pad
from sitecalc.foundation.tables import anchor_bolts, bars, soils
from sitecalc.foundation.words import COMPASS
from sitecalc.inputs import InputError

PAD = PadCase(
    side_ft=14.0,
    thickness_ft=4.0,
    dead_kip=9.0,
    moment_kip_ft=300.0,
    shear_kip=5.0,
    torsion_kip_ft=0.0,
    kind="ASCE strength level",
    soil="SC",
    frost_ft=3.0,
    water_ft=20.0,
)


def check(case: PadCase, key: str):
    return next(c for c in check_pad(case).checks if c.key == key)


def test_moment_is_taken_to_the_underside() -> None:
    """Statics: M + H t, and the height at which the reactions are stated."""
    greatest, least = combinations(PAD)
    assert greatest.moment_kip_ft == pytest.approx(0.6 * (300 + 5 * 4))
    raised, _ = combinations(replace(PAD, reactions_above_ft=1.5))
    assert raised.moment_kip_ft == pytest.approx(0.6 * (300 + 5 * 5.5))
    assert least.moment_kip_ft == greatest.moment_kip_ft


def test_both_dead_loads_are_tried() -> None:
    """150 pcf: 14 x 14 x 4 ft weigh 117.6 kip."""
    greatest, least = combinations(PAD)
    assert (greatest.name, least.name) == ("D + 0.6W", "0.6D + 0.6W")
    assert greatest.vertical_kip == pytest.approx(126.6)
    assert least.vertical_kip == pytest.approx(0.6 * 126.6)


@pytest.mark.parametrize("kind", ["IEC extreme gust", "maker's service"])
def test_a_load_that_is_not_at_strength_level_is_not_reduced(kind: str) -> None:
    greatest, _ = combinations(replace(PAD, kind=kind))
    assert greatest.name == "D + 1.0W"
    assert greatest.shear_kip == 5.0


def test_the_least_dead_load_can_press_harder() -> None:
    """At a fixed moment the one-way pressure is lowest at e = B/4; beyond it less load presses harder."""
    heavy = replace(PAD, moment_kip_ft=900.0)
    result = check_pad(heavy)
    assert result.governing.combination == "0.6D + 0.6W"
    assert check_pad(replace(PAD, moment_kip_ft=60.0)).governing.combination == "D + 0.6W"


def test_diagonal_wind_governs_bearing_and_square_wind_overturning() -> None:
    result = check_pad(PAD)
    assert result.governing.wind_from in ("NW", "NE", "SE", "SW")
    found = check(PAD, "overturning")
    assert found.capacity == pytest.approx(0.6 * 126.6 * 7)


def test_of_equal_directions_the_prevailing_one_is_named() -> None:
    assert check_pad(replace(PAD, prevailing="SE")).governing.wind_from == "SE"
    assert check_pad(replace(PAD, prevailing="S")).governing.wind_from in ("SW", "SE")


def test_wind_from_the_northwest_pushes_southeast() -> None:
    east, north = leeward("NW")
    assert (east, north) == (pytest.approx(math.sqrt(0.5)), pytest.approx(-math.sqrt(0.5)))
    assert leeward("N") == (pytest.approx(0), pytest.approx(-1))


def test_rose_of_a_square_pad_is_alike_in_its_eight_directions() -> None:
    rose = {p.wind_from: p.pressure_psf for p in check_pad(PAD).rose}
    assert set(rose) == set(COMPASS)
    for group in (("N", "E", "S", "W"), ("NE", "SE", "SW", "NW"), COMPASS[1::2]):
        assert max(rose[w] for w in group) == pytest.approx(min(rose[w] for w in group), rel=1e-9)


def test_a_rectangle_overturns_over_its_short_side() -> None:
    case = replace(PAD, other_side_ft=20.0, moment_kip_ft=700.0)
    assert check(case, "overturning").capacity == pytest.approx(0.6 * (14 * 20 * 4 * 0.15 + 9) * 7)
    assert check_pad(case).least_contact.wind_from in ("E", "W")


@pytest.mark.parametrize("field", ["dead_kip", "moment_kip_ft", "shear_kip", "kind"])
def test_unknown_loads_pass_nothing(field: str) -> None:
    result = check_pad(replace(PAD, **{field: None}))
    for key in ("bearing", "contact", "overturning", "sliding"):
        found = next(c for c in result.checks if c.key == key)
        assert found.verdict is Verdict.NOT_CHECKED
        assert "Not given" in found.note


def test_unknown_water_frost_and_soil_pass_nothing() -> None:
    assert check(replace(PAD, water_ft=None), "buoyancy").verdict is Verdict.NOT_CHECKED
    assert check(replace(PAD, frost_ft=None), "frost").verdict is Verdict.NOT_CHECKED
    assert check(replace(PAD, soil=None), "bearing").verdict is Verdict.NOT_CHECKED
    assert check(replace(PAD, soil=None), "sliding").verdict is Verdict.NOT_CHECKED


def test_fill_has_no_presumptive_value_but_a_report_may_give_one() -> None:
    """IBC table 1806.2: mud, organic silt and clay, peat and unprepared fill have no presumptive value."""
    fill = replace(PAD, soil="fill or organic")
    assert check(fill, "bearing").verdict is Verdict.NOT_CHECKED
    assert check(fill, "sliding").verdict is Verdict.NOT_CHECKED
    known = replace(fill, report_bearing_psf=2500.0, report_friction=0.3)
    assert check(known, "bearing").verdict is Verdict.PASSES
    assert "soil report" in check(known, "bearing").source


def test_an_overturned_pad_fails_and_its_bearing_is_not_called_passed() -> None:
    gone = replace(PAD, moment_kip_ft=2000.0)
    assert check(gone, "overturning").verdict is Verdict.FAILS
    assert check(gone, "contact").verdict is Verdict.FAILS
    assert check(gone, "bearing").verdict is Verdict.FAILS
    assert check(gone, "bearing").note.startswith("Nothing bears: overturns")
    assert all(p.pressure_psf is None for p in check_pad(gone).rose)


def test_friction_holds_the_least_dead_load() -> None:
    """IBC table 1806.2, class 4: 0.25 of the dead load."""
    found = check(PAD, "sliding")
    assert found.capacity == pytest.approx(0.25 * 0.6 * 126.6)
    assert found.demand == pytest.approx(3.0)


def test_clay_holds_by_cohesion_on_the_part_that_bears() -> None:
    """IBC table 1806.2, class 5: 130 psf on the contact area, no friction beside it."""
    clay = replace(PAD, soil="CL", moment_kip_ft=0.0, shear_kip=1.0)
    found = check(clay, "sliding")
    assert found.capacity == pytest.approx(0.130 * 196)
    leaning = check(replace(clay, moment_kip_ft=500.0), "sliding")
    assert leaning.capacity < found.capacity


def test_cohesion_is_held_to_half_the_dead_load() -> None:
    """IBC 1806.3.2 (read in secondary copies)."""
    clay = replace(PAD, soil=None, report_bearing_psf=2000.0, report_cohesion_psf=5000.0)
    assert check(clay, "sliding").capacity == pytest.approx(0.6 * 126.6 / 2)


def test_water_pushes_by_archimedes() -> None:
    """62.4 pcf times the water displaced: underside 3.5 ft down, water 1.5 ft down."""
    wet = replace(PAD, water_ft=1.5)
    assert weights(wet).uplift == pytest.approx(62.4 * 196 * 2 / 1000)
    assert check(wet, "buoyancy").demand == pytest.approx(24.46, abs=0.01)
    dry, soaked = combinations(PAD)[1], combinations(wet)[1]
    assert dry.vertical_kip - soaked.vertical_kip == pytest.approx(weights(wet).uplift)


def test_a_sunk_pad_weighs_what_concrete_weighs_in_water() -> None:
    """150 - 62.4 = 87.6 pcf."""
    sunk = replace(PAD, top_above_grade_ft=0.0, water_ft=0.0)
    found = weights(sunk)
    assert found.pad - found.uplift == pytest.approx(87.6 * 196 * 4 / 1000)


def test_backfill_resists_only_once_it_is_placed_but_always_presses() -> None:
    buried = replace(PAD, top_above_grade_ft=-2.0)
    soil = 196 * 2 * 0.1
    greatest, least = combinations(buried)
    assert greatest.vertical_kip == pytest.approx(126.6 + soil)
    assert least.vertical_kip == pytest.approx(0.6 * 126.6)
    _, placed = combinations(replace(buried, backfill_placed=True))
    assert placed.vertical_kip == pytest.approx(0.6 * (126.6 + soil))


def test_torsion_that_is_not_given_leaves_sliding_open() -> None:
    """Unknown is no zero: nothing passes by a figure that nobody gave."""
    unknown = check(replace(PAD, torsion_kip_ft=None), "sliding")
    assert unknown.verdict is Verdict.NOT_CHECKED and "torsion" in unknown.note


def test_torsion_slides_the_pad_too() -> None:
    """H' = 2 T / l + sqrt(H^2 + (2 T / l)^2): DNV/Riso, Guidelines for Design of Wind Turbines, 2nd ed., 8.2
    (from memory). At no torsion that is H; at no shear each half of the pad holds its part, 4 T / l."""
    still = check(PAD, "sliding")
    turned = check(replace(PAD, torsion_kip_ft=20.0), "sliding")
    numbers = {step.symbol: step.value for step in turned.steps}
    off = 0.6 * (300 + 5.0 * 4) / (still.capacity / 0.25)
    lever = 14 - math.sqrt(2) * off
    assert numbers["l"] == pytest.approx(lever)
    part = 2 * 0.6 * 20 / lever
    assert turned.demand == pytest.approx(part + math.hypot(0.6 * 5, part))
    assert turned.capacity == still.capacity and turned.demand > still.demand
    pure = check(replace(PAD, torsion_kip_ft=20.0, shear_kip=0.0), "sliding")
    lever = 14 - math.sqrt(2) * 0.6 * 300 / (still.capacity / 0.25)
    assert pure.demand == pytest.approx(4 * 0.6 * 20 / lever)


def test_frost_is_measured_from_grade() -> None:
    assert check(replace(PAD, frost_ft=3.5), "frost").verdict is Verdict.PASSES
    assert check(replace(PAD, frost_ft=3.6), "frost").verdict is Verdict.FAILS
    assert check(replace(PAD, frost_ft=5.0, top_above_grade_ft=-1.0), "frost").verdict is Verdict.PASSES


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("side_ft", math.nan),
        ("side_ft", 1.0),
        ("thickness_ft", 48.0),
        ("moment_kip_ft", math.inf),
        ("dead_kip", -1.0),
    ],
)
def test_bad_numbers_are_named(field: str, value: float) -> None:
    with pytest.raises(InputError) as caught:
        check_pad(replace(PAD, **{field: value}))
    assert caught.value.field == field


def test_a_pad_above_grade_is_refused() -> None:
    with pytest.raises(InputError, match="above grade"):
        check_pad(replace(PAD, thickness_ft=1.0, top_above_grade_ft=1.5))


def test_smallest_pad_passes_and_the_next_smaller_does_not() -> None:
    case = replace(PAD, soil="CL", moment_kip_ft=700.0, frost_ft=4.5, water_ft=None)
    found = smallest_pad(SearchCase(case)).found
    assert found is not None
    best = replace(case, side_ft=found.side_ft, thickness_ft=found.thickness_ft)
    assert not [c for c in check_pad(best).checks if c.verdict is Verdict.FAILS]
    assert found.not_checked == ("Buoyancy",)
    assert found.smaller_ft == found.side_ft - 0.5
    assert found.smaller_fails is not None and found.smaller_fails.verdict is Verdict.FAILS
    assert found.thickness_ft - case.top_above_grade_ft >= 4.5


def test_smallest_pad_takes_the_least_concrete_of_all_it_tries() -> None:
    """Against trying every pad."""
    case = replace(PAD, moment_kip_ft=500.0)
    found = smallest_pad(SearchCase(case)).found
    assert found is not None
    for thickness in (3.5, 4.0, 4.5, 5.0, 6.0, 7.5):
        for half_feet in range(8, 50):
            side = half_feet / 2
            if side * side * thickness / 27 < found.volume_yd3 - 1e-9:
                tried = replace(case, side_ft=side, thickness_ft=thickness)
                assert [c for c in check_pad(tried).checks if c.verdict is not Verdict.PASSES]


def test_smallest_pad_says_why_there_is_none() -> None:
    assert "must be given" in smallest_pad(SearchCase(replace(PAD, soil=None))).why_none
    assert "No square pad" in smallest_pad(SearchCase(replace(PAD, moment_kip_ft=90_000.0))).why_none


def test_tables_have_the_shape_of_their_sources() -> None:
    """Softer soil bears less (IBC table 1806.2); a table has either friction or cohesion."""
    by_class = [s for s in soils().values() if s.bearing_psf]
    ranks = sorted(by_class, key=lambda s: int(s.soil_class))
    assert [s.bearing_psf for s in ranks] == sorted((s.bearing_psf for s in by_class), reverse=True)
    assert all((s.friction is None) != (s.cohesion_psf is None) for s in by_class)


def test_bar_weights_follow_from_their_areas() -> None:
    """Steel weighs 490 pcf; ASTM A615 rounds diameter by eighths, area to 0.01 in2."""
    for size, bar in bars().items():
        nominal = math.pi / 4 * bar.diameter_in**2
        assert bar.area_in2 == pytest.approx(nominal, abs=0.006), size
        assert bar.weight_lb_ft == pytest.approx(nominal / 144 * 490, rel=0.004), size


def test_anchor_bolt_stress_areas_follow_from_their_threads() -> None:
    """ASME B1.1: 0.7854 (d - 0.9743 / n)^2."""
    for size, bolt in anchor_bolts().items():
        area = 0.7854 * (bolt.diameter_in - 0.9743 / bolt.threads_per_in) ** 2
        assert bolt.stress_area_in2 == pytest.approx(area, rel=0.004), size


def test_a_rule_is_known_in_the_same_way_with_loads_and_without() -> None:
    """How a rule is known does not hang on what was given (a rule of this program)."""
    whole = check_pad(PAD).checks
    bare = check_pad(replace(PAD, moment_kip_ft=None)).checks
    known = {c.key: c.known for c in whole}
    assert {c.key: c.known for c in bare} == known
    assert {c.key for c in bare if c.verdict is Verdict.NOT_CHECKED} >= {"bearing", "contact"}
