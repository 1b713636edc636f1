"""Template coordinates, what is taped, nuts and projection, and set bolts against the template."""

from __future__ import annotations

import json
import math
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.__main__ import run
from sitecalc.checks import Known, Verdict
from sitecalc.foundation.anchor_case import steels
from sitecalc.foundation.anchor_layout import AnchorLayout, bolts
from sitecalc.foundation.anchor_nuts import StackCase, pretension_kip, stack, tolerance, turn_deg
from sitecalc.foundation.anchor_survey import Measured, SurveyCase, survey
from sitecalc.foundation.tables import anchor_bolts, rows
from sitecalc.foundation.template import TemplateCase, taped, template
from sitecalc.inputs import InputError

FOUR = AnchorLayout(legs=4, spacing_ft=10.0, bolts=4, pattern_in=8.0)


def test_four_legs_on_a_square() -> None:
    """Closed form: diagonal of a 10 ft square is 14 ft 1 11/16 in; of 8 in bolts 11 5/16 in."""
    found = template(TemplateCase(FOUR))
    legs = {(t.start, t.end): t.words for t in found.tapes if t.what == "leg to leg, middles"}
    assert legs["A", "B"] == "10 ft 0 in" and legs["A", "C"] == "14 ft 1 11/16 in"
    first = {(t.start, t.end): t.words for t in found.tapes if t.what == "leg to leg, first bolts"}
    assert first["B1", "D1"] == "14 ft 1 11/16 in"
    within = {(t.start, t.end): t.words for t in found.tapes if t.what == "within leg A"}
    assert within["A1", "A3"] == "11 5/16 in" and within["A1", "A2"] == "8 in"
    a1 = found.holes[0]
    assert (a1.mark, a1.x_words, a1.y_words) == ("A1", "4 ft 8 in", "5 ft 4 in")


def test_three_legs_stand_on_a_triangle() -> None:
    """Closed form: 8 ft sides, legs 8/sqrt3 ft from the middle; the first points north."""
    found = template(TemplateCase(AnchorLayout(legs=3, spacing_ft=8.0, bolts=4, pattern_in=8.0)))
    sides = [t.length_in for t in found.tapes if t.what == "leg to leg, middles"]
    assert sides == pytest.approx([96.0] * 3)
    middle = [sum(h.y_in for h in found.holes if h.leg == "A") / 4, 96 / math.sqrt(3)]
    assert middle[0] == pytest.approx(middle[1])


def test_a_ring_is_taped_across() -> None:
    """Closed form: 12 bolts on 36 in: 3 ft across, neighbors 36 sin 15 = 9 5/16 in."""
    found = template(TemplateCase(AnchorLayout(legs=1, spacing_ft=3.0, bolts=12)))
    assert [t.words for t in found.tapes if t.what == "across the ring"] == ["3 ft 0 in"] * 6
    assert found.tapes[0].words == "9 5/16 in"
    assert [h.mark for h in found.holes] == [str(n) for n in range(1, 13)]
    assert (found.holes[3].x_in, found.holes[3].y_in) == pytest.approx((18, 0), abs=1e-9)


@given(
    legs=st.sampled_from([1, 3, 4]), spacing=st.floats(1, 20), n=st.integers(3, 20), first=st.floats(0, 360),
)  # fmt: skip
@settings(deadline=None)
def test_words_are_within_a_sixty_fourth_of_the_hole(legs, spacing, n, first) -> None:
    layout = AnchorLayout(
        legs=legs, spacing_ft=spacing, bolts=n, pattern="circle", pattern_in=9.0, first_deg=first
    )
    for hole in template(TemplateCase(layout)).holes:
        assert read(hole.x_words) == pytest.approx(hole.x_in, abs=1 / 64 + 1e-9)
        assert hole.radius_in * math.sin(math.radians(hole.bearing_deg)) == pytest.approx(hole.x_in, abs=1e-9)
        assert hole.radius_in * math.cos(math.radians(hole.bearing_deg)) == pytest.approx(hole.y_in, abs=1e-9)


