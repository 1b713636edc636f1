"""A hatch stays inside its polygon, and concrete closes up as it cures."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.drafting import Drawing
from installs.drafting.hatches import hatch, inside
from installs.drafting.shapes import Dots, Segments, Stroke, outline_points
from installs.drafting.stipple import CURED_APART, FRESH_APART, dots_between, graded_dots

L_SHAPE = [(0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (40.0, 40.0), (40.0, 120.0), (0.0, 120.0)]
HOLE = [(10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)]


@st.composite
def stars(draw):
    """A polygon seen whole from its middle: corners in order of their direction."""
    count = draw(st.integers(3, 9))
    reaches = draw(st.lists(st.floats(15, 90), min_size=count, max_size=count))
    angles = [math.tau * i / count for i in range(count)]
    return [(100 + r * math.cos(a), 100 + r * math.sin(a)) for r, a in zip(reaches, angles, strict=True)]


@given(region=stars(), kind=st.sampled_from(["concrete", "earth", "lattice", "steel"]))
def test_every_stroke_and_dot_lies_inside(region, kind):
    # held against matplotlib's own point-in-polygon, half a hundredth px of slack on the edge
    from matplotlib.path import Path

    area = Path([*region, region[0]], closed=True)
    points = [p for shape in hatch(kind, [region], None) for p in outline_points(shape)]
    assert all(area.contains_point(p, radius=0.01) or area.contains_point(p, radius=-0.01) for p in points)


@pytest.mark.parametrize("kind", ["concrete", "earth", "lattice", "steel"])
def test_nothing_is_drawn_in_a_hole_or_across_it(kind):
    from matplotlib.path import Path

    hole = Path([(x + math.copysign(0.01, 20 - x), y + math.copysign(0.01, 20 - y)) for x, y in HOLE])
    for shape in hatch(kind, [L_SHAPE, HOLE], None):
        assert not any(hole.contains_point(p) for p in outline_points(shape))
        if isinstance(shape, Segments):
            middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in shape.pieces]
            assert not any(hole.contains_point(p) for p in middles)


@given(stars(), st.tuples(st.floats(0, 200), st.floats(0, 200)))
def test_inside_agrees_with_matplotlib(region, point):
    from matplotlib.path import Path

    area = Path([*region, region[0]], closed=True)
    near = area.contains_point(point, radius=0.5) != area.contains_point(point, radius=-0.5)
    assert near or inside(point, [region]) == area.contains_point(point)


def dots(maturity, region=((0, 0), (300, 0), (300, 120), (0, 120))):
    return sum(len(s.points) for s in hatch("concrete", [region], maturity) if isinstance(s, Dots))


def test_stipple_closes_up_with_maturity():
    counts = [dots(m / 10) for m in range(11)]
    assert counts == sorted(counts) and len(set(counts)) > 8
    assert dots(None) < counts[0]


def test_the_same_dots_stay_when_more_come():
    young = set(dots_between(0, 0, 128, 128, 0.3))
    assert young < set(dots_between(0, 0, 128, 128, 0.8))


@pytest.mark.parametrize(("maturity", "apart"), [(0.0, FRESH_APART), (1.0, CURED_APART)])
def test_dots_stand_the_stated_distance_apart(maturity, apart):
    # one dot to each square of that side, on the average
    count = len(list(dots_between(0, 0, 128, 128, maturity)))
    assert count == pytest.approx((128 / apart) ** 2, rel=0.05)


def test_no_two_dots_fall_together():
    placed = list(dots_between(0, 0, 64, 64, 1.0))
    nearest = min(math.dist(a, b) for i, a in enumerate(placed) for b in placed[:i])
    assert nearest > CURED_APART / 4


def test_a_cure_thickens_along_its_strip():
    counts = [0] * 4
    for x, _y in graded_dots(0, 0, 400, 40, lambda x: x / 400):
        counts[int(x // 100)] += 1
    assert counts == sorted(counts) and counts[3] > 2 * counts[0]


def test_a_maturity_past_28_days_is_as_dense_as_it_gets():
    assert dots(1.7) == dots(1.0)


def test_a_huge_region_stays_light():
    huge = ((0, 0), (4000, 0), (4000, 4000), (0, 4000))
    assert dots(1.0, huge) <= 6500


@pytest.mark.parametrize("maturity", [math.nan, -0.1, math.inf])
def test_a_maturity_that_is_none_is_refused(maturity):
    with pytest.raises(ValueError):
        Drawing("pad").hatch("concrete", [(0, 0), (1, 0), (1, 1)], maturity=maturity)


def test_an_unknown_hatch_is_refused():
    with pytest.raises(ValueError, match="concrete, earth"):
        Drawing("pad").hatch("gravel", [(0, 0), (1, 0), (1, 1)])


def test_earth_is_bundles_of_three_turned_against_their_neighbors():
    (strokes,) = hatch("earth", [[(0, 0), (120, 0), (120, 60), (0, 60)]], None)
    for (x1, y1), (x2, y2) in strokes.pieces:
        assert abs(x2 - x1) == pytest.approx(abs(y2 - y1))  # 45 degrees
    slopes = [round((b[1] - a[1]) / (b[0] - a[0])) for a, b in strokes.pieces]
    first_row = [s for s, (a, b) in zip(slopes, strokes.pieces, strict=True) if (a[1] + b[1]) / 2 < 12]
    bundles = [first_row[i : i + 3] for i in range(0, len(first_row), 3)]
    assert all(len(set(bundle)) == 1 for bundle in bundles)
    assert all(a[0] == -b[0] for a, b in pairwise(bundles))


def test_stones_are_open_three_cornered_outlines():
    stones = [s for s in hatch("concrete", [L_SHAPE], None) if isinstance(s, Stroke)]
    assert stones and all(len(s.points) == 3 and s.closed and not s.pen.fill for s in stones)
