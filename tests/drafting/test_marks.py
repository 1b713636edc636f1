"""The marks, the verdict gauge and charts: well-formed, named in words, and saying what they should."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.drafting import charts, marks
from installs.drafting.gauge import HEIGHT, LIMIT_AT, WIDTH, gauge_svg, shapes
from installs.drafting.shapes import Segments, Stroke, bounds
from sitecalc.checks import Known, Rule, Verdict

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("kind", marks.KINDS)
def test_every_mark_is_whole_named_and_inside_its_box(kind):
    root = ElementTree.fromstring(marks.mark(kind, height=30))
    assert root.findtext(SVG + "title") and float(root.get("height")) == 30
    left, top, right, bottom = bounds(marks._SMALL[kind][1]())
    assert left >= -1 and top >= 0 and right <= 25 and bottom <= 20


def test_marks_can_be_told_apart_without_color():
    drawn = {kind: marks.mark(kind, for_print=True).split("</title>")[1] for kind in marks.KINDS}
    assert len(set(drawn.values())) == len(marks.KINDS)


def test_a_paper_in_hand_is_filled():
    empty, full = (marks.fragment(marks.paper(0, 20, in_hand)) for in_hand in (False, True))
    assert 'fill="currentColor"' in full and 'fill="currentColor"' not in empty


def test_a_promise_is_dotted_to_its_day():
    dotted = marks.paper(0, 20, in_hand=False, promised_x=80)
    assert any(isinstance(s, Stroke) and s.pen.dash == "waiting" and s.points[-1][0] == 80 for s in dotted)


def test_a_deviation_shows_its_number():
    assert ">12</text>" in marks.deviation_mark(12)


def test_a_tower_day_has_two_bays():
    crosses = marks.lattice(0, 0, 14, 8)[0]
    assert isinstance(crosses, Segments) and len(crosses.pieces) == 2 * 2 + 3


def test_a_fragment_is_well_formed_inside_a_strip():
    strip = [
        *marks.hook(5, 0),
        *marks.gate(20, 40, 10),
        *marks.weather_day(50, 0),
        *marks.silent(0, 0, 30, 8),
    ]
    ElementTree.fromstring(f"<svg>{marks.fragment(strip)}</svg>")


def bar_of(ratio):
    return [s for s in shapes(ratio) if isinstance(s, Stroke) and s.points[0][1] == s.points[1][1]]


@pytest.mark.parametrize("ratio", [0.07, 0.5, 0.95, 1.0])
def test_a_passing_bar_ends_at_its_part_of_the_limit(ratio):
    (bar,) = bar_of(ratio)
    assert bar.points[1][0] == pytest.approx(ratio * LIMIT_AT) and bar.pen.weight == "bar"


def test_a_failing_bar_is_thick_and_past_the_limit():
    (bar,) = bar_of(1.2)
    assert bar.points[1][0] > LIMIT_AT and bar.pen.weight == "over"


@pytest.mark.parametrize("ratio", [1.5, 9, 1e12, math.inf])
def test_a_far_overrun_ends_at_the_rule_s_end(ratio):
    (bar,) = bar_of(ratio)
    assert bar.points[1][0] == pytest.approx(WIDTH)
    ElementTree.fromstring(gauge_svg(ratio))


@pytest.mark.parametrize("blank", [None, math.nan])
def test_not_checked_shows_the_rule_only(blank):
    assert not bar_of(blank) and len(shapes(blank)) == 2
    assert "Buoyancy: not checked" in gauge_svg(blank, "Buoyancy")


@given(demand=st.floats(0, 1e6), capacity=st.floats(1e-3, 1e6))
def test_the_bar_is_thick_exactly_when_the_check_fails(demand, capacity):
    check = Rule("k", "t", "", "", Known.READ).compare(demand=demand, capacity=capacity)
    assert (bar_of(check.ratio)[0].pen.weight == "over") == (check.verdict is Verdict.FAILS)


def test_the_gauge_says_its_ratio_in_words_and_keeps_its_size():
    root = ElementTree.fromstring(gauge_svg(0.89, "Bearing"))
    assert root.get("aria-label") == "Bearing: 0.89 of the limit"
    assert float(root.get("height")) == HEIGHT


def curve():
    figure, axes = charts.chart(6.0, 2.0)
    axes.plot([0, 7, 28], [0, 2400, 4500], color=charts.INK)
    axes.axhline(3375, color=charts.CRAYON)
    axes.set_ylabel("psi <field>")
    return charts.chart_svg(figure, "Strength & age")


def test_a_chart_has_our_manners():
    svg = curve()
    root = ElementTree.fromstring(svg)
    assert root.get("aria-label") == "Strength & age" and root.findtext(SVG + "title") == "Strength & age"
    for element in root.iter():
        assert element.get("style") is None and element.tag not in (SVG + "style", SVG + "metadata")
    texts = list(root.iter(SVG + "text"))
    assert any(t.text == "psi <field>" for t in texts)
    assert min(float(t.get("font-size")) for t in texts) >= 9  # in a viewBox of points
    assert float(root.get("width")) == 576 and "currentColor" in svg


def test_the_same_chart_is_the_same_text():
    assert curve() == curve()
