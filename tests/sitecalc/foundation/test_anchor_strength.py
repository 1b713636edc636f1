"""Chapter 17 strengths against printed examples and closed forms."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.foundation.anchor_areas import (
    concrete_outline,
    edges,
    union_of_squares_in2,
)
from sitecalc.foundation.anchor_case import steels
from sitecalc.foundation.anchor_shear import shear_rows
from sitecalc.foundation.anchor_strength import (
    basic_breakout_lb,
    basic_shear_lb,
    blowout,
    corner_factor,
    futa,
    nut_bearing,
    pullout,
)
from sitecalc.foundation.anchor_tension import Embedded, blowouts, clusters, tension_group
from sitecalc.foundation.tables import anchor_bolts

MM, N, MPA = 1 / 25.4, 1 / 4.4482216, 145.0377
FAR = concrete_outline("rectangle", 4000, 4000)

# ASTM F1554: stress areas and tensile strengths as read (public load tables and pages of the standard);
# phi Nsa at 0.75 and phi Npn of a heavy hex nut at f'c 4 ksi, phi 0.70, from them
TABLE = {
    "1/2": (0.1419, 0.467, 6.17, 7.98, 13.3, 10.5),
    "5/8": (0.226, 0.671, 9.83, 12.7, 21.2, 15.0),
    "3/4": (0.334, 0.911, 14.6, 18.8, 31.4, 20.4),
    "7/8": (0.462, 1.188, 20.1, 26.0, 43.3, 26.6),
    "1": (0.606, 1.501, 26.4, 34.1, 56.8, 33.6),
    "1-1/8": (0.763, 1.851, 33.2, 42.9, 71.6, 41.5),
    "1-1/4": (0.969, 2.237, 42.2, 54.5, 90.9, 50.1),
    "1-3/8": (1.155, 2.659, 50.2, 65.0, 108, 59.6),
    "1-1/2": (1.405, 3.118, 61.1, 79.1, 132, 69.8),
    "1-3/4": (1.90, 4.144, 82.6, 107, 178, 92.8),
    "2": (2.50, 5.316, 109, 141, 234, 119),
}


@pytest.mark.parametrize("size", TABLE)
def test_stress_areas_and_steel_strengths(size) -> None:
    """ASTM F1554 stress areas (public load tables) and 0.7854 (d - 0.9743/n)^2 of ASME B1.1 agree."""
    area, bearing, *steel, pulled_out = TABLE[size]
    bolt = anchor_bolts()[size]
    assert bolt.stress_area_in2 == area
    assert 0.7854 * (bolt.diameter_in - 0.9743 / bolt.threads_per_in) ** 2 == pytest.approx(area, rel=0.004)
    assert nut_bearing(bolt.diameter_in).value == pytest.approx(bearing, abs=0.001)
    for grade, design in zip(("36", "55", "105"), steel, strict=True):
        found = steels()[grade]
        strength = futa(found.yield_ksi, found.tensile_ksi).value
        assert 0.75 * area * strength == pytest.approx(design, rel=0.005)
    assert 0.70 * pullout(nut_bearing(bolt.diameter_in).value, 4000).value / 1000 == pytest.approx(
        pulled_out, rel=0.005
    )


def test_printed_strengths_of_half_inch_bolts() -> None:
    """A public page of ASTM F1554: 1/2 in, 8,200 / 10,600 / 17,700 lb, yield 5,100 / 7,800 / 14,900 lb."""
    for grade, tensile, yields in (("36", 8200, 5100), ("55", 10_600, 7800), ("105", 17_700, 14_900)):
        steel = steels()[grade]
        assert 0.1419 * steel.tensile_ksi * 1000 == pytest.approx(tensile, rel=0.005)
        assert 0.1419 * steel.yield_ksi * 1000 == pytest.approx(yields, rel=0.005)


def test_a_printed_group_of_sixteen() -> None:
    """A fastener maker's design guide to ACI 318-19, October 2025, p. 86: 4 x 4 anchors 9 by 6 in, hef 5.75,
    8 in to one edge, kc 21, f'c 4,000: Nb 18,313 lb, ANc 1,532.16 and ANco 297.56 in2, psi_ed 0.978,
    Ncbg 92,221 lb with the factors rounded as printed."""
    south = ((-2000.0, -8.0), (2000.0, -8.0), (2000.0, 2000.0), (-2000.0, 2000.0))
    spots = [(9.0 * i, 6.0 * j) for i in range(4) for j in range(4)]
    found = tension_group(
        Embedded(polygon=south, deep_in=10, fc_psi=4000, hef_in=5.75, diameter_in=0.75, kc=21), spots
    )
    assert found.basic_lb == pytest.approx(18_313, abs=1)
    assert (found.area_in2, found.single_in2) == (
        pytest.approx(1532.16, abs=0.01),
        pytest.approx(297.56, abs=0.01),
    )
    assert found.psi_ed == pytest.approx(0.978, abs=0.0005)
    assert found.strength_lb([1.0] * 16) == pytest.approx(92_221, rel=0.0005)


def test_a_pedestal_cuts_the_embedment_down() -> None:
    """A public engineering note (SI): four 1 in bolts 350 mm apart, hef 450 mm, pedestal of 1,100 mm, f'c 25
    MPa: hef' 250 mm, ANc/ANco 1.467 for two pulled bolts, 2.151 for all four, Nb 197.6 kN. Metric constants
    are rounded, so kN agree to half a percent."""
    block = concrete_outline("rectangle", 1100 * MM, 1100 * MM)
    body = Embedded(polygon=block, deep_in=40, fc_psi=25 * MPA, hef_in=450 * MM, diameter_in=1.0)
    half = 175 * MM
    two = tension_group(body, [(-half, half), (half, half)])
    four = tension_group(body, [(x, y) for x in (-half, half) for y in (-half, half)])
    assert two.hef_in / MM == pytest.approx(250)
    assert two.area_in2 / two.single_in2 == pytest.approx(1.467, abs=0.001)
    assert four.area_in2 / four.single_in2 == pytest.approx(2.151, abs=0.001)
    assert two.basic_lb / N / 1000 == pytest.approx(197.6, rel=0.006)
    # 318-19 for the same: 0.70 x 1.467 x 197.6 = 202.9 kN, psi_ed 1 at 375 = 1.5 x 250
    assert 0.70 * two.strength_lb([1.0, 1.0]) / N / 1000 == pytest.approx(202.9, rel=0.006)


def test_metric_pullout_and_blowout() -> None:
    """The same note: Abrg 969 mm2, Np 193.8 kN (8 has no unit); group blowout 352.4 kN with 0.95 at ca1 125
    mm, s 350 mm, in a 600 mm pedestal: (1 + 350 / 750) x 13 x 125 x sqrt(969) x sqrt(25)."""
    assert pullout(969 * MM**2, 25 * MPA).value / N == pytest.approx(193_800, rel=0.001)
    single = blowout(125 * MM, 969 * MM**2, 25 * MPA).value / N
    assert single == pytest.approx(13 * 125 * math.sqrt(969) * 5, rel=0.025)
    block = concrete_outline("rectangle", 600 * MM, 600 * MM)
    body = Embedded(polygon=block, deep_in=40, fc_psi=25 * MPA, hef_in=450 * MM, diameter_in=1.0)
    spots = [(x * MM, y * MM) for x in (-175, 175) for y in (-175, 175)]
    groups = [b for b in blowouts(body, spots, 969 * MM**2) if len(b.spots) == 2]
    assert len(groups) == 4
    assert 0.95 * groups[0].strength_lb / N == pytest.approx(352_400, rel=0.025)


def test_blowout_does_not_apply_in_the_wide_pedestal() -> None:
    """The same note: at 1,100 mm ca1 is 375 mm and hef 450 < 2.5 ca1."""
    block = concrete_outline("rectangle", 1100 * MM, 1100 * MM)
    body = Embedded(polygon=block, deep_in=40, fc_psi=25 * MPA, hef_in=450 * MM, diameter_in=1.0)
    spots = [(x * MM, y * MM) for x in (-175, 175) for y in (-175, 175)]
    assert list(blowouts(body, spots, 1.5)) == []


def test_the_constants_are_those_of_inches() -> None:
    """ACI 318-19 prints 24 / 16 / 160 / 7 / 9 in inch-pound and 10 / 3.9 / 13 / 0.6 / 3.7 in metric (from
    memory); both must say the same. Taking 16 with mm and MPa would be 4.1 times too much."""
    fc, hef = 4000.0, 18.0
    root = math.sqrt(fc / MPA)
    assert basic_breakout_lb(10.0, fc) == pytest.approx(10 * root * (10 / MM) ** 1.5 * N, rel=0.01)
    assert basic_breakout_lb(hef, fc) == pytest.approx(3.9 * root * (hef / MM) ** (5 / 3) * N, rel=0.01)
    wrong = 16 * root * (hef / MM) ** (5 / 3) * N
    assert wrong / basic_breakout_lb(hef, fc) == pytest.approx(4.1, abs=0.05)
    metric = min(0.6 * 8**0.2 * math.sqrt(1 / MM), 3.7) * root * (12 / MM) ** 1.5 * N
    assert basic_shear_lb(12.0, 18.0, 1.0, fc) == pytest.approx(metric, rel=0.02)


def test_basic_breakout_by_depth() -> None:
    """24 hef^1.5 and 16 hef^(5/3) at f'c 4,000 (closed form), kip."""
    for hef, kip in ((10, 48.0), (11, 55.1), (12, 63.6), (18, 125.1), (25, 216.3)):
        assert basic_breakout_lb(hef, 4000) / 1000 == pytest.approx(kip, rel=0.001)