def read(words: str) -> float:
    """Inches of "-14 ft 1 11/16 in"."""
    sign = -1 if words.startswith("-") else 1
    feet, _, inches = words.lstrip("-").removesuffix(" in").rpartition(" ft ")
    total = 12.0 * float(feet or 0)
    for part in inches.split():
        top, _, under = part.partition("/")
        total += float(top) / float(under or 1)
    return sign * total


def test_lengths_as_a_tape_reads_them() -> None:
    assert [taped(x) for x in (0, 0.5, 11.99, 12, -4, 169.7056)] == [
        "0 in", "1/2 in", "1 ft 0 in", "1 ft 0 in", "-4 in", "14 ft 1 11/16 in",
    ]  # fmt: skip
    assert taped(8 + 1 / 32, 32) == "8 1/32 in"


@pytest.mark.parametrize(
    ("rod_in", "hole_in"),
    [(0.75, 1.3125), (0.875, 1.5625), (1, 1.8125), (1.25, 2.0625), (1.5, 2.3125), (1.75, 2.75), (2, 3.25)],
)
def test_holes_of_base_plates_as_printed(rod_in: float, hole_in: float) -> None:
    """AISC Design Guide 1, Base Plate and Anchor Rod Design, 2nd ed. (2006), table 2.3, all rods to 2 in."""
    found = tolerance("plate_hole", rod_in)
    assert (found.tolerance_in, found.known) == (hole_in, Known.READ)


def test_holes_of_template_and_plate() -> None:
    """AISC Design Guide 1, 2nd ed., table 2.3: 1 in bolts 1-13/16 in; a tower's own drawing decides."""
    found = template(TemplateCase(FOUR))
    assert found.template_hole_in == 1.0625 and found.plate_hole_in == 1.8125
    assert found.plate_hole_source == "AISC Design Guide 1, 2nd ed., table 2.3; the tower's drawing decides"
    own = template(TemplateCase(FOUR, plate_hole_in=1.125))
    assert (own.plate_hole_in, own.plate_hole_source) == (1.125, "tower's drawing")
    with pytest.raises(InputError):
        template(TemplateCase(FOUR, plate_hole_in=1.0))


# --- nuts ---------------------------------------------------------------------------------------


def test_pretension_is_half_or_three_fifths_of_tensile_strength() -> None:
    """AISC Design Guide 1, 2nd ed., table A1 against its own rule: 50 % of the least tensile strength for
    Grade 36, 60 % for 55 and 105, to the kip."""
    for row in rows("anchor_pretension.csv"):
        area = anchor_bolts()[row["size"]].stress_area_in2
        for grade, share in (("36", 0.5), ("55", 0.6), ("105", 0.6)):
            rule = share * area * steels()[grade].tensile_ksi
            assert pretension_kip(row["size"], grade) == pytest.approx(rule, abs=0.55), (row["size"], grade)


def test_turn_of_nut_by_grade() -> None:
    """AISC Design Guide 1, 2nd ed., table A2: Grade 36 1/6 turn to 1-1/2 in, then 1/12; others 1/3, 1/6."""
    assert [turn_deg("1-1/2", g) for g in ("36", "55", "105")] == [60, 120, 120]
    assert [turn_deg("1-3/4", g) for g in ("36", "55", "105")] == [30, 60, 60]


def test_the_stack_over_the_concrete() -> None:
    """Hand-worked: gap 3/4, nut 1, washer 0.177, plate 1-1/4, washer 0.177, nut 1, two threads of 1/8 in:
    4.604 in, 4-5/8 to set."""
    found = stack(StackCase(plate_in=1.25, gap_in=0.75, projection_in=4.5))
    assert sum(layer.height_in for layer in found.layers) == pytest.approx(4.604)
    assert found.projection_in == 4.625
    short = next(c for c in found.checks if c.key == "anchor-projection")
    assert short.verdict is Verdict.FAILS and "leveling nut" in short.note
    assert (found.pretension_kip, found.turn_deg, found.turn_words) == (
        27,
        120,
        "1/3 turn beyond snug, +20°, -0",
    )
    assert next(c for c in found.checks if c.key == "anchor-pretension").passes


