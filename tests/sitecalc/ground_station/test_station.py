import json
from dataclasses import replace

import pytest

from sitecalc.__main__ import plain, run
from sitecalc.checks import Verdict
from sitecalc.ground_station.fault import FaultCase
from sitecalc.ground_station.grounding import ElectrodeCase
from sitecalc.ground_station.panel import PanelCase
from sitecalc.ground_station.run import Run
from sitecalc.ground_station.station import Disconnect, Inverter, Station, check_station
from sitecalc.ground_station.turbine import TurbineCircuit, turbine_checks, wild_ac_current_a
from sitecalc.inputs import InputError

TOWER = Run(
    name="Tower riser",
    system="3-phase",
    volts=320,
    current_a=22.0,
    length_ft=110,
    size="6",
    metal="copper",
    insulation="THWN-2",
    conduit="RMC",
    trade_size="1",
    ground_size="6",
    short_circuit_a=30.0,
    backfeed_a=0.0,
    source=False,
    vertical_ft=100,
    support_ft=50,
)
HOUSE = Run(
    name="Inverter to panel",
    system="1-phase",
    volts=240,
    current_a=10000 / 240,
    length_ft=60,
    size="4",
    metal="copper",
    insulation="THWN-2",
    conduit="PVC 40",
    trade_size="1",
    neutral=True,
    breaker_a=60,
    interrupting_a=22_000,
    ground_size="6",
    location="open ground",
    cover_in=24,
)
STATION = Station(
    edition="2023",
    turbine=TurbineCircuit(
        kind="wild AC, 3-phase",
        operating_v=320,
        max_current_a=22,
        open_circuit_v=480,
        short_circuit_a=30,
        input_max_v=600,
        regulates_speed=True,
        brake="short-circuit switch",
        rotor_diameter_ft=23,
        tower_grounded=True,
    ),
    inverter=Inverter("1-phase", 240, 10000 / 240, True),
    panel=PanelCase(
        edition="2023",
        connection="load side",
        bus_a=200,
        main_a=175,
        inverters_a=(10000 / 240,),
        position="opposite end from main",
        dwelling=False,
    ),
    turbine_runs=(TOWER,),
    inverter_runs=(HOUSE,),
    disconnects=(
        Disconnect(
            name="Utility disconnect",
            rating_a=60,
            current_a=10000 / 240,
            lockable=True,
            utility=True,
            withstand_a=22_000,
        ),
    ),
    service=FaultCase(
        system="1-phase",
        kva=25,
        volts=240,
        impedance_pct=1.8,
        tolerance_pct=10.0,
        x_over_r=None,
        length_ft=50,
        size="4/0",
        inverter_a=0.0,
    ),
    main_interrupting_a=22_000,
    electrode=ElectrodeCase(kind="rods", conductor_size="6", largest_size="2", largest_metal="copper"),
    surge=True,
)


def verdict(station, key):
    return next(c for c in check_station(station).checks if c.key == key).verdict


def test_a_station_with_everything_given_passes():
    checks = check_station(STATION).checks
    assert [c.key for c in checks if not c.passes] == []
    assert len({c.key for c in checks}) == len(checks)


@pytest.mark.parametrize(
    ("change", "key", "expected"),
    [
        ({"surge": None}, "surge", Verdict.NOT_CHECKED),
        ({"surge": False}, "surge", Verdict.FAILS),
        ({"electrode": None}, "electrode", Verdict.NOT_CHECKED),
        ({"service": None}, "main-interrupting", Verdict.NOT_CHECKED),
        ({"service": None}, "run-2-interrupting", Verdict.NOT_CHECKED),
        ({"main_interrupting_a": 5000.0}, "main-interrupting", Verdict.FAILS),
        ({"disconnects": ()}, "utility-disconnect", Verdict.FAILS),
        (
            {
                "disconnects": (
                    Disconnect(name="Wind", rating_a=60, current_a=41, lockable=True, utility=True),
                )
            },
            "disconnect-1-withstand",
            Verdict.NOT_CHECKED,
        ),
        (
            {
                "disconnects": (
                    Disconnect(
                        name="Wind", rating_a=60, current_a=41, lockable=True, utility=True, withstand_a=1000
                    ),
                )
            },
            "disconnect-1-withstand",
            Verdict.FAILS,
        ),
        (
            {
                "disconnects": (
                    Disconnect(name="Wind", rating_a=50, current_a=41, lockable=True, utility=True),
                )
            },
            "disconnect-1",
            Verdict.FAILS,
        ),
        ({"inverter_runs": ()}, "rise", Verdict.NOT_CHECKED),
        ({"turbine_runs": ()}, "turbine-runs", Verdict.NOT_CHECKED),
        ({"turbine": None}, "turbine", Verdict.NOT_CHECKED),
        ({"inverter": None}, "inverter", Verdict.NOT_CHECKED),
        ({"panel": None}, "panel-bus", Verdict.NOT_CHECKED),
        ({"inverter": Inverter("1-phase", 240, 10000 / 240)}, "inverter-listing", Verdict.NOT_CHECKED),
        ({"inverter": Inverter("1-phase", 240, 10000 / 240, False)}, "inverter-listing", Verdict.FAILS),
    ],
)
def test_what_is_not_known_never_passes(change, key, expected):
    assert verdict(replace(STATION, **change), key) is expected


