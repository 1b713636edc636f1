"""Outriggers and mats: published rules and formulas, and statics."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.lift.ground import (
    MatCase,
    OutriggerCase,
    greatest_outrigger_load,
    ground_under_mats,
    mat_beam,
    outrigger_reactions,
)

OUTRIGGERS = OutriggerCase(crane_lb=86_000, gross_lb=20_000)
MAT = MatCase(
    outriggers=OUTRIGGERS,
    mat_length_ft=6,
    mat_width_ft=6,
    mat_thick_in=8,
    mat_lb=900,
    float_ft=2,
    soil_psf=2_500,
    on_backfill=False,
    excavation_off_ft=10,
    excavation_deep_ft=5,
    mat_bending_psi=1_200,
    mat_shear_psi=200,
)


def by_key(case: MatCase) -> dict[str, object]:
    return {c.key: c for c in ground_under_mats(case).checks}


def test_quick_rule() -> None:
    """Queensland code of practice as printed by the Crane Industry Council of Australia
    (cranesandlifting.com.au): 0.65 of crane and load on one outrigger.
    """
    assert greatest_outrigger_load(OUTRIGGERS).load_lb == pytest.approx(0.65 * 106_000)


def test_pad_pressure() -> None:
    """Utility trade note on outrigger pads: 62,800 lb on 36 by 36 in is 48.5 psi (arithmetic only)."""
    assert mat_beam(62_800, 3, 3, 6, 2, 0).bearing_psf / 144 == pytest.approx(48.5, abs=0.05)


def test_makers_outrigger_load_wins() -> None:
    assert greatest_outrigger_load(replace(OUTRIGGERS, outrigger_lb=40_000)).load_lb == 40_000


@given(slew=st.floats(0, 360), moment=st.floats(0, 900_000))
def test_reactions_are_in_equilibrium(slew: float, moment: float) -> None:
    """Sum of forces and of moments about both axes, at the pads' own places."""
    total, across, along = 106_000.0, 22.0, 21.0
    loads = np.array(outrigger_reactions(total, moment, slew, across, along))
    forward = np.array([along, along, -along, -along]) / 2
    left = np.array([across, -across, -across, across]) / 2
    assert loads.sum() == pytest.approx(total)
    turn = math.radians(slew)
    assert loads @ forward == pytest.approx(moment * math.cos(turn), abs=1e-3)
    assert loads @ left == pytest.approx(moment * math.sin(turn), abs=1e-3)


def test_the_worst_slew_is_over_a_corner() -> None:
    """Largest M (cos / 2 dl + sin / 2 dt) = M / 2 sqrt(1 / dl^2 + 1 / dt^2), by calculus."""
    swept = greatest_outrigger_load(replace(OUTRIGGERS, moment_ft_lb=420_000, across_ft=22, along_ft=21))
    exact = 106_000 / 4 + 420_000 / 2 * math.hypot(1 / 21, 1 / 22)
    assert swept.load_lb == pytest.approx(exact, rel=1e-4)
    assert not swept.lifts


def test_an_outrigger_that_lifts_is_not_passed() -> None:
    lifting = replace(OUTRIGGERS, moment_ft_lb=2_000_000, across_ft=22, along_ft=21)
    checks = ground_under_mats(replace(MAT, outriggers=lifting)).checks
    assert checks[0].verdict is Verdict.NOT_CHECKED


def test_mat_as_a_beam() -> None:
    """D. Duerr, Effective bearing length of crane mats (2010), eq. 1-8: the textbook cantilever, by
    integrating the upward pressure over the overhang.
    """
    mat = mat_beam(60_000, 5, 4, 12, 2, 0)
    x = np.linspace(0, 1.5, 20_001)
    pressure = 60_000 / 20 * 4 * np.ones_like(x)
    assert mat.overhang_ft == 1.5
    assert mat.moment_ft_lb == pytest.approx(np.trapezoid(pressure * x, x))
    assert mat.bending_psi == pytest.approx(12 * mat.moment_ft_lb / (48 * 12**2 / 6))
    beyond = x[x >= 1.0]
    assert mat.shear_lb == pytest.approx(np.trapezoid(pressure[: len(beyond)], beyond), rel=1e-3)


def test_area_for_a_given_bearing() -> None:
    """Duerr, eq. 1: A = (P + W) / qa; with that area the bearing is qa."""
    area = (60_000 + 2_000) / 3_000
    assert mat_beam(60_000, area / 4, 4, 12, 2, 2_000).bearing_psf == pytest.approx(3_000)


def test_what_is_unknown_does_not_pass() -> None:
    unknown = replace(MAT, soil_psf=None, mat_bending_psi=None, mat_shear_psi=None, excavation_off_ft=None)
    assert {c.verdict for c in ground_under_mats(unknown).checks} == {Verdict.NOT_CHECKED}


def test_bearing_passes_and_fails() -> None:
    assert ground_under_mats(MAT).checks[0].passes
    assert ground_under_mats(replace(MAT, soil_psf=1_500)).checks[0].verdict is Verdict.FAILS


def test_mats_stay_outside_the_slope_of_an_excavation() -> None:
    """Common practice, no source: outside 1:1 from the toe; fresh backfill bears nothing."""
    assert by_key(MAT)["mat-excavation"].passes  # type: ignore[attr-defined]
    for changed in ({"excavation_off_ft": 4.0}, {"on_backfill": True}):
        check = by_key(replace(MAT, **changed))["mat-excavation"]  # type: ignore[arg-type]
        assert check.verdict is Verdict.FAILS  # type: ignore[attr-defined]


def test_nan_is_refused_at_its_field() -> None:
    with pytest.raises(InputError) as error:
        ground_under_mats(replace(MAT, outriggers=replace(OUTRIGGERS, crane_lb=float("nan"))))
    assert error.value.field == "crane_lb"
