"""Two-way shear round pedestals, tubes and legs, and the moment they hand to the pad."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sitecalc.checks import Verdict
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_forces import factored
from sitecalc.foundation.pad_shear import little_shear_psi
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.punching import perimeters, punching, sections
from sitecalc.foundation.rebar import MatCase
from sitecalc.foundation.strength_case import StrengthCase

PAD = PadCase(
    side_ft=16.0,
    thickness_ft=3.5,
    dead_kip=12.0,
    moment_kip_ft=420.0,
    shear_kip=8.0,
    kind="ASCE strength level",
    water_ft=20.0,
)
MATS = MatCase(side_ft=16.0, thickness_ft=3.5, count=20, cover_lower_in=3.0, cover_upper_in=2.0)
FOUR = StrengthCase(pad=PAD, mats=MATS, legs=4, leg_spacing_ft=8.0, plate_side_in=14.0)
TUBE = StrengthCase(pad=PAD, mats=MATS, legs=0, leg_spacing_ft=3.0, plate_side_in=42.0)


def check(case: StrengthCase, key: str):
    return next(c for c in check_strength(case).checks if c.key == key)


def test_critical_section_of_an_inner_column() -> None:
    """Jc = d b1^3/6 + b1 d^3/6 + d b2 b1^2/2 and gamma_v = 0.4 of a square one, ACI 318-19 R8.4.4.2.3
    (read in secondary copies)."""
    case = TUBE
    found = factored(case, case.stand)
    (section,) = perimeters(case, case.stand, found.corners)
    d = section.depth_in
    b = 12 * 3.0 * math.sqrt(math.pi) / 2 + d
    lines = sections((section,))
    assert lines.length_in == pytest.approx([4 * b])
    assert lines.polar_in4[0] == pytest.approx([d * b**3 / 6 + b * d**3 / 6 + d * b**3 / 2] * 2)
    assert lines.gamma_v[0] == pytest.approx([0.4, 0.4])


def test_the_share_of_a_moment_that_bends_is_held_near_the_pedestal() -> None:
    """ACI 318-19, 8.4.2.2 (read in secondary copies): gamma_f 0.6 of a square one, on side + 3 h. With the
    load that balances it, the moment about the section is nearly all of M + H h."""
    case = TUBE
    held = check(case, "moment transfer")
    whole = 420 + 8 * 3.5
    assert 0.85 * 0.6 * whole < held.demand < 0.6 * whole
    strip = 3.0 * math.sqrt(math.pi) / 2 + 3 * 3.5
    share = strip / 16
    both = check(case, "bending-lower").capacity + check(case, "bending-upper").capacity
    assert held.capacity == pytest.approx(share * both, rel=0.01)
    assert "moment transfer" not in {c.key for c in check_strength(FOUR).checks}


def test_a_leg_near_a_corner_is_also_tried_with_open_sections() -> None:
    """A closed section must lie on the pad; an open one has faces from half the depth inside to the edge."""
    for spacing, alphas in ((13.0, [20.0]), (9.0, [20.0, 30.0, 30.0, 40.0])):
        case = replace(FOUR, leg_spacing_ft=spacing)
        found = factored(case, case.stand)
        tried = [p for p in perimeters(case, case.stand, found.corners) if p.legs == (2,)]
        tried = [p for p in tried if p.mat == "lower"]
        assert sorted(p.alpha_s for p in tried) == alphas
        corner = next(p for p in tried if p.alpha_s == 20.0)
        half = case.stand.side_ft / 2 + corner.depth_in / 24
        assert sections((corner,)).length_in == pytest.approx([2 * 12 * (8.0 - spacing / 2 + half)])


def test_punching_balances_the_soil_within_the_section() -> None:
    """Against summing the pressure over a fine grid."""
    case = TUBE
    found = factored(case, case.stand)
    (section,) = perimeters(case, case.stand, found.corners)
    worked = punching(case, found, (section,))
    row = found.names.index("wind from the NNW, 0.9D + 1.0W")
    half, n = float(sections((section,)).length_in[0]) / 8 / 12, 400
    at = ((np.arange(n) + 0.5) / n * 2 - 1) * half
    x, y = np.meshgrid(at, at)
    a, b, c = found.planes[row]
    q = np.maximum(0.0, a + b * x + c * y) + found.net[row]
    cell = (2 * half / n) ** 2
    assert worked.force_kip[row, 0] == pytest.approx(found.down[row, 0] - q.sum() * cell, rel=1e-3)
    assert worked.moment_x_kip_ft[row, 0] == pytest.approx(
        found.turning[row, 0] - (q * x).sum() * cell, rel=1e-3
    )


def test_little_direct_shear_asks_no_steel_near_a_leg_and_much_of_it_is_for_the_engineer() -> None:
    """ACI 318-19, 8.6.1.2: phi 2 lambda_s lambda sqrt f'c (from memory). 0.75 x 2 x sqrt(2 / (1 + 5)) x 63.25
    is 54.8 psi at 50 in and 4,000 psi, by hand; 13.3.3.1 sends footings there (read in a secondary copy)."""
    assert little_shear_psi(50.0, 4000.0, 1.0) == pytest.approx(54.77, abs=0.01)
    thick = check(FOUR, "steel near legs")
    heavy = replace(PAD, thickness_ft=1.5, dead_kip=600.0, moment_kip_ft=900.0)
    thin = check(replace(FOUR, pad=heavy, mats=replace(MATS, thickness_ft=1.5)), "steel near legs")
    assert thick.verdict is Verdict.DOES_NOT_APPLY
    assert thin.verdict is Verdict.NOT_CHECKED and "in2 each way within" in thin.note
