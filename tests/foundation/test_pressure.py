"""Pressure as drawn under the pad: by hand P/A (1 + 6 ex/B + 6 ey/B) where all of a square bears.

The flexure formula for a rigid rectangle within its kern, any text on soil mechanics or statics.
"""

from __future__ import annotations

import itertools
import math
import re
from xml.etree import ElementTree

import pytest

from installs.drafting import to_svg
from installs.foundation.drawing import draw
from installs.foundation.pressure import level, pressure_drawing, winds_drawing
from installs.foundation.review import review, winds_of
from sitecalc.checks import Verdict
from sitecalc.foundation.pad import NOTHING_BEARS, OVERTURNS, combinations
from tests.foundation.make_foundation import make_foundation, release
from tests.make import make_job, make_person

pytestmark = pytest.mark.django_db
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def job():
    return make_job()


def words(svg: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def lines(svg: str, layer: str) -> list[list[tuple[float, float]]]:
    found = []
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        if group.get("class") == f"layer-{layer}":
            for line in (*group.iter(f"{SVG}polyline"), *group.iter(f"{SVG}polygon")):
                pairs = (pair.split(",") for pair in line.attrib["points"].split())
                found.append([(float(x), float(y)) for x, y in pairs])
    return found


def is_ringed(svg: str) -> bool:
    return 'class="layer-ring"' in svg


def test_the_corners_of_a_pad_that_bears_wholly_are_those_of_the_flexure_formula(job) -> None:
    draft = make_foundation(job, side_ft=26.0)
    found = review(draft)
    greatest, _least = combinations(found.pad)
    ratio = 6 * greatest.moment_kip_ft / greatest.vertical_kip / 26.0
    mean, part = 1000 * greatest.vertical_kip / 26.0**2, ratio * math.sqrt(0.5)
    drawn = draw(draft, found)
    by_hand = [mean * (1 + 2 * part), mean, mean, mean * (1 - 2 * part)]
    shown = sorted(
        float(w.removesuffix(" psf").replace(",", ""))
        for w in words(drawn["pressure"])
        if re.fullmatch(r"[\d,]+ psf", w)
    )
    assert 2 * part < 1 and shown == pytest.approx(sorted(by_hand), abs=0.6)
    cells = [w for w in words(drawn["winds"]) if w.endswith(" psf")]
    assert f"{round(mean * (1 + ratio)):,} psf" in cells and f"{round(by_hand[0]):,} psf" in cells


def test_a_line_of_equal_pressure_lies_where_the_plane_has_it(job) -> None:
    found = review(make_foundation(job, side_ft=26.0))
    drawn = to_svg(pressure_drawing(found.results))
    (pad,) = (line for line in lines(drawn, "concrete"))
    left, right = min(x for x, _ in pad), max(x for x, _ in pad)
    top, foot = min(y for _, y in pad), max(y for _, y in pad)
    case = found.results.governing
    a, b, c = case.contact.plane
    levels = []
    for line in lines(drawn, "pressure"):
        at = [
            a + b * ((x - left) / (right - left) - 0.5) * 26 + c * ((foot - y) / (foot - top) - 0.5) * 26
            for x, y in line
        ]
        assert at[0] == pytest.approx(at[1], rel=0.01)
        levels.append(at[0])
    apart = {round(high - low, -1) for low, high in itertools.pairwise(levels)}
    assert len(levels) > 3 and len(apart) == 1


def test_a_level_over_a_triangle_by_hand() -> None:
    """q = 100 x over the triangle (0, 0), (4, 0), (0, 4): at 200 psf x is 2, from (2, 0) to (2, 2)."""
    ends = level([(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)], (0.0, 100.0, 0.0), 200.0)
    assert sorted(ends) == [(2.0, 0.0), (2.0, 2.0)]
    assert level([(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)], (0.0, 100.0, 0.0), 500.0) is None


@pytest.mark.parametrize("side_ft", [9.5, 10.0, 11.0, 12.0, 12.5, 13.0, 14.0, 17.0, 22.0, 26.0])
def test_what_bears_is_said_alike_by_checks_and_drawings(job, side_ft: float) -> None:
    draft = make_foundation(job, side_ft=side_ft, leg_spacing_ft=5.0)
    found = review(draft)
    checks = {check.key: check for check in found.checks}
    drawn = draw(draft, found)
    said = [
        *words(drawn["pad"]),
        *words(drawn["pressure"]),
        *words(drawn["winds"]),
        checks["bearing"].note,
        checks["contact"].note,
    ]
    nothing = found.results.governing.held is None
    assert any(OVERTURNS in word.lower() for word in said) == nothing
    assert (f"{OVERTURNS.capitalize()}, wind from" in checks["bearing"].note) == nothing
    assert not [word for word in said if re.search(r"\b0 % of the pad", word)]
    # no soil, and no rock, is pressed so
    figures = [n for word in said if "psf" in word for n in re.findall(r"[\d,.]*\d", word)]
    assert max((float(n.replace(",", "")) for n in figures), default=0.0) < 1e6
    assert is_ringed(drawn["pressure"]) == (checks["bearing"].verdict is Verdict.FAILS)


def test_a_hair_of_contact_overturns_and_fails(job) -> None:
    """Looked for between a pad that bears somewhere and one that does not."""
    low, high = 9.5, 17.0
    for _ in range(40):
        middle = (low + high) / 2
        found = review(make_foundation(make_job(), side_ft=middle, leg_spacing_ft=5.0))
        low, high = (middle, high) if found.results.governing.contact is None else (low, middle)
    found = review(make_foundation(make_job(), side_ft=high, leg_spacing_ft=5.0))
    case = found.results.governing
    assert case.contact is not None and 0 < case.contact.fraction < NOTHING_BEARS
    check = next(c for c in found.checks if c.key == "bearing")
    assert check.verdict is Verdict.FAILS and OVERTURNS in check.note.lower()
    assert case.pressed == OVERTURNS
    assert next(p for p in found.results.rose if p.wind_from == case.wind_from).pressure_psf is None


OUTLINES: list[dict[str, object]] = [
    {"outline": "circle"},
    {"outline": "octagon"},
    {"other_side_ft": 24.0},
    {"base": "tube", "leg_spacing_ft": 4.0},
]


@pytest.mark.parametrize(
    "figures",
    [
        {"outline": "circle"},
        {"outline": "octagon"},
        {"other_side_ft": 24.0},
        {"base": "tube", "leg_spacing_ft": 4.0},
    ],
)
def test_every_outline_is_drawn_with_every_wind(job, figures) -> None:
    found = review(make_foundation(job, **figures))
    drawn = to_svg(winds_drawing(found.results, winds_of(found.pad)))
    assert [w for w in words(drawn) if w in ("N", "NE", "E", "SE", "S", "SW", "W", "NW")].__len__() == 8
    assert to_svg(pressure_drawing(found.results))


def test_the_release_is_printed_from_its_own_loads(job) -> None:
    from installs.foundation.sheets import checks_sheet

    draft = make_foundation(job)
    revision = release(draft, make_person("Perla Lind", "engineer"))
    before = checks_sheet(job, revision)["drawings"]
    draft.change(moment_kip_ft=10.0)
    draft.save()
    assert checks_sheet(job, revision)["drawings"] == before
    assert {"rose", "pressure", "winds"} == set(before)


def test_without_loads_nothing_is_drawn(job) -> None:
    draft = make_foundation(job, moment_kip_ft=None)
    found = review(draft)
    assert (
        pressure_drawing(found.results) is None and winds_drawing(found.results, winds_of(found.pad)) is None
    )
    assert "pressure" not in draw(draft, found)