def test_a_bolt_in_five_kip_service() -> None:
    """PCA Notes on ACI 318-11, example 34.1 (from memory): 7 kip factored asks hef 3.51 in at f'c 4,000."""
    assert 0.70 * basic_breakout_lb(3.51, 4000) == pytest.approx(7000, rel=0.005)


def test_printed_shear_breakout_of_one_row() -> None:
    """The maker's guide, p. 88 and 90: 16 anchors, front row 8 in from the edge, rows 6 in apart (case 3, all
    shear on the first row), concrete 10 in deep, f'c 4,000: AVc 510 and AVco 288 in2, psi_h 1.10; Vcbg 25,089
    lb with Vb from 3/4 in anchors."""
    south = ((-2000.0, -8.0), (2000.0, -8.0), (2000.0, 2000.0), (-2000.0, 2000.0))
    spots = [(9.0 * i, 6.0 * j) for i in range(4) for j in range(4)]
    rows = [
        r
        for r in shear_rows(
            Embedded(polygon=south, deep_in=10, fc_psi=4000, hef_in=5.75, diameter_in=0.75), spots
        )
        if r.edge.name == "S"
    ]
    (front,) = rows
    assert (len(front.spots), len(front.carried)) == (4, 16)
    assert (front.area_in2, front.single_in2) == (pytest.approx(510), pytest.approx(288))
    assert front.psi_h == pytest.approx(1.10, abs=0.006)
    assert front.strength_lb(0.0) == pytest.approx(25_089, rel=0.006)


