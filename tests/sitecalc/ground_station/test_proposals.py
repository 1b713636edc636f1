"""What the page says would do is taken at its word: typed in, every check of the run passes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.ground_station.breaker import next_standard, smallest_breaker
from sitecalc.ground_station.grounding import equipment_ground, ground_check
from sitecalc.ground_station.run import Run
from sitecalc.ground_station.station import Inverter, Station, check_station
from sitecalc.ground_station.tables import area_cmil
from sitecalc.ground_station.turbine import TurbineCircuit

OWN = ("run-", "runs-")
METALS = st.sampled_from(["copper", "aluminum"])


def typed_in(run: Run, result) -> Run:
    return replace(
        run,
        size=result.choice.size,
        ground_size=result.ground_size,
        trade_size=result.trade_size or run.trade_size,
        support_ft=result.support_ft,
    )


@st.composite
def runs(draw, volts: float, amps: float, source: bool):
    ahead = draw(st.booleans()) or source
    breaker = smallest_breaker(amps) if ahead else None
    if breaker and draw(st.booleans()):
        breaker = next_standard(breaker + 1)
    buried = draw(st.booleans())
    return Run(
        name=f"run {draw(st.integers(0, 10**9))}",
        system=draw(st.sampled_from(["1-phase", "3-phase"])),
        volts=volts,
        current_a=amps,
        length_ft=draw(st.floats(5, 900)),
        size=draw(st.sampled_from(["6", "1/0", "4/0"])),
        metal=draw(METALS),
        ground_metal=draw(st.sampled_from([None, "copper", "aluminum"])),
        insulation="THWN-2",
        conduit="PVC 40" if buried else "RMC",
        trade_size="2",
        terminals_c=draw(st.sampled_from([None, 60, 75])),
        ambient_f=draw(st.sampled_from([86.0, 104.0, 120.0])),
        breaker_a=breaker,
        interrupting_a=65_000.0,
        ground_size="6",
        source=source,
        drop_limit_pct=draw(st.sampled_from([1.0, 2.0, 3.0, 5.0])),
        location="open ground" if buried else "not buried",
        cover_in=24.0 if buried else None,
        short_circuit_a=None if source else 1.4 * amps,
        backfeed_a=None if source else 0.0,
        vertical_ft=0.0 if buried else draw(st.sampled_from([0.0, 90.0, 140.0])),
    )


@st.composite
def stations(draw):
    low, high = draw(st.floats(15, 120)), draw(st.floats(15, 150))
    return Station(
        edition="2023",
        turbine=TurbineCircuit(kind="wild AC, 3-phase", operating_v=300.0, max_current_a=low),
        inverter=Inverter("1-phase", 240.0, high, True),
        turbine_runs=tuple(draw(runs(300.0, low, False)) for _ in range(draw(st.integers(1, 2)))),
        inverter_runs=tuple(draw(runs(240.0, high, True)) for _ in range(draw(st.integers(1, 3)))),
        rise_limit_pct=draw(st.sampled_from([1.0, 2.0, 3.0])),
        service_high_pct=draw(st.sampled_from([105.0, 108.5])),
    )


@given(stations())
def test_what_would_do_passes_when_it_is_typed_in(station: Station) -> None:
    found = check_station(station).runs
    assume(all(run.choice and run.ground_size and run.trade_size for run in found))
    tried, first = [*station.turbine_runs, *station.inverter_runs], len(station.turbine_runs)
    taken = [typed_in(run, result) for run, result in zip(tried, found, strict=True)]
    again = check_station(
        replace(station, turbine_runs=tuple(taken[:first]), inverter_runs=tuple(taken[first:]))
    )
    judged = [
        c
        for c in again.checks
        if (c.key.startswith(OWN) and "interrupting" not in c.key) or c.key in ("rise", "inverter-voltage")
    ]
    assert judged and [(c.title, c.note) for c in judged if c.verdict is not Verdict.PASSES] == []
    assert again.rise_pct is not None and again.rise_pct <= station.rise_limit_pct + 1e-9
    assert [r.choice.size for r in again.runs] == [r.choice.size for r in found]


HOUSE = Run(
    name="Inverter output", system="1-phase", volts=240.0, current_a=62.5, length_ft=330.0, size="3/0",
    metal="aluminum", insulation="THWN-2", conduit="PVC 40", trade_size="2", breaker_a=80.0,
    interrupting_a=22_000.0, ground_size="3", terminals_c=75, drop_limit_pct=3.0,
)  # fmt: skip


def test_a_long_run_of_aluminum_is_proposed_with_the_ground_it_asks_for() -> None:
    """3/0 aluminum over 330 ft: the ground that is proposed is that of the size proposed."""
    station = Station(edition="2023", inverter_runs=(HOUSE,), rise_limit_pct=2.0)
    found = check_station(station).runs[0]
    again = check_station(replace(station, inverter_runs=(typed_in(HOUSE, found),)))
    assert not [c for c in again.checks if c.key.startswith(OWN) and c.verdict is Verdict.FAILS]


def test_a_copper_ground_beside_aluminum_is_sized_as_copper() -> None:
    """NEC table 250.122: 8 AWG copper or 6 AWG aluminum behind 100 A; read in a public chart."""
    run = replace(HOUSE, size="1", breaker_a=100.0, ground_size="8", ground_metal="copper")
    assert ground_check(run, "1", "2023", "run-1").verdict is Verdict.PASSES
    alike = ground_check(replace(run, ground_metal=None), "1", "2023", "run-1")
    assert alike.verdict is Verdict.FAILS and "6 AWG aluminum required" in alike.note


def test_a_copper_ground_grows_with_the_aluminum_it_lies_beside() -> None:
    """NEC 250.122(B): in proportion to the phase conductors' area, whatever their metal."""
    used, least = area_cmil("4/0"), area_cmil("1/0")
    assert equipment_ground(100.0, "copper", used, least, "aluminum") == "4"  # 16,510 x 2.004 = 33,083


@pytest.mark.parametrize(("ground", "passes"), [("copper", True), ("aluminum", False)])
def test_as_much_aluminum_carries_less_than_copper(ground, passes) -> None:
    """No breaker ahead: a ground as large as the phases will do only where its metal carries as much."""
    run = replace(HOUSE, metal="copper", size="4", ground_size="4", ground_metal=ground, breaker_a=None)
    assert ground_check(run, "4", "2023", "run-1").passes is passes