def test_a_stack_on_grout_and_a_sloped_plate() -> None:
    found = stack(StackCase(plate_in=1.0, grout_in=1.5, slope=0.03, maker_pretension_kip=40.0))
    assert [layer.what for layer in found.layers][:2] == ["grout", "base plate"]
    by_key = {c.key: c for c in found.checks}
    assert by_key["anchor-bevel"].verdict is Verdict.FAILS
    assert by_key["anchor-pretension"].verdict is Verdict.FAILS  # Grade 55 yields at 33 kip
    assert by_key["anchor-projection"].verdict is Verdict.NOT_CHECKED
    assert found.turn_deg is None


def test_sizes_the_table_leaves_out_are_left_to_the_maker() -> None:
    found = stack(StackCase(size="1-3/8", plate_in=1.0, projection_in=9.0))
    assert next(c for c in found.checks if c.key == "anchor-pretension").verdict is Verdict.NOT_CHECKED


def test_tolerances_say_how_they_are_known() -> None:
    """AISC Code of Standard Practice 7.5.1(a): 1/8 in between rods of a group (read); ACI 117-10 by rod (from
    memory)."""
    assert (tolerance("within_group").tolerance_in, tolerance("within_group").known) == (0.125, Known.READ)
    assert [tolerance("rod_horizontal", d).tolerance_in for d in (0.75, 1.0, 1.5)] == [0.25, 0.375, 0.5]
    assert tolerance("rod_horizontal", 1.0).known is Known.MEMORY


# --- survey -------------------------------------------------------------------------------------


def measured(layout: AnchorLayout, turn_deg_=0.0, east=0.0, north=0.0, off=None) -> tuple[Measured, ...]:
    """The template turned clockwise, moved, with single bolts off."""
    c, s = math.cos(math.radians(turn_deg_)), math.sin(math.radians(turn_deg_))
    found = []
    for b in bolts(layout):
        dx, dy = (off or {}).get(b.mark, (0.0, 0.0))
        x, y = b.x_in + dx, b.y_in + dy
        found.append(
            Measured(mark=b.mark, x_in=x * c + y * s + east, y_in=y * c - x * s + north, projection_in=7.0)
        )
    return tuple(found)


def test_a_group_moved_and_turned_as_a_whole_matches_its_template() -> None:
    found = survey(SurveyCase(layout=FOUR, measured=measured(FOUR, 12.0, 300.0, -40.0), projection_in=7.0))
    assert max(b.off_in for b in found.bolts) == pytest.approx(0.0, abs=1e-9)
    assert found.turned_deg == pytest.approx(12.0)
    assert (found.moved_east_in, found.moved_north_in) == (pytest.approx(300.0), pytest.approx(-40.0))
    assert {c.key for c in found.checks if not c.passes} == {"survey-place"}


def test_a_bent_bolt_is_found() -> None:
    """Arithmetic: one of 16 bolts a quarter inch east; least squares leaves some 15/16 of it on it."""
    found = survey(SurveyCase(layout=FOUR, measured=measured(FOUR, 5.0, off={"C2": (0.25, 0.0)})))
    worst = max(found.bolts, key=lambda b: b.off_in)
    assert worst.mark == "C2" and 0.2 < worst.east_in < 0.25
    failed = [c for c in found.checks if c.verdict is Verdict.FAILS]
    assert {c.key for c in failed} == {"survey C2", "survey-pairs"}
    assert "east" in next(c for c in failed if c.key == "survey C2").note


