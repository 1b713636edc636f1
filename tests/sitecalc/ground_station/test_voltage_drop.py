import math
from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.ground_station.run import Run
from sitecalc.ground_station.tables import ac_resistance_ohm_kft, reactance_ohm_kft
from sitecalc.ground_station.voltage_drop import (
    drop_volts,
    effective_z,
    inverter_voltage_check,
    total_voltage_check,
    voltage_drop,
    voltage_drop_check,
)

RUN = Run(
    name="W1",
    system="1-phase",
    volts=120,
    current_a=20,
    length_ft=100,
    size="12",
    metal="copper",
    insulation="THWN-2",
    conduit="PVC 40",
    trade_size="1/2",
    source=False,
)


def test_published_single_phase_example():
    """12 AWG copper in PVC, 20 A, 100 ft, 120 V, pf 1: 8.00 V, 6.67 %, 112.0 V at the load.

    Published test vectors for the NEC charts.
    """
    found = voltage_drop(RUN)
    assert found.volts == pytest.approx(8.00, abs=0.005)
    assert found.percent == pytest.approx(6.67, abs=0.005)
    assert found.end_volts == pytest.approx(112.0, abs=0.01)


def test_published_effective_impedance_of_250_kcmil_in_steel():
    """0.054 x 0.85 + 0.052 x 0.527 = 0.073 ohm/kft, published worked number; also printed in Table 9."""
    r, x = ac_resistance_ohm_kft("250", "copper", "RMC"), reactance_ohm_kft("250", "RMC")
    assert effective_z(r, x, 0.85) == pytest.approx(0.073, abs=0.0005)


@pytest.mark.parametrize(("printed_z", "answer"), [(1.1, 7.62), (1.7, 11.8)])
def test_published_three_phase_example_with_printed_impedance(printed_z, answer):
    """10 AWG (Ze 1.1) and 12 AWG (Ze 1.7), 200 ft, 20 A, 3-phase: 7.62 V and 11.8 V.

    Published set of four voltage drop examples; its text rounds the first to 7.7 V.
    """
    assert drop_volts("3-phase", printed_z, 20, 200) == pytest.approx(answer, abs=0.03)


def test_published_400_kcmil_example():
    """400 kcmil in steel, 180 A, 350 ft, 480 V 3-phase, R 0.035, pf 1: 3.82 V, 0.795 %."""
    run = replace(
        RUN,
        system="3-phase",
        volts=480,
        current_a=180,
        length_ft=350,
        size="400",
        conduit="RMC",
        trade_size="3",
    )
    assert voltage_drop(run).volts == pytest.approx(3.82, abs=0.005)
    assert voltage_drop(run).percent == pytest.approx(0.795, abs=0.001)


def test_published_comparison_of_steel_and_pvc():
    """4/0 copper, pf 0.85: the drop in steel is 8 % larger. Published test vectors for the NEC charts."""
    run = replace(
        RUN, system="3-phase", volts=480, current_a=150, length_ft=300, size="4/0", power_factor=0.85
    )
    steel = voltage_drop(replace(run, conduit="RMC", trade_size="3")).volts
    plastic = voltage_drop(replace(run, trade_size="3")).volts
    assert steel / plastic == pytest.approx(1.08, abs=0.01)


@pytest.mark.parametrize(("system", "factor"), [("1-phase", 2.0), ("DC", 2.0), ("3-phase", math.sqrt(3))])
def test_against_the_k_method_of_the_trade(system, factor):
    """VD = 2 K I L / cmil or 1.732 K I L / cmil with K = 12.9, common practice; 4 AWG, pf 1."""
    run = replace(RUN, system=system, volts=240, current_a=40, length_ft=200, size="4", trade_size="1")
    assert voltage_drop(run).volts == pytest.approx(factor * 12.9 * 40 * 200 / 41740, rel=0.006)


@pytest.mark.parametrize("pf", [1.0, 0.85])
def test_against_the_circuit_solved_with_complex_numbers(pf):
    """Kirchhoff's voltage law around the loop: sending end = receiving end + I 2 (R + jX) L."""
    run = replace(RUN, volts=240, current_a=41.667, length_ft=200, size="4", trade_size="1", power_factor=pf)
    z = 2 * complex(0.31, 0.048) * 0.2  # NEC Table 9, 4 AWG copper in PVC
    current = 41.667 * complex(pf, -math.sqrt(1 - pf**2))
    exact = abs(240 + current * z) - 240
    assert voltage_drop(run).volts == pytest.approx(exact, rel=0.002)


