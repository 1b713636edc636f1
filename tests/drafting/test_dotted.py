"""A stipple is written in few letters, and every one of its dots is drawn."""

from __future__ import annotations

import pytest

from installs.drafting.dotted import dots_svg, rows_of_dots
from installs.drafting.stipple import TILE, dots_between, graded_dots
from tests.drafting.drawn_dots import drawn


@pytest.mark.parametrize("maturity", [None, 0.0, 0.4, 1.0])
@pytest.mark.parametrize(
    "box", [(0.0, 0.0, 417.0, 128.0), (-30.3, -140.7, 270.9, -12.2), (5.0, 5.0, 9.0, 9.0)]
)
def test_every_dot_is_drawn_once_and_no_other(box, maturity):
    wanted = sorted((round(x, 1), round(y, 1)) for x, y in dots_between(*box, maturity))
    svg = dots_svg(wanted, 1.1)
    assert sorted((round(x, 1), round(y, 1)) for x, y in drawn(svg)) == wanted


def test_dots_that_come_with_maturity_are_drawn_too():
    wanted = list(graded_dots(0, 0, 640, 150, lambda x: x / 640))
    assert len(drawn(dots_svg(wanted, 1.1))) == len(wanted)


def test_dots_a_tile_apart_are_one_row_until_one_is_missing():
    places = [3.0, 3.0 + TILE, 3.0 + 3 * TILE, 9.5]
    rows = [(3.0, 3.0 + TILE), (3.0 + 3 * TILE, 3.0 + 3 * TILE), (9.5, 9.5)]
    assert sorted(rows_of_dots(places)) == sorted(rows)
    assert dots_svg([], 1.1) == ""