@pytest.mark.parametrize(
    ("change", "key", "expected"),
    [
        ({"open_circuit_v": None}, "turbine-insulation", Verdict.NOT_CHECKED),
        ({"open_circuit_v": 620.0}, "turbine-insulation", Verdict.FAILS),
        (
            {"open_circuit_v": 620.0, "one_two_family": True, "insulation_v": 1000},
            "turbine-dwelling",
            Verdict.FAILS,
        ),
        ({"input_max_v": None}, "turbine-input", Verdict.NOT_CHECKED),
        ({"regulates_speed": None}, "turbine-disconnect", Verdict.NOT_CHECKED),
        ({"has_disconnect": True}, "turbine-disconnect", Verdict.NOT_CHECKED),
        ({"has_disconnect": True, "disconnect_accepted": True}, "turbine-disconnect", Verdict.PASSES),
        ({"regulates_speed": False}, "turbine-disconnect", Verdict.FAILS),
        ({"regulates_speed": False, "has_disconnect": True}, "turbine-disconnect", Verdict.PASSES),
        ({"brake": "not known"}, "turbine-brake", Verdict.NOT_CHECKED),
        ({"tower_grounded": None}, "tower-ground", Verdict.NOT_CHECKED),
        ({"tower_grounded": False}, "tower-ground", Verdict.FAILS),
        ({"rotor_diameter_ft": 26.2}, "turbine-shutdown", Verdict.FAILS),
        ({"rotor_diameter_ft": 26.2, "shutdown_button": True}, "turbine-shutdown", Verdict.PASSES),
    ],
)
def test_the_turbine_circuit(change, key, expected):
    """NEC 2017 694.10(A), 694.20 with its exception, 694.40(B); 694.23 from 50 m2 of swept area."""
    checks = {c.key: c.verdict for c in turbine_checks(replace(STATION.turbine, **change), "2023")}
    assert checks[key] is expected


def test_a_rotor_under_50_m2_needs_no_shutdown_button():
    """pi d^2 / 4 = 50 m2 at d = 7.98 m = 26.18 ft."""
    small = turbine_checks(replace(STATION.turbine, rotor_diameter_ft=26.1), "2023")
    assert "turbine-shutdown" not in {c.key for c in small}


def test_a_run_is_never_checked_for_less_than_its_source_gives():
    low = replace(STATION, turbine_runs=(replace(TOWER, current_a=20.0),))
    with pytest.raises(InputError) as error:
        check_station(low)
    assert error.value.field == "turbine_runs[0].current_a"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"trade_size": None}, "turbine_runs[0].trade_size"),
        ({"ambient_f": 185.0, "insulation": "THWN"}, "turbine_runs[0].ambient_f"),
        ({"breaker_a": 2000.0, "size": "500"}, "turbine_runs[0].breaker_a"),
    ],
)
def test_bad_input_names_the_run_it_stands_in(change, field):
    with pytest.raises(InputError) as error:
        check_station(replace(STATION, turbine_runs=(replace(TOWER, **change),)))
    assert error.value.field == field


