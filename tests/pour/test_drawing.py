"""The section by truck: heights by yardage, true to the tickets."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from installs.pour.drawing import Layer, Section, narrow_section_svg, section_svg
from tests.drafting.drawn_dots import drawn


def section(*yards: float, net: float = 35.3) -> Section:
    layers, level = [], 0.0
    for number, load in enumerate(yards, start=1):
        layers.append(
            Layer(number=number, low_yd3=level, high_yd3=level + load, note=f"{load:.1f} yd³", placed=True)
        )
        level += load
    return Section(width_ft=16.5, thickness_ft=3.5, net_yd3=net, layers=tuple(layers), maturity=0.5)


def test_each_truck_fills_the_section_to_its_yardage():
    """35.3 yd3 fill 3.5 ft: 10 yd3 are 0.992 ft; what is over stays inside the outline."""
    made = section(9.5, 9.5, 9.5, 8.0)
    assert made.height_ft(10) == pytest.approx(0.992, abs=0.001)
    assert made.height_ft(36.5) == 3.5
    assert made.words == "pad 35.3 yd³, 36.5 yd³ placed, 1.2 yd³ over"
    assert section(9.5).words == "pad 35.3 yd³, 9.5 yd³ placed, 25.8 yd³ to go"


@pytest.mark.parametrize("count", [0, 1, 4, 8])
def test_notes_never_stand_on_one_another(count):
    svg = section_svg(section(*[4.0] * count), plain=True, room_px=200)
    places = sorted(float(y) for y in re.findall(r'<text[^>]* y="([-0-9.]+)"[^>]*>\d ', svg))
    assert len(places) == count
    assert all(b - a > 15 for a, b in pairwise(places))


def test_the_stipple_closes_up_with_maturity():
    fresh, cured = (
        section_svg(
            Section(width_ft=16.5, thickness_ft=3.5, net_yd3=35.3, layers=section(35.0).layers, maturity=m)
        )
        for m in (0.0, 1.0)
    )
    assert len(drawn(cured)) > 2 * len(drawn(fresh)) > 0


def test_the_phone_draws_it_as_wide_as_the_screen():
    svg = narrow_section_svg(section(9.5, 9.5))
    width = float(re.search(r'width="([0-9.]+)', svg)[1])
    assert width < 360
    assert "truck 2, 9.5 yd³" in svg
