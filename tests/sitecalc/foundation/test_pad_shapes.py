"""Octagon, round and pedestal pads, winds between the points of the compass."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sitecalc.foundation.bearing import pressures
from sitecalc.foundation.pad import PadCase, combinations, leeward, weights
from sitecalc.foundation.ring import COARSE, ring
from sitecalc.foundation.stability import check_pad
from sitecalc.foundation.words import COMPASS
from sitecalc.inputs import InputError

PAD = PadCase(
    side_ft=16.0,
    thickness_ft=4.0,
    dead_kip=9.0,
    moment_kip_ft=300.0,
    shear_kip=5.0,
    kind="ASCE strength level",
    soil="SC",
    frost_ft=3.0,
    water_ft=20.0,
)
OCTAGON, ROUND = replace(PAD, outline="octagon"), replace(PAD, outline="circle")


def check(case: PadCase, key: str):
    return next(c for c in check_pad(case).checks if c.key == key)


ROARK = [
    (0.25, 2.00), (0.30, 2.21), (0.35, 2.46), (0.40, 2.75), (0.45, 3.11), (0.50, 3.56),
    (0.55, 4.14), (0.60, 4.90), (0.65, 5.94), (0.70, 7.43), (0.75, 9.69), (0.80, 13.4),
]  # fmt: skip


@pytest.mark.parametrize(("e", "k"), ROARK)
def test_round_pad_against_the_handbook(e: float, k: float) -> None:
    """Roark's Formulas for Stress and Strain, 7th ed., ch. 12, short prism without tension (from memory):
    greatest over mean pressure by e/R, printed to three figures."""
    one = np.array([1.0])
    for sides, close in ((480, 0.0045), (COARSE, 0.0075)):
        found = pressures(ring("circle", 2.0, 2.0, sides), one, e * one, 0 * one)
        assert found.q_max_psf[0] / 1000 * math.pi == pytest.approx(k, rel=close)


LIBRARY = [
    ("rectangle", 2.5028875801674437, 10.124398309622299, 13.744622183344136),
    ("rectangle", 4.170181359623322, 7.173822568601855, 7.790781047025574),
    ("rectangle", 6.585786437626913, 10.585786437626913, 72.0),
    ("rectangle", 2.356960738957645, 2.03718003380642, 2.422535035591912),
    ("octagon", 0.0, 4.460087803913151, 3.938267506619304),
    ("octagon", 1.6364437466437556, 5.241123146575258, 6.759402890555926),
    ("octagon", 2.7274865841034144, 2.162500729942012, 2.9308931327220415),
    ("octagon", 4.578789272205858, 4.578789272205858, 11.409267350437725),
    ("octagon", 1.3898947656457148, 0.5403626884548621, 1.7632114815931256),
]


@pytest.mark.parametrize(("outline", "x", "y", "k"), LIBRARY)
def test_skew_loads_against_a_general_section_library(outline, x: float, y: float, k: float) -> None:
    """concreteproperties 0.7.0 (Python package), linear no-tension section, printed by its service analysis:
    16 by 24 ft rectangle and octagon 16 ft across flats; load point and greatest over mean pressure."""
    corners = ring(outline, 16.0, 24.0)
    area = 384.0 if outline == "rectangle" else 2 * (math.sqrt(2) - 1) * 256
    for east, north in ((x, y), (-x, y), (x, -y)):
        found = pressures(corners, np.array([1.0]), np.array([east]), np.array([north]))
        assert found.q_max_psf[0] / 1000 * area == pytest.approx(k, rel=1e-6)


def test_kern_of_a_round_pad() -> None:
    """d/8: there the far edge is at zero and the near one at twice the mean (textbook)."""
    one = np.array([1.0])
    found = pressures(ring("circle", 8.0, 8.0), one, one, 0 * one)
    assert found.q_max_psf[0] == pytest.approx(2000 / (16 * math.pi), rel=1e-4)
    assert found.fraction[0] == pytest.approx(1.0, rel=1e-6)


def test_kern_of_an_octagon() -> None:
    """Section modulus of a regular octagon of side s about a flat-to-flat axis: I = (11 + 8 sqrt 2) s^4 / 12
    (textbook), c half the width across flats; all of it bears until e = I / (A c)."""
    flats = 10.0
    s = flats * (math.sqrt(2) - 1)
    inertia = (11 + 8 * math.sqrt(2)) * s**4 / 12
    area = 2 * (1 + math.sqrt(2)) * s**2
    e = inertia / area / (flats / 2)
    one = np.array([1.0])
    found = pressures(ring("octagon", flats, flats), one, e * one, 0 * one)
    assert found.q_max_psf[0] == pytest.approx(2000 / area)
    past = pressures(ring("octagon", flats, flats), one, 1.001 * e * one, 0 * one)
    assert past.fraction[0] < 1


@pytest.mark.parametrize(("case", "area"), [(OCTAGON, 0.828427 * 256), (ROUND, math.pi * 64)])
def test_overturning_is_about_the_nearest_edge(case: PadCase, area: float) -> None:
    """A flat of an octagon is half its width from the middle, the rim of a round pad its radius."""
    assert check(case, "overturning").capacity == pytest.approx(0.6 * (area * 4 * 0.15 + 9) * 8, rel=1e-6)


def test_a_round_pad_presses_alike_every_way_and_an_octagon_hardest_at_its_corners() -> None:
    rose = [p.pressure_psf for p in check_pad(ROUND).rose]
    assert max(rose) == pytest.approx(min(rose), rel=1e-12)
    by_wind = {p.wind_from: p.pressure_psf for p in check_pad(OCTAGON).rose}
    corners = [by_wind[w] for w in COMPASS[1::2]]
    assert max(corners) == pytest.approx(min(corners), rel=1e-9)
    assert min(corners) > by_wind["N"]
    assert check_pad(OCTAGON).governing.wind_from in COMPASS[1::2]


def test_of_pads_of_one_width_the_square_one_holds_most() -> None:
    """It has the most area and so the most weight; the round one the least."""
    square, octagon, circle = (check(c, "overturning").ratio for c in (PAD, OCTAGON, ROUND))
    assert square < octagon < circle


def test_a_rectangle_is_tried_toward_its_corners() -> None:
    """In full contact the corner is pressed hardest by a wind square to the other diagonal."""
    case = replace(PAD, other_side_ft=24.0, moment_kip_ft=60.0)
    result = check_pad(case)
    east, north = leeward(result.governing.wind_from)
    assert result.governing.wind_from.endswith("°")
    assert abs(east / north) == pytest.approx(24 / 16, rel=1e-3)
    pair = combinations(case)
    m = max(c.moment_kip_ft / c.vertical_kip for c in pair if c.name == result.governing.combination)
    p = next(c.vertical_kip for c in pair if c.name == result.governing.combination)
    exact = p * 1000 / 384 * (1 + 6 * m * math.hypot(1 / 16, 1 / 24))
    assert result.governing.pressure_psf == pytest.approx(exact, rel=1e-6)
    assert len(result.rose) == 16


def test_a_pedestal_weighs_takes_the_place_of_backfill_and_lengthens_the_arm() -> None:
    buried = replace(PAD, top_above_grade_ft=-3.0, backfill_placed=True)
    stood = replace(buried, pedestal="square", pedestal_side_ft=5.0, pedestal_height_ft=3.5)
    found = weights(stood)
    assert found.pedestal == pytest.approx(25 * 3.5 * 0.15)
    assert found.backfill == pytest.approx((256 - 25) * 3 * 0.1)
    greatest, least = combinations(stood)
    assert greatest.moment_kip_ft == pytest.approx(0.6 * (300 + 5 * 7.5))
    held = 256 * 4 * 0.15 + 9 + found.pedestal + found.backfill
    assert least.vertical_kip == pytest.approx(0.6 * held)
    round_one = replace(stood, pedestal="round")
    assert weights(round_one).pedestal == pytest.approx(math.pi / 4 * 25 * 3.5 * 0.15)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"outline": "octagon", "other_side_ft": 20.0}, "other_side_ft"),
        ({"pedestal": "round"}, "pedestal_side_ft"),
        ({"pedestal": "square", "pedestal_side_ft": 17.0, "pedestal_height_ft": 2.0}, "pedestal_side_ft"),
        ({"pedestal_height_ft": 2.0}, "pedestal_height_ft"),
    ],
)
def test_what_has_no_meaning_is_refused(change, field: str) -> None:
    with pytest.raises(InputError) as caught:
        check_pad(replace(PAD, **change))
    assert caught.value.field == field


def test_a_makers_strength_level_wind_is_not_taken_for_a_service_one() -> None:
    """Divided by 1.35, the smallest factor in use: the greatest service wind it can stand for."""
    greatest, _ = combinations(replace(PAD, kind="maker's strength level"))
    assert greatest.shear_kip == pytest.approx(5 / 1.35)
    stated, _ = combinations(replace(PAD, kind="maker's strength level", wind_strength_factor=1.6))
    assert stated.shear_kip == pytest.approx(5 / 1.6)
