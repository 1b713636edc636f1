"""Pressure under a rigid pad that soil cannot pull down."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.foundation.bearing import contact


def pressure(u: float, v: float, width: float = 1.0, length: float = 1.0) -> float:
    """q_max B L / P with the load at (u B, v L)."""
    found = contact(width, length, 1.0, u * width, v * length)
    assert found is not None
    return found.q_max_psf * width * length / 1000


@pytest.mark.parametrize(
    ("e", "on_diagonal"),
    [(0.10, 1.8485), (0.20, 2.8171), (0.25, 3.5314), (0.30, 4.5087), (0.35, 5.8812), (0.40, 7.9521)],
)
def test_diagonal_against_a_general_section_library(e: float, on_diagonal: float) -> None:
    """concreteproperties 0.7.0 (Python package): service analysis of a linear no-tension section."""
    assert pressure(e / math.sqrt(2), e / math.sqrt(2)) == pytest.approx(on_diagonal, abs=6e-5)


@pytest.mark.parametrize(
    ("e", "square_to_a_side"),
    [(0.10, 1 + 0.6), (1 / 6, 2.0), (0.20, 2 / 0.9), (0.25, 2 / 0.75), (0.30, 2 / 0.6), (0.40, 2 / 0.3)],
)
def test_one_way_closed_forms(e: float, square_to_a_side: float) -> None:
    """P/A (1 + 6e/B) in the kern, 2P / (3 L (B/2 - e)) outside it (textbook statics)."""
    assert pressure(e, 0) == pytest.approx(square_to_a_side, rel=1e-9)
    assert pressure(0, -e) == pytest.approx(square_to_a_side, rel=1e-9)


@pytest.mark.parametrize("k", [0.25, 0.30, 0.33, 0.40, 0.45, 0.49])
def test_small_triangle_closed_form(k: float) -> None:
    """Contact is a triangle with legs 4u and 4v: q = 3 P / (8 u v), by the pyramid's volume."""
    from_corner = 0.5 - k
    assert pressure(k, k) == pytest.approx(3 / (8 * from_corner**2), rel=1e-6)


def test_quarter_point_lifts_half_the_pad() -> None:
    found = contact(10, 10, 100, 2.5, 2.5)
    assert found is not None
    assert found.fraction == pytest.approx(0.5, rel=1e-9)


def test_published_one_way_footing() -> None:
    """Sample calculation F5.0 (scribd.com document 348292927): 5 ft square, 20.87 kip, 7.33 kip-ft give
    1.19 and 0.48 ksf."""
    found = contact(5, 5, 20.87, 7.33 / 20.87, 0)
    assert found is not None
    a, b, _c = found.plane
    assert found.q_max_psf == pytest.approx(1190, abs=5)
    assert a - 2.5 * b == pytest.approx(480, abs=5)


def test_kern_on_the_diagonal() -> None:
    """Full contact until 6 ex/B + 6 ey/L = 1, pressure there twice the mean."""
    at = 1 / 12
    assert pressure(at, at) == pytest.approx(2.0)
    found = contact(1, 1, 1, at + 1e-6, at + 1e-6)
    assert found is not None and found.fraction < 1


@pytest.mark.parametrize(("x", "y"), [(5, 0), (0, -5), (5, 5), (7, 0)])
def test_a_load_off_the_pad_has_no_pressure(x: float, y: float) -> None:
    assert contact(10, 10, 100, x, y) is None


def test_no_load_has_no_pressure() -> None:
    assert contact(10, 10, 0, 0, 0) is None
    assert contact(10, 10, -5, 1, 0) is None


inside = st.floats(-0.49999, 0.49999)


@settings(deadline=None)
@given(u=inside, v=inside, width=st.floats(4, 60), length=st.floats(4, 60), load=st.floats(1, 5000))
def test_pressure_balances_the_load(u: float, v: float, width: float, length: float, load: float) -> None:
    """Equilibrium: the pressure sums to P, its moments to P ex and P ey (integrated over triangles)."""
    found = contact(width, length, load, u * width, v * length)
    assert found is not None
    force, about_y, about_x = integrated(found.plane, found.corners)
    assert force == pytest.approx(load * 1000, rel=1e-7)
    assert about_y == pytest.approx(load * 1000 * u * width, rel=1e-7, abs=1e-7 * load * 1000 * width)
    assert about_x == pytest.approx(load * 1000 * v * length, rel=1e-7, abs=1e-7 * load * 1000 * length)


@settings(deadline=None)
@given(u=inside, v=inside, load=st.floats(1, 5000))
def test_nothing_pulls_and_the_corner_presses_hardest(u: float, v: float, load: float) -> None:
    found = contact(12, 9, load, u * 12, v * 9)
    assert found is not None
    a, b, c = found.plane
    at_corners = [a + b * x + c * y for x, y in found.corners]
    assert min(at_corners) >= -1e-9 * found.q_max_psf
    assert max(at_corners) == pytest.approx(found.q_max_psf)
    assert 0 < found.fraction <= 1 + 1e-12


@settings(deadline=None)
@given(u=st.floats(0, 0.49999), v=st.floats(0, 0.49999))
def test_soil_that_cannot_pull_never_presses_less(u: float, v: float) -> None:
    assert pressure(u, v) >= (1 + 6 * u + 6 * v) * (1 - 1e-9)


def integrated(plane, corners):
    """Exact integrals of q, q x, q y: a fan of triangles, quadratic integrands by the three mid-sides."""
    a, b, c = plane
    force = about_y = about_x = 0.0
    x0, y0 = corners[0]
    for (x1, y1), (x2, y2) in pairwise(corners[1:]):
        area = ((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)) / 2
        for x, y in (
            ((x0 + x1) / 2, (y0 + y1) / 2),
            ((x1 + x2) / 2, (y1 + y2) / 2),
            ((x2 + x0) / 2, (y2 + y0) / 2),
        ):
            q = (a + b * x + c * y) * area / 3
            force, about_y, about_x = force + q, about_y + q * x, about_x + q * y
    return force, about_y, about_x