def test_printed_basic_shear() -> None:
    """The maker's guide, p. 98: le 6, da 3/4, f'c 5,000, ca1 6 in: 9,549 and 9,353 lb, the lesser; p. 157:
    le 3.25, da 1/2, f'c 3,000, ca1 5 in: 4,407 lb; p. 139: hef 8, da 5/8, f'c 4,000, ca1 8 in: 12,004; p. 81:
    hef 12, da 7/8, f'c 4,500, ca1 22 in: 62,299 lb."""
    assert basic_shear_lb(8.0, 8.0, 0.625, 4000) == pytest.approx(12_004, abs=2)
    assert basic_shear_lb(22.0, 12.0, 0.875, 4500) == pytest.approx(62_299, abs=2)
    assert basic_shear_lb(6.0, 10.0, 0.75, 5000) == pytest.approx(9353, abs=1)
    assert basic_shear_lb(5.0, 3.25, 0.5, 3000) == pytest.approx(4407, abs=2)


def test_printed_rows_in_shallow_concrete() -> None:
    """The maker's guide, p. 78 and 82: three rows 8 in apart, the first 6 in from the edge, 4 anchors each 9
    in apart, 15 in deep: the second row (14 in) has AVc 1,035 and AVco 882 in2, psi_h 1.18, answers for two
    thirds of the shear; the third for all of it."""
    south = ((-2000.0, -6.0), (2000.0, -6.0), (2000.0, 2000.0), (-2000.0, 2000.0))
    spots = [(9.0 * i, 8.0 * j) for i in range(4) for j in range(3)]
    rows = [
        r
        for r in shear_rows(
            Embedded(polygon=south, deep_in=15, fc_psi=4000, hef_in=12, diameter_in=0.75), spots
        )
        if r.edge.name == "S"
    ]
    assert [len(r.carried) for r in rows] == [4, 8, 12]
    assert (rows[1].area_in2, rows[1].single_in2) == (pytest.approx(1035), pytest.approx(882))
    assert rows[1].psi_h == pytest.approx(1.18, abs=0.005)


