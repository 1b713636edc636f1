"""Forces of legs and bolts against closed forms, in every wind."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.foundation.anchor_layout import AnchorLayout, bolts, legs, toward, wind_words
from sitecalc.foundation.anchor_loads import blows, both_turns, directions, extremes
from sitecalc.foundation.loads import BaseLoads, StrengthLoad, service, strength
from sitecalc.inputs import InputError

FOUR = AnchorLayout(legs=4, spacing_ft=10.0, bolts=4, pattern_in=8.0)
THREE = AnchorLayout(legs=3, spacing_ft=10.0, bolts=4, pattern_in=8.0)


def test_four_legs_are_pulled_most_on_the_diagonal() -> None:
    """Closed form M/(sqrt2 a) - W/4: a = 10 ft, M = 300 kip-ft, W = 6 kip give 19.71 kip a leg."""
    found = extremes(FOUR, [StrengthLoad(name="wind", vertical_kip=6.0, moment_kip_ft=300.0, shear_kip=0.0)])
    assert all(leg.uplift_kip == pytest.approx(19.71, abs=0.005) for leg in found)
    assert [toward(leg.uplift_from_deg) for leg in found] == ["NE", "SE", "SW", "NW"]
    assert [toward(leg.compression_from_deg) for leg in found] == ["SW", "NW", "NE", "SE"]
    assert found[0].compression_kip == pytest.approx(300 / (math.sqrt(2) * 10) + 1.5)


def test_two_legs_pull_alike_with_the_wind_square_to_a_side() -> None:
    """Closed form M/(2a) - W/4 = 13.5 kip."""
    found = blows(FOUR, [StrengthLoad(name="wind", vertical_kip=6.0, moment_kip_ft=300.0, shear_kip=0.0)])
    north = found.tension[found.from_deg.index(0.0)]
    assert north.reshape(4, 4).sum(axis=1) == pytest.approx([13.5, -16.5, -16.5, 13.5])


def test_three_legs_one_pulls_alone() -> None:
    """Closed form M/(0.866 a) - W/3 = 32.64 kip."""
    found = extremes(THREE, [StrengthLoad(name="wind", vertical_kip=6.0, moment_kip_ft=300.0, shear_kip=0.0)])
    assert all(leg.uplift_kip == pytest.approx(32.64, abs=0.005) for leg in found)


def test_a_ring_of_bolts() -> None:
    """API 650, 5.12 (from memory): 4M/(nD) - P/n; 8 on 30 in, M = 1,200 kip-in, P = 10 kip: 18.75 kip."""
    ring = AnchorLayout(legs=1, spacing_ft=2.5, bolts=8)
    found = extremes(ring, [StrengthLoad(name="wind", vertical_kip=10.0, moment_kip_ft=100.0, shear_kip=0.0)])
    assert all(bolt.uplift_kip == pytest.approx(18.75) for bolt in found)


def test_twelve_bolts_clocked_between_the_wind() -> None:
    """Closed form: N 12, D 36 in, M 150 kip-ft, W 8 kip: 16.667 - 0.667 on the axis, 16.099 - 0.667 at 15
    degrees off it."""
    ring = AnchorLayout(legs=1, spacing_ft=3.0, bolts=12)
    found = blows(ring, [StrengthLoad(name="w", vertical_kip=8, moment_kip_ft=150, shear_kip=0)])
    by_wind = dict(zip(found.from_deg, found.tension.max(axis=1), strict=True))
    assert by_wind[0.0] == pytest.approx(16.0)
    assert by_wind[15.0] == pytest.approx(16.099 - 0.667, abs=0.001)


@given(
    legs_=st.sampled_from([1, 3, 4]),
    first=st.floats(0, 360),
    p=st.floats(0, 100),
    m=st.floats(0, 2000),
    v=st.floats(0, 100),
    t=st.floats(-100, 100),
)
@settings(deadline=None)
def test_bolts_hold_what_is_put_on_them(legs_, first, p, m, v, t) -> None:
    """Statics: forces of all bolts balance load, moment, shear and torsion in every wind."""
    layout = AnchorLayout(
        legs=legs_, spacing_ft=6.0, bolts=4 if legs_ > 1 else 8, first_deg=first, pattern_in=9
    )
    found = blows(
        layout, [StrengthLoad(name="w", vertical_kip=p, moment_kip_ft=m, shear_kip=v, torsion_kip_ft=t)]
    )
    bearing = np.radians(found.from_deg)
    east, north = -np.sin(bearing), -np.cos(bearing)
    x, y = np.array([(b.x_in, b.y_in) for b in found.standing]).T
    assert found.tension.sum(axis=1) == pytest.approx(-p * np.ones_like(east), abs=1e-6)
    assert found.tension @ x == pytest.approx(-m * 12 * east, abs=1e-6)
    assert found.tension @ y == pytest.approx(-m * 12 * north, abs=1e-6)
    assert found.east.sum(axis=1) == pytest.approx(v * east, abs=1e-6)
    assert found.north.sum(axis=1) == pytest.approx(v * north, abs=1e-6)
    assert found.north @ x - found.east @ y == pytest.approx(t * 12 * np.ones_like(east), abs=1e-6)


@given(first=st.floats(0, 90), sides=st.sampled_from([3, 4]))
@settings(deadline=None)
def test_no_wind_between_those_tried_pulls_more(first, sides) -> None:
    """The wind along a leg is exactly the worst: a sweep by degrees finds no more."""
    layout = AnchorLayout(legs=sides, spacing_ft=8.0, bolts=4, first_deg=first, pattern_in=8.0)
    load = StrengthLoad(name="w", vertical_kip=5.0, moment_kip_ft=200.0, shear_kip=10.0)
    most = max(leg.uplift_kip for leg in extremes(layout, [load]))
    radius = math.hypot(legs(layout)[0].x_in, legs(layout)[0].y_in) / 12
    for deg in range(360):
        lee = max(-math.cos(math.radians(deg - leg.bearing_deg)) for leg in legs(layout))
        assert 200 * lee / (sides * radius / 2) - 5 / sides <= most + 1e-9


def test_torsion_turns_either_way() -> None:
    loads = both_turns(
        [StrengthLoad(name="w", vertical_kip=5.0, moment_kip_ft=200.0, shear_kip=10.0, torsion_kip_ft=8.0)]
    )
    assert [load.torsion_kip_ft for load in loads] == [8.0, -8.0]
    # V/n + T/(n r) with r = 10 / sqrt2 ft, on the leg beside which the wind blows
    assert max(leg.shear_kip for leg in extremes(FOUR, loads[:1])) == pytest.approx(
        10 / 4 + 8 / (4 * 10 / math.sqrt(2))
    )


def test_service_loads_are_refused() -> None:
    loads = service(BaseLoads(dead_kip=5, moment_kip_ft=100, shear_kip=5))
    with pytest.raises(TypeError, match="Factored"):
        extremes(FOUR, loads)  # type: ignore[arg-type]
    assert extremes(FOUR, strength(BaseLoads(dead_kip=5, moment_kip_ft=100, shear_kip=5)))


def test_directions_hold_every_leg() -> None:
    layout = AnchorLayout(legs=3, spacing_ft=8.0, bolts=4, first_deg=17.0, pattern_in=8.0)
    assert {17.0, 137.0, 257.0, 197.0, 107.0} <= set(directions(layout))


def test_bolts_are_marked_by_legs() -> None:
    marks = [b.mark for b in bolts(FOUR)]
    assert marks[:5] == ["A1", "A2", "A3", "A4", "B1"] and len(marks) == 16
    assert (bolts(FOUR)[0].x_in, bolts(FOUR)[0].y_in) == pytest.approx((60 - 4, 60 + 4))
    assert wind_words(315) == "wind from the NW" and wind_words(10) == "wind from 10°"


def test_a_group_turned_toward_the_middle() -> None:
    """Symmetry: every leg's bolts stand alike from the middle."""
    layout = AnchorLayout(legs=3, spacing_ft=8.0, bolts=4, turned="toward the middle", pattern_in=8.0)
    radii = {name: sorted(round(b.radius_in, 6) for b in bolts(layout) if b.leg == name) for name in "ABC"}
    assert radii["A"] == radii["B"] == radii["C"]


def test_patterns_that_do_not_exist_are_refused() -> None:
    for layout, field in (
        (AnchorLayout(legs=4, spacing_ft=8.0, bolts=5, pattern_in=8.0), "bolts"),
        (AnchorLayout(legs=2, spacing_ft=8.0, bolts=4, pattern_in=8.0), "legs"),
        (AnchorLayout(legs=1, spacing_ft=8.0, bolts=2), "bolts"),
    ):
        with pytest.raises(InputError) as caught:
            bolts(layout)
        assert caught.value.field == field


def test_bolts_whose_pattern_is_not_known_stand_nowhere() -> None:
    """A number in its place would be a foundation drawn and drilled by a guess; a single bolt has none."""
    with pytest.raises(InputError) as caught:
        bolts(AnchorLayout(legs=3, spacing_ft=8.0, bolts=4))
    assert caught.value.field == "pattern_in"
    assert len(legs(AnchorLayout(legs=3, spacing_ft=8.0, bolts=4))) == 3
    assert [b.mark for b in bolts(AnchorLayout(legs=3, spacing_ft=8.0, bolts=1))] == ["A1", "B1", "C1"]