def test_wild_ac_current():
    """10 kW at 240 V between lines, pf 0.9: 10000 / (1.732 x 240 x 0.9) = 26.73 A."""
    assert wild_ac_current_a(10_000, 240, 0.9) == pytest.approx(26.73, abs=0.005)


def test_the_command_takes_the_same_station_as_json():
    case = json.loads(json.dumps(plain(STATION)))
    answer = run("ground_station.station", case)
    assert answer["results"]["fault_a"] == pytest.approx(check_station(STATION).fault_a)
    assert answer["results"]["runs"][1]["choice"]["governs"] in ("ampacity", "voltage")
    case["turbine_runs"][0]["size"] = "5"
    with pytest.raises(InputError) as error:
        run("ground_station.station", case)
    assert error.value.field == "turbine_runs[0].size"


@pytest.mark.parametrize(
    ("name", "case", "results"),
    [
        (
            "conduit_fill",
            {"kind": "EMT", "trade_size": "1/2", "wires": [{"count": 13, "size": "12"}]},
            {"smallest": "3/4"},
        ),
        (
            "fault",
            {"system": "3-phase", "kva": 300, "volts": 208, "impedance_pct": 2, "inverter_a": 0},
            {"full_load_a": 832.7},
        ),
        (
            "transformer",
            {"edition": "2023", "system": "3-phase", "kva": 45, "primary_v": 480, "secondary_v": 208}
            | {"primary_a": 125, "secondary_a": 175},
            {"primary_limit_a": 125.0, "secondary_limit_a": 175.0},
        ),
    ],
)
def test_the_command_runs_published_cases(name, case, results):
    """The cases of the tests of each calculation, by the command's own way in."""
    found = run(f"ground_station.{name}", case)["results"]
    assert {key: found[key] for key in results} == pytest.approx(results, abs=0.05)


@pytest.mark.parametrize("name", ["run", "conductor", "panel"])
def test_the_command_takes_runs_and_panels(name):
    house = plain(HOUSE)
    case = {"run": {"edition": "2023", "run": house}, "conductor": house, "panel": plain(STATION.panel)}[name]
    assert run(f"ground_station.{name}", case)["results"]


def test_runs_that_pass_are_shown_by_the_one_that_governs():
    two = replace(STATION, turbine_runs=(TOWER, replace(TOWER, name="Trench", length_ft=200, vertical_ft=0)))
    checks = {c.key: c for c in check_station(two).checks}
    voltage = checks["runs-voltage-drop"]
    assert voltage.case == "Trench" and voltage.note.endswith("Tower riser lower.")
    assert {step.meaning.partition(":")[0] for step in voltage.steps} == {"Tower riser", "Trench"}
    assert checks["runs-voltage-rise"].case == "Inverter to panel"
    assert (
        checks["runs-breaker"].case == "Inverter to panel"
    )  # the others have none and stand under "no breaker"


def test_each_run_that_fails_stands_by_itself():
    thin = replace(TOWER, size="14", ground_size="14")
    two = replace(STATION, turbine_runs=(thin, replace(thin, name="Trench", vertical_ft=0)))
    fails = {c.key for c in check_station(two).checks if c.verdict is Verdict.FAILS}
    assert {"run-1-continuous", "run-2-continuous", "run-1-brake", "run-2-brake"} <= fails


def test_every_check_names_a_source():
    for check in check_station(STATION).checks:
        assert check.source.strip() and check.note.strip() and check.title.strip()


@pytest.mark.parametrize(
    ("fuse", "verdicts"),
    [
        (60.0, ["passes", "passes"]),
        (50.0, ["fails", "passes"]),
        (100.0, ["passes", "fails"]),
        (None, ["not checked"]),
    ],
)
def test_fuses_carry_the_current_and_fit_their_switch(fuse, verdicts):
    """NEC 694.12(B): 1.25 x 41.67 = 52.08 A; a 60 A switch holds no 100 A fuse (common practice)."""
    switch = replace(STATION.disconnects[0], fused=True, fuse_a=fuse, rating_a=60.0, current_a=10000 / 240)
    found = check_station(replace(STATION, disconnects=(switch,))).checks
    assert sorted((c.key, str(c.verdict)) for c in found if c.key.startswith("fuse")) == sorted(
        zip(("fuses-1", "fuse-holders-1") if fuse else ("fuses-1",), verdicts, strict=True)
    )
