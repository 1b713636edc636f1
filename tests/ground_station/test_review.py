"""What the figures become: the machine's where the draft is empty, not checked where nothing is known."""

from __future__ import annotations

import pytest

from installs.ground_station.models import GroundStationDesign, released_design
from installs.ground_station.review import panel_of, review, station_of
from installs.turbine.models import TurbineDesign, TurbineModel
from sitecalc.checks import Verdict
from tests.ground_station.make_station import HOUSE, RISER, make_station

pytestmark = pytest.mark.django_db


def give_machine(job, **figures):
    model = TurbineModel.objects.create(
        name="Bluestem 9",
        rated_kw=9,
        rotor_diameter_ft=22,
        head_weight_lb=1200,
        **{
            "output": "wild AC, 3-phase",
            "output_v": 290,
            "output_max_a": 22,
            "open_circuit_v": 430,
            **figures,
        },
    )
    TurbineDesign.objects.create(job=job, model=model)


def verdicts(draft):
    return {check.key: check.verdict for check in review(draft).checks}


def test_empty_figures_of_the_turbine_are_the_machines(job):
    give_machine(job, regulates_speed=False, brake="mechanical brake")
    draft = make_station(
        job, turbine_kind="", turbine_v=None, turbine_max_a=None, turbine_open_v=None, regulates_speed=None,
        brake="not known",
    )  # fmt: skip
    turbine = review(draft).station.turbine
    assert (turbine.operating_v, turbine.max_current_a, turbine.open_circuit_v) == (290, 22, 430)
    assert turbine.regulates_speed is False and turbine.brake == "mechanical brake"
    assert all(run.current_a == 22 for run in review(draft).station.turbine_runs)
    assert draft.figures.turbine_v is None


def test_a_figure_of_the_draft_goes_before_the_machines(job):
    give_machine(job)
    assert review(make_station(job)).station.turbine.max_current_a == 24.0


def test_a_release_freezes_the_machines_figures(job):
    give_machine(job)
    inputs = make_station(job, turbine_v=None).inputs()
    TurbineModel.objects.update(output_v=999)
    assert inputs["machine"]["turbine_v"] == 290
    assert released_design(inputs).turbine_v == 290


def test_another_machine_makes_other_inputs_so_that_an_acceptance_no_longer_holds(job):
    give_machine(job)
    before = make_station(job).inputs()
    TurbineModel.objects.update(open_circuit_v=700)
    assert GroundStationDesign.objects.get(job=job).inputs() != before


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"turbine_max_a": None}, "turbine"),
        ({"inverter_a": None}, "inverter"),
        ({"panel_bus_a": None}, "panel-bus"),
        ({"service_kva": None}, "main-interrupting"),
        ({"inverter_fault_a": None}, "main-interrupting"),
        ({"backfeed_a": None}, "run-1-no-breaker"),
        ({"breaker_position": "not known"}, "panel-bus"),
        ({"inverter_listed": None}, "inverter-listing"),
        ({"surge": "not known"}, "surge"),
        ({"regulates_speed": None}, "turbine-disconnect"),
        ({"turbine_disconnect": True}, "turbine-disconnect"),
    ],
)
def test_what_is_not_known_is_not_checked(job, change, key):
    assert verdicts(make_station(job, **change))[key] is Verdict.NOT_CHECKED


def test_turbine_runs_carry_the_turbines_current_and_inverter_runs_the_inverters(job):
    station = station_of(make_station(job).filled())
    assert {run.current_a for run in station.turbine_runs} == {24.0}
    assert {run.system for run in station.turbine_runs} == {"3-phase"}
    assert {run.current_a for run in station.inverter_runs} == {41.7}
    assert [run.source for run in (*station.turbine_runs, *station.inverter_runs)] == [False, False, True]


def test_an_empty_cell_is_left_to_the_code(job):
    run = station_of(make_station(job, runs=[RISER]).filled()).turbine_runs[0]
    assert (run.sets, run.ambient_f, run.terminals_c, run.drop_limit_pct) == (1, 86.0, None, 3.0)


def test_marked_terminals_and_parallel_sets_are_taken_over(job):
    row = HOUSE | {"terminals": "75 C", "sets": 2.0, "size": "1/0", "metal": "aluminum", "trade_size": "2"}
    run = station_of(make_station(job, runs=[row]).filled()).inverter_runs[0]
    assert (run.terminals_c, run.sets) == (75, 2)


def test_a_disconnect_before_an_inverter_that_nobody_gave_is_not_checked_for_no_current(job):
    draft = make_station(job)
    key = next(key for key in verdicts(draft) if key.startswith("disconnect-") and "withstand" not in key)
    assert verdicts(draft)[key] is Verdict.PASSES
    draft.change(inverter_a=None)
    assert verdicts(draft)[key] is Verdict.NOT_CHECKED


def test_how_much_of_the_run_from_the_turbine_hangs_in_the_tower_is_asked(job):
    """Supports of a vertical run: NEC Table 300.19(A). Nothing where that is said, open where nobody said."""
    for hangs, verdict in ((None, Verdict.NOT_CHECKED), (0.0, None)):
        draft = make_station(job, runs=[{**RISER, "vertical_ft": hangs}, HOUSE])
        assert verdicts(draft).get("run-1-support") is verdict
        draft.delete()


def test_what_connects_the_source_is_the_device_of_the_last_run_and_of_no_other(job):
    """NEC 705.11(A): the devices connected to the sources add up to no more than the service. The runs lie
    one behind the other; one before the last may be protected by something smaller."""
    inner = {**HOUSE, "name": "Inverter to disconnect", "breaker_a": 60.0}
    for breaker, verdict in ((100.0, Verdict.PASSES), (None, Verdict.NOT_CHECKED)):
        last = {**HOUSE, "name": "Disconnect to service", "breaker_a": breaker}
        draft = make_station(
            job, runs=[RISER, inner, last], connection="supply side", service_a=200.0, tap_ft=9.0
        )
        assert panel_of(draft.figures).source_breakers_a == breaker
        assert verdicts(draft)["supply-sum"] is verdict
        draft.delete()