@given(seed=st.integers(0, 10_000), turn=st.floats(-170, 170), east=st.floats(-500, 500))
@settings(deadline=None)
def test_no_other_motion_fits_better(seed, turn, east) -> None:
    """Least squares: any small further shift or turn leaves more."""
    at = random.Random(seed)
    off = {b.mark: (at.gauss(0, 0.1), at.gauss(0, 0.1)) for b in bolts(FOUR)}
    found = survey(SurveyCase(layout=FOUR, measured=measured(FOUR, turn, east, 3.0, off)))
    least = sum(b.off_in**2 for b in found.bolts)
    fits = [(b.east_in, b.north_in) for b in found.bolts]
    drawn = {b.mark: b for b in bolts(FOUR)}
    marks = [b.mark for b in found.bolts]
    for dx, dy, a in ((0.02, 0, 0), (0, -0.02, 0), (0, 0, 3e-4), (0.01, 0.01, -2e-4)):
        total = 0.0
        for (e, n), mark in zip(fits, marks, strict=True):
            b = drawn[mark]
            total += (e + dx - a * b.y_in) ** 2 + (n + dy + a * b.x_in) ** 2
        assert total >= least - 1e-9


def test_the_place_of_the_group_on_the_pad() -> None:
    case = SurveyCase(
        layout=FOUR, measured=measured(FOUR, 0.0, 0.5, 0.0), on_axes=True, position_tolerance_in=0.75
    )
    place = {c.key: c for c in survey(case).checks}["survey-place"]
    assert place.passes and place.demand == pytest.approx(0.5)
    turned = replace(case, measured=measured(FOUR, 1.0))
    assert {c.key: c for c in survey(turned).checks}["survey-place"].verdict is Verdict.FAILS


def test_a_bolt_not_measured_is_not_checked() -> None:
    some = measured(FOUR)[:-1]
    found = {c.key: c for c in survey(SurveyCase(layout=FOUR, measured=some, projection_in=7.0)).checks}
    assert found["survey D4"].verdict is Verdict.NOT_CHECKED
    assert found["survey-pairs"].verdict is Verdict.NOT_CHECKED
    assert (
        found["survey-projection"].verdict is Verdict.NOT_CHECKED and "D4" in found["survey-projection"].note
    )
    assert found["survey A1"].passes


def test_projection_is_held_either_way() -> None:
    """ACI 117-10, AISC 303-16 (from memory): half an inch either way."""
    low = (*measured(FOUR)[1:], replace(measured(FOUR)[0], projection_in=6.4))
    found = {c.key: c for c in survey(SurveyCase(layout=FOUR, measured=low, projection_in=7.0)).checks}[
        "survey-projection"
    ]
    assert found.verdict is Verdict.FAILS and "A1 is 0.60 in short" in found.note


def test_marks_that_are_not_there_are_refused() -> None:
    for some, field in (
        ((*measured(FOUR), Measured(mark="E1", x_in=0, y_in=0)), "measured[16].mark"),
        ((*measured(FOUR), Measured(mark="A1", x_in=0, y_in=0)), "measured[16].mark"),
        (measured(FOUR)[:1], "measured"),
    ):
        with pytest.raises(InputError) as caught:
            survey(SurveyCase(layout=FOUR, measured=some))
        assert caught.value.field == field


def test_the_command_takes_them() -> None:
    layout = {"legs": 4, "spacing_ft": 10.0, "bolts": 4, "pattern_in": 8.0}
    stood = [{"mark": m.mark, "x_in": m.x_in, "y_in": m.y_in} for m in measured(FOUR)]
    for name, case in (
        ("foundation.template", {"layout": layout}),
        ("foundation.anchor_survey", {"layout": layout, "measured": stood}),
        ("foundation.anchor_nuts", {"plate_in": 1.25}),
        ("foundation.bar_schedule", {"mats": {"side_ft": 15, "thickness_ft": 4}}),
        ("foundation.cutting", {"pieces": [{"mark": "B1", "size": "#6", "length_in": 174, "count": 18}]}),
        ("foundation.bend", {"size": "#6", "shape": "two 90 degree ends", "length_in": 174}),
        ("foundation.delivery", {"volume_ft3": 527.4}),
    ):
        assert json.dumps(run(name, case)["results"], allow_nan=False)