def test_a_close_row_loads_the_one_before_it() -> None:
    """The maker's guide, p. 98 and 99: rows at 6, 10 and 18 in. The second is 4 in behind the first, under
    ca1 6 in: case 3, both on the first. The third stands alone with AVc 972, AVco 1,458 in2, psi_h 1.5, 12 in
    deep. First row: AVc 405, AVco 162, Vcbg 28,059 lb with psi_c 1.2, f'c 5,000."""
    south = ((-2000.0, -6.0), (2000.0, -6.0), (2000.0, 2000.0), (-2000.0, 2000.0))
    spots = [(9.0 * i, y) for i in range(4) for y in (0.0, 4.0, 12.0)]
    body = Embedded(polygon=south, deep_in=12, fc_psi=5000, hef_in=10, diameter_in=0.75, edge_factor=1.2)
    first, third = [r for r in shear_rows(body, spots) if r.edge.name == "S"]
    assert (len(first.spots), len(first.carried)) == (4, 8)
    assert (first.area_in2, first.single_in2) == (pytest.approx(405), pytest.approx(162))
    assert first.strength_lb(0.0) == pytest.approx(28_059, rel=0.0005)
    assert (third.area_in2, third.single_in2) == (pytest.approx(972), pytest.approx(1458))
    assert third.psi_h == pytest.approx(1.5) and len(third.carried) == 12


def test_printed_eccentric_row_with_a_side_edge() -> None:
    """The maker's guide, p. 157: AVc 112.2, AVco 112.5, psi_ec 0.976, psi_ed 0.98, psi_h 1.118, Vb 4,407 lb:
    Vcbg 4,700 lb; along the edge, twice and psi_ed 1, 9,592 lb (its psi_ec kept). These mean: ca1 5 in, a
    side edge at 7 in, two anchors 4.2 in apart, 6 in deep, e' 0.184 in."""
    corner = ((-7.0, -5.0), (2000.0, -5.0), (2000.0, 2000.0), (-7.0, 2000.0))
    body = Embedded(polygon=corner, deep_in=6, fc_psi=3000, hef_in=3.25, diameter_in=0.5)
    (row,) = [r for r in shear_rows(body, [(0.0, 0.0), (4.2, 0.0)]) if r.edge.name == "S"]
    assert [row.area_in2, row.single_in2] == pytest.approx([112.2, 112.5])
    assert [row.psi_ed, row.psi_h] == pytest.approx([0.98, 1.118], abs=0.0005)
    assert row.strength_lb(0.184) == pytest.approx(4700, abs=5)
    assert 0.976 * row.parallel_lb == pytest.approx(9592, abs=10)


def test_a_corner_weakens_blowout() -> None:
    """17.6.4.1.1 (read in secondary copies): (1 + ca2/ca1)/4, ca2/ca1 not under 1: from 0.5 to 1."""
    assert [corner_factor(4, ca2) for ca2 in (2, 4, 8, 12, 40)] == [0.5, 0.5, 0.75, 1.0, 1.0]


