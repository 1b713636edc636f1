"""True to scale, well-formed, and honest about what it cannot draw."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.drafting import Drawing, feet_and_inches, inches_alone, to_svg
from installs.drafting.letters import text_width
from installs.drafting.shapes import Lettering, Pen, Round, Stroke

SVG = "{http://www.w3.org/2000/svg}"
lengths = st.floats(min_value=0.05, max_value=400, allow_nan=False)


def points_of(svg: str, tag: str = "polyline") -> list[list[tuple[float, float]]]:
    root = ElementTree.fromstring(svg)
    return [
        [tuple(map(float, pair.split(","))) for pair in element.get("points", "").split()]
        for element in root.iter(SVG + tag)
    ]


@given(feet=lengths, scale=st.sampled_from([3.0, 8.0, 32.0, 96.0]))
def test_a_line_is_as_long_as_its_feet_times_the_scale(feet, scale):
    (a, b), *_ = points_of(to_svg(Drawing("line", px_per_ft=scale).line((1, 1), (1 + feet, 1))))
    assert math.dist(a, b) == pytest.approx(feet * scale, abs=0.011)


def test_one_inch_of_paper_at_one_inch_to_three_feet_is_three_feet():
    drawing = Drawing("scale", px_per_ft=32).line((0, 0), (3, 0))
    (a, b), *_ = points_of(to_svg(drawing))
    assert math.dist(a, b) == 96  # CSS pixels in an inch (W3C CSS Values and Units Level 3, 5.2)
    assert drawing.feet_per_inch == 3


def test_up_is_up():
    (low, high), *_ = points_of(to_svg(Drawing("up").line((0, 0), (0, 5))))
    assert high[1] < low[1]


def test_geometry_grows_with_the_scale_and_letters_do_not():
    drawing = Drawing("pad").rectangle(0, 0, 16.5, 16.5).dimension((0, 0), (16.5, 0), -28, "horizontal")
    small, large = to_svg(drawing, 8), to_svg(drawing, 64)
    sizes = [
        {t.get("font-size") for t in ElementTree.fromstring(s).iter(SVG + "text")} for s in (small, large)
    ]
    assert sizes[0] == sizes[1]
    assert points_of(large, "polygon")[0][1][0] == pytest.approx(8 * points_of(small, "polygon")[0][1][0])


@pytest.mark.parametrize(
    ("feet", "said"),
    [
        (16.5, "16 ft 6 in"),
        (9, "9 ft 0 in"),
        (10 / 12, "10 in"),
        (0, "0 in"),
        (1 / 64, "3/16 in"),
        (11.25 / 12, "11 1/4 in"),
        (1 - 1e-9, "1 ft 0 in"),
        (-2.5, "-2 ft 6 in"),
        (0.5 / 12, "1/2 in"),
        (100, "100 ft 0 in"),
    ],
)
def test_lengths_are_said_in_feet_and_inches(feet, said):
    assert feet_and_inches(feet) == said


@given(lengths)
def test_a_length_as_said_is_within_a_thirty_second_of_an_inch(feet):
    total, said = 0.0, feet_and_inches(feet).replace(" in", "")
    if " ft" in said:
        whole, said = said.split(" ft ")
        total = 12.0 * int(whole)
    for part in said.split():
        above, _slash, below = part.partition("/")
        total += int(above) / int(below or 1)
    assert abs(total / 12 - feet) <= 1 / 384 + 1e-9


@given(x=lengths, y=lengths, along=st.sampled_from(["horizontal", "vertical", "aligned"]))
def test_a_dimension_says_the_distance_between_its_arrow_tips(x, y, along):
    drawing = Drawing("dimension").dimension((2, 3), (2 + x, 3 + y), 30, along)
    shapes = [shape for _layer, shape in drawing.shapes()]
    heads = [s for s in shapes if isinstance(s, Stroke) and s.closed]
    (said,) = [s for s in shapes if isinstance(s, Lettering)]
    tips = math.dist(heads[0].points[0], heads[1].points[0]) / drawing.px_per_ft
    assert said.text == feet_and_inches(tips)


def test_a_narrow_dimension_puts_its_heads_outside_and_its_text_past_the_end():
    shapes = [s for _l, s in Drawing("n").dimension((0, 0), (0.2, 0), 20, "horizontal").shapes()]
    (text,) = [s for s in shapes if isinstance(s, Lettering)]
    assert text.at[0] - text_width(text.text, text.size) / 2 > 0.2 * 32


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_a_coordinate_that_is_no_number_is_refused(bad):
    for drawing in (
        Drawing("bad").line((0, 0), (bad, 1)),
        Drawing("bad").circle((0, 0), radius_ft=bad),
        Drawing("bad").circle((0, bad), radius_ft=1),
        Drawing("bad").text((bad, 0), "here"),
        Drawing("bad").dimension((0, 0), (bad, 0)),
        Drawing("bad").balloon((0, 0), 1, (bad, 0)),
        Drawing("bad").hatch("earth", [(0, 0), (bad, 0), (1, 1)]),
        Drawing("bad").hatch("concrete", [(0, 0), (bad, 0), (1, 1)]),
        Drawing("bad").arc((0, 0), 1, bad, 90),
        Drawing("bad").line((0, 0, bad, 0), (1, 1)),
    ):
        with pytest.raises(ValueError):
            to_svg(drawing)


@pytest.mark.parametrize("scale", [0, -3, math.nan, math.inf])
def test_a_scale_must_be_positive(scale):
    with pytest.raises(ValueError):
        Drawing("bad", px_per_ft=scale)


def test_an_empty_drawing_is_refused():
    with pytest.raises(ValueError):
        to_svg(Drawing("empty"))


@pytest.mark.parametrize("pen", [{"weight": "bold"}, {"dash": "zigzag"}, {"ink": "blue"}])
def test_an_unknown_pen_is_refused_at_once(pen):
    with pytest.raises(ValueError):
        Drawing("pen").line((0, 0), (1, 1), **pen)


@given(st.text(min_size=1, max_size=40))
def test_any_text_leaves_the_drawing_well_formed(text):
    drawing = Drawing(text, description=text).text((0, 0), text, layer=text).balloon((1, 1), text[:3])
    root = ElementTree.fromstring(to_svg(drawing))
    assert root.tag == SVG + "svg"


def test_text_cannot_become_markup():
    root = ElementTree.fromstring(to_svg(Drawing('a" onload="x').text((0, 0), "<script>alert(1)</script>&")))
    assert [e.text for e in root.iter(SVG + "text")] == ["<script>alert(1)</script>&"]
    assert root.get("onload") is None and not list(root.iter(SVG + "script"))


def everything() -> Drawing:
    drawing = Drawing("everything", description="one of each")
    square = [(0, 0), (6, 0), (6, 3), (0, 3)]
    for kind in ("concrete", "earth", "lattice", "steel"):
        drawing.hatch(kind, square)
    return (
        drawing.hatch("concrete", square, holes=[[(1, 1), (2, 1), (2, 2)]], maturity=0.4)
        .line((0, 0), (1, 1), "thin", "axis")
        .circle((3, 1), 0.5, fill="ink")
        .arc((1, 1), 1, 10, 200, dash="limit")
        .leader((1, 1), (4, 4), "a note\non two lines")
        .balloon((8, 2), 12, (6, 1))
        .center_mark((3, 1), 0.5)
        .section_arrow((-1, 1), "A", 0)
        .north_arrow((9, 3), 60)
        .scale_bar((0, -2))
        .break_line((0, 4), (5, 4))
        .drawing_title((0, -3), "Section A-A", "to scale")
        .crayon_loop((1, 1), 80, 40)
        .crayon_underline((0, -1), (4, -1))
        .text((0, 5), "turned", turn=90, bold=True, routed=True, blank=True, ink="pencil")
    )


@pytest.mark.parametrize("for_print", [False, True])
def test_styled_by_presentation_attributes_only(for_print):
    root = ElementTree.fromstring(to_svg(everything(), for_print=for_print))
    assert root.get("role") == "img" and root.get("aria-label") == "everything"
    assert root.findtext(SVG + "title") == "everything"
    for element in root.iter():
        assert element.get("style") is None and element.tag not in (SVG + "style", SVG + "script")
        assert not [name for name in element.keys() if name.startswith("on")]  # noqa: SIM118


def test_print_has_ink_only():
    colors = {
        element.get(name)
        for element in ElementTree.fromstring(to_svg(everything(), for_print=True)).iter()
        for name in ("stroke", "fill")
    }
    assert colors <= {None, "none", "currentColor", "#FFFFFF"}


def test_the_same_drawing_is_the_same_text():
    assert to_svg(everything()) == to_svg(everything())


def test_the_sheet_holds_everything_drawn_on_it():
    drawing = everything()
    left, top, width, height = map(float, ElementTree.fromstring(to_svg(drawing)).get("viewBox").split())
    box = drawing.box()
    assert left <= box[0] and top <= box[1] and left + width >= box[2] and top + height >= box[3]


def test_no_text_is_smaller_than_nine_points():
    sizes = [
        float(t.get("font-size")) for t in ElementTree.fromstring(to_svg(everything())).iter(SVG + "text")
    ]
    assert min(sizes) * 72 / 96 >= 9


@given(turn=st.floats(-360, 360), grow=st.floats(0.1, 10), x=st.floats(-50, 50), y=st.floats(-50, 50))
def test_a_block_turns_and_grows_about_its_origin(turn, grow, x, y):
    block = Drawing("stick").line((0, 0), (2, 0))
    ((_layer, stick),) = Drawing("sheet", px_per_ft=10).place(block, (x, y), turn, grow).shapes()
    start, end = stick.points
    assert start == pytest.approx((10 * x, -10 * y), abs=1e-6)
    assert math.dist(start, end) == pytest.approx(20 * grow)
    assert (
        math.atan2(start[1] - end[1], end[0] - start[0])
        == pytest.approx(math.remainder(math.radians(turn), math.tau), abs=1e-6)
        or abs(abs(turn) % 360 - 180) < 1e-6
    )


def test_a_mirrored_block_swaps_left_and_right_but_not_up_and_down():
    block = Drawing("L").polyline([(0, 2), (0, 0), (1, 0)]).arc((0, 0), 1, 0, 90)
    shapes = [s for _l, s in Drawing("sheet", px_per_ft=1).place(block, (5, 5), mirrored=True).shapes()]
    assert shapes[0].points == ((5, -7), (5, -5), (4, -5))
    assert isinstance(shapes[1], Round)
    assert shapes[1].at(shapes[1].start) == pytest.approx((5, -6))
    assert shapes[1].at(shapes[1].end) == pytest.approx((4, -5))


def test_a_block_in_a_block_stands_where_both_put_it():
    inner = Drawing("inner").line((0, 0), (1, 0))
    middle = Drawing("middle").place(inner, (2, 0), 90)
    ((_layer, line),) = Drawing("sheet", px_per_ft=1).place(middle, (10, 0), 90).shapes()
    assert [round(v, 9) for point in line.points for v in point] == [10, -2, 9, -2]


def test_shifts_on_the_paper_do_not_grow_with_a_block():
    block = Drawing("note").line((0, 0), (0, 0, 12, 0))
    ((_layer, line),) = Drawing("sheet", px_per_ft=7).place(block, (0, 0), grow=4).shapes()
    assert math.dist(*line.points) == pytest.approx(12)


def test_an_arc_runs_counter_clockwise_from_east():
    ((_l, arc),) = Drawing("arc", px_per_ft=1).arc((0, 0), 10, 0, 90).shapes()
    assert arc.at(arc.start) == pytest.approx((10, 0)) and arc.at(arc.end) == pytest.approx((0, -10))
    assert Drawing("arc", px_per_ft=1).arc((0, 0), 10, 45, 135).box()[1] == pytest.approx(-10)


def test_a_pen_without_weight_draws_no_line():
    svg = to_svg(Drawing("fill").polygon([(0, 0), (1, 0), (1, 1)], weight="", fill="ink"))
    assert "stroke=" not in svg and Pen("", fill="ink").fill == "ink"


@pytest.mark.parametrize(
    ("inches", "words"), [(12.25, "12 1/4 in"), (14.0, "14 in"), (0.0625, "1/16 in"), (1.0625, "1 1/16 in")]
)
def test_spacings_and_plates_are_said_in_inches_alone(inches, words):
    assert inches_alone(inches) == words


def test_an_outline_on_the_ground_keeps_its_ink_in_the_dark_scheme() -> None:
    """The page's style sheet colors both by their class: pencil on a blank was black on black."""
    outlined = to_svg(Drawing("shed").rectangle(0, 0, 2, 1, ink="pencil", fill="blank"))
    assert 'class="blank pencil"' in outlined
    bare = to_svg(Drawing("shed").rectangle(0, 0, 2, 1, ink="pencil", fill="blank", weight=""))
    assert 'class="blank"' in bare, "what has no line gets none from the style sheet"
