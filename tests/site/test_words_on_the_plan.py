"""On the site plan no words cover others: a distance that is read wrong is filed wrong."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from installs.drafting.shapes import Lettering, Stroke
from installs.site.plan import site_plan
from installs.site.review import review_figures
from sitecalc.figures import read
from sitecalc.site.figures import SiteFigures
from tests.make import make_job
from tests.site.lots import make_site, thing
from tests.turbine.machines import make_turbine

pytestmark = pytest.mark.django_db

# one line behind the other, a shed where the property's depth is said: the distances were read as others
CROWDED = [
    thing("House", "building", 340.0, 205.0, height_ft=24.0, width_ft=46.0, ours="yes"),
    thing("Machine shed", "building", 235.0, 160.0, height_ft=20.0, width_ft=60.0, ours="yes"),
    thing("Shelterbelt", "trees", 390.0, 300.0, height_ft=32.0, width_ft=260.0, ours="yes"),
    thing("7.2 kV line", "overhead line", 480.0, 180.0, height_ft=30.0),
    thing("County road 9", "road", 440.0, 180.0),
]
LOT = {"north_ft": 310.0, "east_ft": 265.0, "south_ft": 420.0, "west_ft": 190.0}
PAD = {"pad_bearing_deg": 75.0, "pad_distance_ft": 36.0, "pad_ft": 40.0}


def inside(point, corners) -> bool:
    """Left of every side, or right of every side."""
    x, y = point
    sides = [
        (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)
    ]
    return all(s > 1e-6 for s in sides) or all(s < -1e-6 for s in sides)


def dots(corners):
    a, b, _c, d = corners
    for i in range(1, 40):
        for j in (0.2, 0.5, 0.8):
            yield tuple(a[k] + (b[k] - a[k]) * i / 40 + (d[k] - a[k]) * j for k in (0, 1))


def covered(drawing) -> list[tuple[str, str]]:
    """Pairs of words of which one lies on the other."""
    words = [shape for _layer, shape in drawing.shapes() if isinstance(shape, Lettering) and shape.text]
    found = []
    for i, one in enumerate(words):
        for other in words[i + 1 :]:
            box = other.box(margin=0.0)
            if any(inside(dot, box) for dot in dots(one.box(margin=0.0))):
                found.append((one.text, other.text))
    return found


def cut(drawing, *layers) -> set[str]:
    """Words that stand on a line of these layers: they clear the ground under them, so it is cut."""
    shapes = list(drawing.shapes())
    lines = [shape.points for layer, shape in shapes if layer in layers and isinstance(shape, Stroke)]
    dots_of_lines = [
        (a[0] + (b[0] - a[0]) * n / 400, a[1] + (b[1] - a[1]) * n / 400)
        for points in lines
        for a, b in pairwise(points)
        for n in range(401)
    ]
    words = [shape for _layer, shape in shapes if isinstance(shape, Lettering) and shape.text]
    return {word.text for word in words if any(inside(dot, word.box(margin=0.0)) for dot in dots_of_lines)}


def struck(drawn, said) -> bool:
    """A line that is drawn after the words runs through them."""
    shapes = [shape for _layer, shape in drawn.shapes()]
    at = next(i for i, s in enumerate(shapes) if isinstance(s, Lettering) and s.text == said)
    box = shapes[at].box(margin=0.0)
    after = [s for s in shapes[at + 1 :] if isinstance(s, Stroke) and not s.closed]
    return any(
        inside((a[0] + (b[0] - a[0]) * n / 400, a[1] + (b[1] - a[1]) * n / 400), box)
        for stroke in after
        for a, b in pairwise(stroke.points)
        for n in range(401)
    )


@pytest.fixture
def site():
    job = make_job()
    make_turbine(job)
    return make_site(job)


def test_distances_on_one_line_and_beside_a_shed_can_all_be_read(site) -> None:
    inputs = {**site.inputs(), **LOT, **PAD, "things": CROWDED}
    for balloons in (True, False):
        drawn = site_plan(read(SiteFigures, inputs), review_figures(inputs).results, balloons=balloons)
        assert covered(drawn) == []
        assert not struck(drawn, "480 ft") and not struck(drawn, "440 ft")
        said = " ".join(s.text for _l, s in drawn.shapes() if isinstance(s, Lettering))
        assert all(words in said for words in ("420 ft", "480 ft", "440 ft", "Machine shed, 20 ft high"))


TRENCH = [{"bearing_deg": 165.0, "distance_ft": 120.0}, {"bearing_deg": 163.0, "distance_ft": 240.0}]


def test_no_words_stand_on_a_property_line_a_building_or_the_trench(site) -> None:
    """Where the line of the lot or of what is dug runs is what the sheet is filed for."""
    inputs = {**site.inputs(), **LOT, **PAD, "things": CROWDED, "trench": TRENCH}
    drawn = site_plan(read(SiteFigures, inputs), review_figures(inputs).results, balloons=False)
    assert cut(drawn, "property line", "building", "trench") == set()
    assert covered(drawn) == []


def test_the_trench_is_named_with_its_length(site) -> None:
    """120 ft and 120.1 ft by the law of cosines, to the foot."""
    inputs = {**site.inputs(), **LOT, "things": [], "trench": TRENCH}
    drawn = site_plan(read(SiteFigures, inputs), review_figures(inputs).results)
    said = [s.text for _l, s in drawn.shapes() if isinstance(s, Lettering)]
    assert said.count("trench, 240 ft") == 1
    none = site_plan(read(SiteFigures, {**inputs, "trench": []}), review_figures(inputs).results)
    assert not any("trench" in s.text for _l, s in none.shapes() if isinstance(s, Lettering))


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.builds(
            thing,
            st.sampled_from(["House", "Machine shed", "County road 9", "7.2 kV line"]),
            st.sampled_from(["dwelling", "building", "road", "overhead line", "trees"]),
            st.floats(120, 700),
            st.sampled_from([float(b) for b in range(0, 360, 15)]),
            height_ft=st.sampled_from([None, 22.0]),
            width_ft=st.sampled_from([None, 48.0]),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_words_keep_off_each_other_on_any_ordinary_lot(site, things) -> None:
    inputs = {**site.inputs(), **LOT, **PAD, "things": things}
    assert covered(site_plan(read(SiteFigures, inputs), review_figures(inputs).results)) == []
