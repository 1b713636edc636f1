"""A plot: its figures stand where its ticks say, and its words on nothing else."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.drafting.letters import text_width
from installs.drafting.plot import PHONE, Axes, Plot
from installs.drafting.shapes import Pen
from tests.drafting.drawn_plot import Reading

AXES = Axes.of(PHONE, 200.0, x_from=10.0, x_to=90.0, y_to=4_000.0, x_words="ft", y_words="lb")
places = st.tuples(st.floats(10, 90), st.floats(0, 4_000))


@given(st.lists(places, min_size=1, max_size=12))
def test_what_is_drawn_at_a_figure_is_read_there_by_the_ticks(points) -> None:
    plot = Plot(AXES)
    for point in points:
        plot.dot(point, 2.0, "dot")
    for shown, said in zip(Reading(plot.svg("Plot")).dots("dot"), points, strict=True):
        assert shown == (pytest.approx(said[0], abs=0.05), pytest.approx(said[1], abs=5.0))


@given(st.lists(places, min_size=1, max_size=25))
def test_words_stand_on_no_other_and_inside_the_field(points) -> None:
    plot = Plot(AXES)
    for point in points:
        plot.words(point, "12,345 lb")
    root = ElementTree.fromstring(plot.svg("Plot"))
    boxes = []
    for word in root.iter("{http://www.w3.org/2000/svg}text"):
        if word.text == "12,345 lb":
            x, y, wide = float(word.attrib["x"]), float(word.attrib["y"]), text_width("12,345 lb", 12.0)
            boxes.append((x, y - 9.0, x + wide, y))
    for n, (left, top, right, foot) in enumerate(boxes):
        assert left >= AXES.left and right <= PHONE and foot <= AXES.top + AXES.high
        for other in boxes[:n]:
            assert right <= other[0] or other[2] <= left or foot <= other[1] or other[3] <= top
    assert boxes


def test_a_key_is_as_wide_as_its_sheet_and_beside_the_field_where_it_is_asked() -> None:
    plot = Plot(AXES)
    plot.key(
        Pen("heavy"), "What is drawn heavy is said here in so many words that they take two lines of a phone."
    )
    below, beside = (ElementTree.fromstring(plot.svg("Plot", keys_px=px)) for px in (0.0, 200.0))
    assert float(below.attrib["width"]) == PHONE and float(beside.attrib["width"]) == PHONE + 200
    assert float(beside.attrib["height"]) < float(below.attrib["height"])
    assert below.findtext("{http://www.w3.org/2000/svg}title") == "Plot"
