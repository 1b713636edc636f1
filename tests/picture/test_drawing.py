"""The side view against the figures that it was drawn from: heights, distances, states, words."""

from __future__ import annotations

import re
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import Phase, given, settings

from installs.drafting import Drawing, to_svg
from installs.drafting.shapes import Lettering, Round, Stroke
from installs.picture.drawing import job_picture
from installs.picture.scene import Scene, State, scene_of
from installs.picture.sheet import CARD, PAPER, PHONE, SHEET, THUMB, TITLE
from installs.site.placing import meet
from sitecalc.site.figures import SiteFigures
from tests.picture.scenes import LATTICE_140, NO_TOWER, ODD, ORDINARY, TUBE_60, scenes, states

FORMS = {"sheet": SHEET, "phone": PHONE, "paper": PAPER, "title": TITLE, "thumb": THUMB, "card": CARD}
every_form = pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
every_scene = pytest.mark.parametrize("scene", ODD.values(), ids=ODD)


def drawn(scene: Scene, form=SHEET, at=None) -> Drawing:
    return job_picture(scene, at or states(), form, title="2031-014, side view")


def outlines(d: Drawing, layer: str) -> list[Stroke]:
    return [shape for on, shape in d.shapes() if on == layer and isinstance(shape, Stroke)]


def feet_high(d: Drawing, layer: str) -> tuple[float, float]:
    """Lowest and highest point of a layer above grade, drawn px over the scale."""
    ys = [-y / d.px_per_ft for shape in outlines(d, layer) for _, y in shape.points]
    return min(ys), max(ys)


def words(d: Drawing) -> list[str]:
    return [shape.text for _, shape in d.shapes() if isinstance(shape, Lettering)]


@every_form
@every_scene
def test_heights_drawn_over_the_scale_are_the_heights_of_the_figures(scene: Scene, form) -> None:
    d = drawn(scene, form)
    if scene.head:
        low, high = feet_high(d, "turbine")
        assert high == pytest.approx(scene.head.hub_ft + scene.head.rotor_ft / 2)
        assert (high + low) / 2 == pytest.approx(scene.head.hub_ft)
    if scene.tower:
        assert feet_high(d, "tower") == pytest.approx((scene.tower.seat_ft, scene.tower.top_ft))
    if scene.pad:
        assert feet_high(d, "concrete") == pytest.approx((scene.pad.bottom_ft, scene.pad.seat_ft))


@every_form
@every_scene
def test_the_picture_keeps_to_its_form(scene: Scene, form) -> None:
    left, _, right, _ = drawn(scene, form).box()
    # notes and the figure of a thumb may stand beside what is narrower than the form
    assert right - left <= form.width_px + 50


def test_distances_are_true_where_nothing_is_broken() -> None:
    d = drawn(ORDINARY)
    walls = [min(x for x, _ in shape.points) / d.px_per_ft for shape in outlines(d, "building")]
    assert sorted(walls) == pytest.approx([235.0, 340.0])
    assert min(
        x for shape in outlines(d, "crane pad") for x, _ in shape.points
    ) / d.px_per_ft == pytest.approx(-56)
    assert not outlines(d, "break")


@pytest.mark.parametrize("form", [SHEET, PHONE, PAPER], ids=["sheet", "phone", "paper"])
def test_a_break_says_how_much_of_the_distance_is_left_out(form) -> None:
    """What is drawn up to the barn's wall and what the break leaves out are its 790 ft."""
    d = drawn(TUBE_60, form)
    said = " ".join(words(d)).replace("\n", " ")
    left_out = float(re.search(r"([\d,]+) ft (?:left out|[\d,]+ ft left out)", said)[1].replace(",", ""))
    wall = min(x for shape in outlines(d, "building") for x, _ in shape.points) / d.px_per_ft
    assert wall + left_out == pytest.approx(790, abs=1)
    assert "790 ft off" in d.description and "2400 ft off" in d.description


@every_form
def test_each_state_is_drawn_otherwise(form) -> None:
    looks = {
        state: to_svg(drawn(LATTICE_140, form, states(tower=state)), for_print=True)
        for state in (State.DRAFTED, State.RELEASED, State.UNDER_WAY, State.BUILT, State.VOID)
    }
    bare = {state: re.sub(r"<title>.*?</desc>", "", svg) for state, svg in looks.items()}
    assert len(set(bare.values())) == len(bare), "black on white too"


@pytest.mark.parametrize("key", ["turbine", "tower", "pad", "crane pad", "trench", "station", "line"])
@pytest.mark.parametrize("state", [State.DRAFTED, State.UNDER_WAY, State.BUILT, State.HELD, State.VOID])
def test_every_part_shows_its_state(key: str, state: State) -> None:
    said = states(**{key.replace(" ", "_"): state})
    assert to_svg(drawn(ORDINARY, PHONE, said)) != to_svg(drawn(ORDINARY, PHONE))