@pytest.mark.parametrize(
    ("change", "volts"),
    [
        ({"volts": 240, "current_a": 41.667, "length_ft": 200, "size": "4", "trade_size": "1"}, 5.1680),
        (
            {"volts": 240, "current_a": 41.667, "length_ft": 200, "size": "4", "trade_size": "1"}
            | {"power_factor": 0.85},
            4.8218,
        ),
        (
            {"system": "3-phase", "volts": 480, "current_a": 270, "length_ft": 150, "size": "250"}
            | {"conduit": "RMC", "trade_size": "3", "power_factor": 0.85},
            5.1426,
        ),
        (
            {"system": "3-phase", "volts": 480, "current_a": 60, "length_ft": 300, "size": "4"}
            | {"trade_size": "1", "power_factor": 0.95},
            9.6515,
        ),
    ],
)
def test_against_a_power_flow_library(change, volts):
    """Constant current in the same circuit by pandapower 3.5.6, two also by OpenDSS: within 0.2 %."""
    assert voltage_drop(replace(RUN, **change)).volts == pytest.approx(volts, rel=0.002)


def test_a_constant_power_source_rises_a_little_less_than_the_formula_says():
    """V = (V0 + sqrt(V0^2 + 4 P R)) / 2 for a source of P at unity power factor behind resistance R."""
    run = replace(RUN, volts=240, current_a=10000 / 240, length_ft=200, size="4", trade_size="1", source=True)
    r = 2 * 0.31 * 0.2
    exact = (240 + math.sqrt(240**2 + 4 * 10000 * r)) / 2 - 240
    found = voltage_drop(run)
    assert exact < found.volts < exact * 1.04
    assert found.end_volts > 240  # a source rises


def test_three_phase_loss_is_three_times_the_current_squared_times_resistance():
    """Wild AC, 10 kW at 240 V pf 0.9 is 26.73 A; 400 ft of 4 AWG: 3 x 26.73^2 x 0.31 x 0.4 = 265.8 W.

    Hand arithmetic on Table 9; reactance follows the machine's frequency, resistance does not.
    """
    run = replace(
        RUN,
        system="3-phase",
        volts=240,
        current_a=10000 / (math.sqrt(3) * 240 * 0.9),
        length_ft=400,
        size="4",
        trade_size="1",
        power_factor=0.9,
    )
    slow, fast = (voltage_drop(replace(run, frequency_hz=f)) for f in (30.0, 90.0))
    assert slow.loss_w == fast.loss_w == pytest.approx(265.8, abs=0.1)
    x, sin = 0.048, math.sqrt(1 - 0.81)
    assert fast.volts - slow.volts == pytest.approx(math.sqrt(3) * 26.729 * 0.4 * x * sin, rel=1e-3)


def test_direct_current_uses_table_8_and_two_conductors():
    """30.86 A, 400 ft one way, 4 AWG: 2 x 0.308 x 30.86 x 0.4 = 7.604 V, by hand."""
    run = replace(RUN, system="DC", volts=324, current_a=30.86, length_ft=400, size="4", trade_size="1")
    assert voltage_drop(run).volts == pytest.approx(7.604, abs=0.002)


def test_parallel_sets_share_the_current():
    run = replace(RUN, volts=480, size="1/0", trade_size="2", current_a=200)
    assert voltage_drop(replace(run, sets=2)).volts == pytest.approx(voltage_drop(run).volts / 2)


def test_the_check_holds_the_limit_of_the_job():
    check = voltage_drop_check(RUN, "2023", "run-1")
    assert check.verdict is Verdict.FAILS and check.capacity == 3.0


def test_the_rise_of_all_runs_counts_together():
    run = replace(RUN, volts=240, size="4", trade_size="1", source=True)
    single = voltage_drop(run).percent
    check = total_voltage_check([run, run, run], 2.0, "2023")
    assert check.demand == pytest.approx(3 * single)


def test_an_inverter_on_a_high_service_trips_when_the_rise_is_too_large():
    """IEEE 1547-2018: first over-voltage trip at 1.10 per unit by default; 105 % service leaves 5 %."""
    assert inverter_voltage_check(240, 105, 4.9, 110).passes
    assert inverter_voltage_check(240, 105, 5.1, 110).verdict is Verdict.FAILS
