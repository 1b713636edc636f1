"""The one-line: what stands on it and in which order, on page and paper."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from installs.ground_station.book import heading, strip
from installs.ground_station.chain import chain
from installs.ground_station.drawing import draw, strip_drawing, told, u_drawing
from installs.ground_station.review import review
from sitecalc.figures import by_balloon
from sitecalc.ground_station.figures import GroundStationFigures
from tests.ground_station.make_station import HOUSE, RISER, make_station
from tests.make import AT, make_job

pytestmark = pytest.mark.django_db


def symbols(design):
    before, after = chain(design.filled())
    return [item.symbol for item in before], [item.symbol for item in after]


def test_from_the_turbine_to_the_utility_in_order(job):
    before, after = symbols(make_station(job))
    assert before == ["generator", "ground", "brake", "run", "run", "box", "box"]
    assert " ".join(after) == (
        "run fused switch meter surge breaker bus breaker ground meter run transformer utility"
    )


def test_each_run_ends_in_its_breaker_and_the_last_in_the_one_on_the_bus(job):
    """A load-side source meets the bus through its breaker there, behind switch and meter."""
    first = HOUSE | {"name": "To the switch", "end": "utility disconnect"}
    _, after = symbols(make_station(job, runs=[RISER, first, HOUSE]))
    assert " ".join(after).startswith("run breaker fused switch run meter surge breaker bus")


def test_the_size_of_the_fuses_stands_at_their_switch(job):
    draft = make_station(job)
    assert "fuses 60 A" in draw(draft, review(draft))["one_line"]
    switch = draft.figures.disconnects[0]
    bare = draft.change(disconnects=(replace(switch, fuse_a=None),))
    assert "fuse size not given" in draw(bare, review(bare))["one_line"]


def test_a_tap_ahead_of_the_service_has_no_bus(job):
    _, after = symbols(make_station(job, connection="supply side"))
    assert "tap" in after and "bus" not in after


def test_a_machine_of_grid_ac_has_neither_rectifier_nor_inverter(job):
    before, _ = symbols(make_station(job, turbine_kind="grid AC, 1-phase", rectifier=""))
    assert "box" not in before


def test_no_surge_device_is_drawn_where_none_is(job):
    assert "surge" not in symbols(make_station(job, surge="none"))[1]


def test_a_conductor_has_a_tick_for_each_wire(job):
    before, after = chain(make_station(job).filled())
    assert [item.wires for item in before if item.symbol == "run"] == [3, 3]
    assert next(item.wires for item in after if item.title == "Inverter output") == 3  # two lines and neutral


def test_a_run_that_fails_says_so_on_the_drawing(job):
    draft = make_station(job, runs=[RISER | {"size": "14", "ground_size": "14"}, HOUSE])
    svg = draw(draft, review(draft))["one_line"]
    assert "conductor at 125 % fails" in svg and "braked turbine fails" in svg


def test_the_drawing_is_told_in_words(job):
    svg = draw(make_station(job), None)["one_line"]
    words = told([*chain(make_station(make_job()).filled())[0]])
    assert "<desc>" in svg and "Wind turbine. wild AC, 3-phase, at maximum output" in words


def test_all_drawings_are_finite_and_without_style(job):
    draft = make_station(job)
    for svg in [*draw(draft, review(draft)).values(), strip(job, "ground station", AT)]:
        assert svg.startswith("<svg") and '"nan' not in svg
        assert "style=" not in svg


def test_words_of_neighbors_never_meet(job):
    """Each line of words keeps its own height in its column, however long the names are."""
    long = RISER | {
        "name": "A long name for the run from the nacelle down to the box at the foot of the tower"
    }
    before, after = chain(make_station(job, runs=[long, long | {"name": "b" * 60}, HOUSE]).filled())
    drawing = u_drawing(before, after, "2023")
    heights: dict[float, list[float]] = {}
    for _layer, shape in drawing.shapes():
        if type(shape).__name__ == "Lettering" and shape.anchor == "start" and shape.size == 12:
            heights.setdefault(shape.at[0], []).append(shape.at[1])
    for column in heights.values():
        gaps = [b - a for a, b in pairwise(sorted(column))]
        assert all(gap >= 15.9 for gap in gaps)


def test_short_words_of_the_strip_never_overlap_and_fit_the_row(job):
    before, after = chain(make_station(job).filled())
    drawing = strip_drawing([*before, *after], "heading")
    rows: dict[float, list[tuple[float, float]]] = {}
    for _layer, shape in drawing.shapes():
        if type(shape).__name__ == "Lettering" and shape.anchor == "middle" and shape.at[1] > 20:
            box = shape.box(margin=0)
            rows.setdefault(shape.at[1], []).append((min(x for x, _ in box), max(x for x, _ in box)))
    assert rows
    for spans in rows.values():
        ordered = sorted(spans)
        assert all(a[1] <= b[0] for a, b in pairwise(ordered))
    left, _top, right, _bottom = drawing.box()
    assert right - left <= 560


def test_the_strip_is_empty_until_a_draft_is_kept(job):
    assert strip(job, "ground station", AT) == ""
    assert heading(make_station(job).figures) == (
        "375 ft, 4 AWG copper: 95 ft Tower riser, 240 ft Trench, 40 ft Inverter output"
    )


def test_balloons_of_the_drawing_are_those_of_the_schedule(job):
    before, after = chain(make_station(job, turbine_disconnect=True).filled())
    drawn = {item.balloon for item in (*before, *after)} - {0}
    assert drawn <= set(by_balloon(GroundStationFigures).values())
    assert re.search(r">13<", draw(job.ground_station, None)["one_line"])