def test_what_waits_for_somebody_is_said_in_crayon_and_has_the_triangle_of_its_deviation() -> None:
    d = drawn(ORDINARY, at=states(pad=State.HELD))
    (said,) = [s for _, s in d.shapes() if isinstance(s, Lettering) and s.text == "held by D-3"]
    assert said.ink == "crayon"
    assert "3" in [s.text for layer, s in d.shapes() if layer == "mark" and isinstance(s, Lettering)]


@every_scene
def test_who_does_not_see_it_is_told_every_part_with_state_and_next_step(scene: Scene) -> None:
    svg = ElementTree.fromstring(to_svg(drawn(scene)))
    assert svg.get("role") == "img" and svg.get("aria-label") == "2031-014, side view"
    said = svg.find("{http://www.w3.org/2000/svg}desc").text
    for title in ("Turbine", "Tower", "Pad", "Crane pad", "Trench", "Ground station", "Utility line"):
        assert f"{title}: " in said
    assert said.count("Next: Wire the ground station") == 7


def test_what_nobody_gave_is_not_drawn_and_named_as_unknown() -> None:
    nothing = dict.fromkeys(("turbine", "tower", "trench", "station", "line", "crane_pad"), State.NOTHING)
    d = drawn(NO_TOWER, at=states(State.RELEASED, **nothing))
    assert not outlines(d, "tower") and not outlines(d, "turbine") and not outlines(d, "trench")
    unknown = "turbine, tower, crane pad, trench, ground station, utility line"
    assert f"Nothing known yet: {unknown}." in d.description


@every_form
def test_of_a_job_without_figures_there_is_a_frame_that_names_the_first_step(form) -> None:
    d = job_picture(Scene(), states(State.NOTHING), form, title="2031-015", first="First: turbine.")
    assert len(outlines(d, "frame")) == 1 and not outlines(d, "tower")
    assert "First: turbine." in d.description
    assert form in (THUMB, CARD) or "First: turbine." in " ".join(words(d))


def test_a_line_and_a_barn_of_no_known_height_are_dashed_and_say_so() -> None:
    d = drawn(TUBE_60)
    assert {shape.pen.dash for shape in outlines(d, "line") if shape.pen.weight != "thin"} == {"tentative"}
    assert "2400 ft off, height not given" in d.description


def test_a_site_gives_only_what_it_says() -> None:
    scene = scene_of({"site": SiteFigures()}, None)
    assert scene.is_empty


# --- words clear of words and lines -------------------------------------------------------------------


def words_on_words(d: Drawing) -> list[tuple[str, str]]:
    boxes = [(s.text, s.box(margin=0.0)) for _, s in d.shapes() if isinstance(s, Lettering)]
    return [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if meet(one, other)]


def words_struck(d: Drawing) -> list[str]:
    """Words, but those on a blank of their own, that a line goes through."""
    own = ("balloon", "mark", "crayon")
    lines = [
        (p, q)
        for layer, s in d.shapes()
        if isinstance(s, Stroke) and layer not in own and s.pen.weight and s.pen.ink != "crayon"
        for p, q in pairwise([*s.points, s.points[0]] if s.closed else s.points)
    ]
    said = [s for on, s in d.shapes() if isinstance(s, Lettering) and not s.blank and on not in own]
    return [s.text for s in said if any(meet(line, _middle(s)) for line in lines)]


def _middle(s: Lettering) -> tuple[tuple[float, float], ...]:
    """From the foot of a letter to its head, as the look at drawn words on pages takes it."""
    (left, foot), (right, _), (_, head), _ = s.box(margin=-0.5)
    drop = (foot - head) * 0.2
    return (left, foot - drop), (right, foot - drop), (right, head + drop), (left, head + drop)


def balloons_on_balloons(d: Drawing) -> int:
    rounds = [s for layer, s in d.shapes() if layer == "balloon" and isinstance(s, Round) and s.radius > 5]
    return sum(
        (a.center[0] - b.center[0]) ** 2 + (a.center[1] - b.center[1]) ** 2 < (a.radius + b.radius) ** 2
        for a, b in combinations(rounds, 2)
    )


@every_form
@every_scene
def test_no_word_stands_on_another_or_on_a_line(scene: Scene, form) -> None:
    for at in (states(), states(State.VOID), states(pad=State.HELD)):
        d = drawn(scene, form, at)
        assert (words_on_words(d), words_struck(d), balloons_on_balloons(d)) == ([], [], 0)


@every_form
@settings(phases=[Phase.explicit, Phase.generate], max_examples=15)
@given(scene=scenes)
def test_nor_on_random_sites(scene: Scene, form) -> None:
    d = drawn(scene, form)
    assert (words_on_words(d), words_struck(d), balloons_on_balloons(d)) == ([], [], 0)


@every_scene
def test_outdoors_no_word_is_in_the_picture(scene: Scene) -> None:
    assert words(drawn(scene, CARD)) == []
