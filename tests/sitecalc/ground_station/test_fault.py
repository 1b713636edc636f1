import math
from dataclasses import replace

import pytest

from sitecalc.checks import Known, Verdict
from sitecalc.ground_station.fault import (
    INTERRUPTING,
    WITHSTAND,
    FaultCase,
    current_through,
    fault,
    interrupting_check,
)

THREE = FaultCase(system="3-phase", kva=300, volts=208, impedance_pct=2.0, inverter_a=0.0)
ONE = FaultCase(system="1-phase", kva=25, volts=240, impedance_pct=1.6, inverter_a=0.0)


def main():
    return INTERRUPTING.of("2023", "main", "Panel main")


def test_published_300_kva_transformer():
    """300 kVA, 208 V, 2 %, tolerance 10 %: 833 A full load, 46,273 A. Published point-to-point example."""
    found = fault(THREE)
    assert found.full_load_a == pytest.approx(833, abs=0.5)
    assert found.available_a == pytest.approx(46_273, rel=0.0005)


def test_published_conductors_behind_it():
    """20 ft of 2 x 500 kcmil in steel with C = 22,185: f 0.174, M 0.852, 39,417 A.

    The point-to-point method adds impedances as plain numbers: all at one angle. C is 1/Z in ft/ohm.
    """
    phase = 208 / math.sqrt(3)
    terminals = fault(THREE).at_transformer_a
    found = current_through(phase, phase / terminals, 20 / (22_185 * 2)).value
    assert found == pytest.approx(39_417, rel=0.001)
    assert found / terminals == pytest.approx(0.852, abs=0.0006)


def test_published_single_phase_sheet():
    """300 kVA, 240 V, 3 %: 1,250 A, 46,296 A; 150 ft with C 13,923: f 4.156, M 0.194, 8,978 A."""
    terminals = fault(
        FaultCase(system="1-phase", kva=300, volts=240, impedance_pct=3.0, inverter_a=0.0)
    ).at_transformer_a
    assert terminals == pytest.approx(46_296, rel=0.0002)
    behind = current_through(240, 240 / terminals, 2 * 150 / 13_923).value
    assert behind == pytest.approx(8_978, rel=0.001)


def test_a_center_tap_gives_half_as_much_again_to_neutral_at_its_terminals():
    """Published rule: 1.5 times line to line. 25 kVA, 1.6 %: 7,234 A, so 10,851 A; 10 kA is not enough."""
    found = fault(ONE)
    assert found.at_transformer_a == pytest.approx(7_234, abs=1)
    assert found.available_a == pytest.approx(10_851, abs=2)
    assert interrupting_check(ONE, 10_000, main()).verdict is Verdict.FAILS
    assert interrupting_check(ONE, 22_000, main()).passes


def test_conductors_lower_it_and_an_unknown_angle_counts_at_its_worst():
    behind = replace(ONE, length_ft=100, size="2/0", metal="copper")
    worst = fault(behind).available_a
    assert worst < fault(ONE).available_a
    for ratio in (0.5, 1.5, 5.0):
        assert fault(replace(behind, x_over_r=ratio)).available_a <= worst * (1 + 1e-9)


def test_known_angle_against_the_circuit_by_hand():
    """3-phase, X/R 1: Z_t = 0.04 at 45 degrees; 4 AWG copper in PVC, cold, 0.2599 + j 0.048 per kft."""
    case = FaultCase(
        system="3-phase",
        kva=100,
        volts=400,
        impedance_pct=2.5,
        tolerance_pct=0.0,
        x_over_r=1.0,
        length_ft=100,
        size="4",
        metal="copper",
        inverter_a=0.0,
    )
    z_transformer = 400**2 / 100_000 * 0.025 * complex(1, 1) / math.sqrt(2)
    z_wire = complex(0.31 * (1 - 0.00323 * 50), 0.048) / 10
    assert fault(case).available_a == pytest.approx(
        400 / math.sqrt(3) / abs(z_transformer + z_wire), rel=1e-9
    )


def test_the_inverter_adds_to_it():
    assert fault(replace(THREE, inverter_a=100)).available_a == pytest.approx(fault(THREE).available_a + 100)


def test_without_the_transformer_or_the_rating_nothing_is_checked():
    assert interrupting_check(None, 22_000, main()).verdict is Verdict.NOT_CHECKED
    assert interrupting_check(ONE, None, main()).verdict is Verdict.NOT_CHECKED


def test_what_interrupts_and_what_has_to_stand_it_are_two_sections():
    """NEC 110.9 of what interrupts (2017, Electrical License Renewal, Section 110.9), 110.10 of what has to
    stand the current (2023, Callout, Section 110.9). Read in one edition is unread in another."""
    breaker, panel = INTERRUPTING.of("2017"), WITHSTAND.of("2023")
    assert (breaker.source, breaker.known) == ("NEC 2017 110.9; complex impedances", Known.READ)
    assert (panel.source, panel.known) == ("NEC 2023 110.10; complex impedances", Known.READ)
    assert INTERRUPTING.of("2023").known is WITHSTAND.of("2017").known is Known.MEMORY