def test_one_square_alone_and_two_apart() -> None:
    """Closed form: 9 hef^2 each while 3 hef apart, (3 hef + s) 3 hef when closer."""
    assert union_of_squares_in2(FAR, [(0, 0)], 15) == pytest.approx(900)
    assert union_of_squares_in2(FAR, [(0, 0), (31, 0)], 15) == pytest.approx(1800)
    assert union_of_squares_in2(FAR, [(0, 0), (12, 0)], 15) == pytest.approx(42 * 30)
    assert union_of_squares_in2(FAR, [(0, 0), (12, 10)], 15) == pytest.approx(2 * 900 - 18 * 20)


@given(
    seed=st.integers(0, 10_000), n=st.integers(1, 8), half=st.floats(4, 40),
    outline=st.sampled_from(["rectangle", "octagon", "circle"]),
)  # fmt: skip
@settings(deadline=None)
def test_areas_by_counting_points(seed, n, half, outline) -> None:
    """Against a grid of points, each inside some square and inside every edge, or not."""
    at = random.Random(seed)
    block = concrete_outline(outline, 100, 80)
    spots = [(at.uniform(-35, 35), at.uniform(-30, 30)) for _ in range(n)]
    sides, step, count = edges(block), 1.0, 0
    for i in range(-52, 52):
        for j in range(-52, 52):
            p = ((i + 0.5) * step, (j + 0.5) * step)
            near = any(abs(p[0] - x) < half and abs(p[1] - y) < half for x, y in spots)
            count += near and all(edge.distance(p) > 0 for edge in sides)
    # a grid errs by about its step along the bounds
    bounds = sum(math.dist(a, b) for a, b in zip(block, (*block[1:], block[0]), strict=True)) + 8 * half * n
    assert union_of_squares_in2(block, spots, half) == pytest.approx(count * step**2, abs=bounds * step * 0.6)


def test_overlaps_count_once() -> None:
    """Two in one place count as one; a strip 20 in wide holds no more than its width."""
    assert union_of_squares_in2(FAR, [(0, 0), (12, 0), (0, 0), (6, 0)], 15) == pytest.approx(42 * 30)
    strip = concrete_outline("rectangle", 200, 20)
    assert union_of_squares_in2(strip, [(0, 5), (12, -5), (80, 0)], 15) == pytest.approx((42 + 30) * 20)


def test_groups_hang_together_by_their_spacing() -> None:
    assert clusters([(0, 0), (10, 0), (30, 0), (38, 0)], 12) == [(0, 1), (2, 3)]


@given(extra=st.floats(0, 200))
@settings(deadline=None)
def test_more_concrete_never_weakens_a_group(extra) -> None:
    spots = [(-4.0, -4.0), (4.0, 4.0)]
    small = tension_group(
        Embedded(
            polygon=concrete_outline("rectangle", 40, 40), deep_in=30, fc_psi=4000, hef_in=10, diameter_in=1
        ),
        spots,
    )
    large = tension_group(
        Embedded(
            polygon=concrete_outline("rectangle", 40 + extra, 40 + extra),
            deep_in=30,
            fc_psi=4000,
            hef_in=10,
            diameter_in=1,
        ),
        spots,
    )
    assert large.strength_lb([1, 1]) >= small.strength_lb([1, 1]) - 1e-6
    assert small.area_in2 <= 2 * small.single_in2


@pytest.mark.parametrize(
    ("grade", "elongation_pct", "area_pct"), [("36", 23, 40), ("55", 21, 30), ("105", 15, 45)]
)
def test_grades_of_anchor_bolts_are_ductile(grade, elongation_pct, area_pct):
    """Elongation and reduction of area to 2 in, tkbolt.net, ASTM F1554, against 14 and 30 % (ACI 318-19, 2.3,
    from memory)."""
    assert steels()[grade].ductile is (elongation_pct >= 14 and area_pct >= 30)
    assert max(bolt.diameter_in for bolt in anchor_bolts().values()) <= 2
