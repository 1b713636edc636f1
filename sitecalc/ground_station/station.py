"""The whole ground station: every run from the turbine to the service, with all its checks.

A licensed electrician and the authority having jurisdiction decide; the numbers here are for them
to look at. Fault current is worked out at the service and used for every breaker on the inverter's
side: further out it is less.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, worst_first
from sitecalc.inputs import InputError, quantity, require_valid

from .ampacity import CONTINUOUS
from .codes import CodeRule, Edition
from .conduit import SUPPORT
from .fault import INTERRUPTING, WITHSTAND, FaultCase, fault, interrupting_check
from .figures import DisconnectRow, GroundStationFigures
from .grounding import ELECTRODE, ElectrodeCase, electrode_checks
from .panel import BUSBAR, PanelCase, panel_checks
from .run import Run
from .turbine import TurbineCircuit, required, turbine_checks
from .voltage_drop import RISE, inverter_voltage_check, total_voltage_check, voltage_drop
from .wiring import RunResult, begun, governed, run_checks, runs_results
from .words import GridSystem

TRIP_PCT = 110.0

TURBINE = CodeRule("turbine", "Turbine output", "A", "", Known.READ, ("turbine current",))
TURBINE_RUNS = CodeRule("turbine-runs", "Turbine runs", "A", "", Known.READ, ("turbine current",))
INVERTER = CodeRule("inverter", "Inverter output", "A", "", Known.READ, ("continuous",))
LISTING = CodeRule("inverter-listing", "Inverter listing", "missing", "", Known.READ, ("interactive",))
# what the braked turbine gives is its maker's word, no impedance
OF_TURBINE = replace(INTERRUPTING, source="")
DISCONNECT = CodeRule("disconnect", "rating", "A", "", Known.READ, ("source disconnect",))
FUSES = CodeRule("fuses", "fuses", "A", "", Known.READ, ("continuous",))
FUSE_HOLDERS = Rule("fuse-holders", "fuses in the switch", "A", "the switch's rating", Known.PRACTICE)
LOCKABLE = CodeRule(
    "utility-disconnect",
    "Lockable disconnect",
    "missing",
    "utility's rules",
    Known.READ,
    ("source disconnect",),
)
SURGE = CodeRule("surge", "Surge protective device", "missing", "", Known.READ, ("surge",))


@dataclass(frozen=True)
class Inverter:
    """The inverter, or the grid side of a machine that gives grid AC itself."""

    system: GridSystem = same_as(GroundStationFigures, "inverter_system", required=True)
    volts: float = same_as(GroundStationFigures, "inverter_v", required=True)
    output_a: float = same_as(GroundStationFigures, "inverter_a", required=True)
    listed_interactive: bool | None = same_as(GroundStationFigures, "inverter_listed")


@dataclass(frozen=True, kw_only=True)
class Disconnect:
    name: str = same_as(DisconnectRow, "name", required=True)
    rating_a: float = same_as(DisconnectRow, "rating_a", required=True)
    current_a: float | None = quantity("A", "largest continuous current", low=0, high=2000, default=None)
    lockable: bool = quantity("", "can be locked open", default=False)
    utility: bool = quantity("", "the one the utility asks for", default=False)
    withstand_a: float | None = same_as(DisconnectRow, "withstand_a")
    fused: bool = quantity("", "holds fuses", default=False)
    fuse_a: float | None = same_as(DisconnectRow, "fuse_a")


@dataclass(frozen=True, kw_only=True)
class Station:
    """Runs in order: from the turbine to the inverter, then from the inverter to the service.

    What is not known yet is None, and what hangs on it is not checked.
    """

    edition: Edition = same_as(GroundStationFigures, "edition", required=True)
    turbine: TurbineCircuit | None = quantity("", "turbine output circuit", default=None)
    inverter: Inverter | None = quantity("", "inverter", default=None)
    panel: PanelCase | None = quantity("", "panel or supply-side connection", default=None)
    turbine_runs: tuple[Run, ...] = quantity("", "turbine to inverter", default=())
    inverter_runs: tuple[Run, ...] = quantity("", "inverter to service", default=())
    disconnects: tuple[Disconnect, ...] = quantity("", "disconnects", default=())
    service: FaultCase | None = quantity("", "service transformer and conductors", default=None)
    main_interrupting_a: float | None = same_as(GroundStationFigures, "main_interrupting_a")
    electrode: ElectrodeCase | None = quantity("", "grounding electrode", default=None)
    surge: bool | None = quantity("", "surge protective device listed and placed", default=None)
    rise_limit_pct: float = same_as(GroundStationFigures, "rise_limit_pct")
    service_high_pct: float = same_as(GroundStationFigures, "service_high_pct")


@dataclass(frozen=True)
class StationResult:
    runs: tuple[RunResult, ...]
    rise_pct: float | None
    fault_a: float | None
    checks: tuple[Check, ...]


def check_station(station: Station) -> StationResult:
    """Every circuit between turbine and service: currents in A, voltages in V, checks worst first.

    Runs as of :func:`sitecalc.ground_station.wiring.run_checks`, the panel as of
    :func:`sitecalc.ground_station.panel.panel_checks`, the transformer and its fault current, the turbine
    circuit, grounding. NEC, of the case's edition, Articles 240, 250, 310, 450, 694 and 705. InputError for
    figures out of range and for what no table holds.
    """
    require_valid(station)
    _require_currents(station)
    checks = [*_turbine(station), *_inverter(station)]
    for number, (field, run) in enumerate(_runs(station), 1):
        with _at(field):
            checks += run_checks(run, station.edition, f"run-{number}")
        if run.breaker_a is not None:
            checks.append(_interrupting(station, run, f"run-{number}"))
    checks += _hanging(station) + _panel(station)
    main = INTERRUPTING.of(station.edition, "main", "Panel main")
    checks.append(interrupting_check(station.service, station.main_interrupting_a, main))
    checks += _voltage_checks(station) + _disconnect_checks(station) + _ground_and_surge(station)
    rise = min(station.rise_limit_pct, TRIP_PCT - station.service_high_pct)
    results = [*runs_results(station.turbine_runs), *runs_results(station.inverter_runs, rise)]
    drops = [voltage_drop(run).percent for run in station.inverter_runs]
    return StationResult(
        runs=tuple(results),
        rise_pct=math.fsum(drops) if drops else None,
        fault_a=fault(station.service).available_a if station.service else None,
        checks=tuple(worst_first(map(begun, governed(checks)))),
    )


def _runs(station: Station) -> list[tuple[str, Run]]:
    """Every run in order, with the field it stands in."""
    return [
        (f"{field}[{index}]", run)
        for field in ("turbine_runs", "inverter_runs")
        for index, run in enumerate(getattr(station, field))
    ]


@contextmanager
def _at(field: str) -> Iterator[None]:
    """An InputError from inside names the run it came from."""
    try:
        yield
    except InputError as error:
        raise InputError(f"{field}.{error.field}", error.message) from error


def _require_currents(station: Station) -> None:
    """A run must not be checked for less than the machine or the inverter can send through it."""
    least = {
        "turbine_runs": station.turbine.max_current_a if station.turbine else 0.0,
        "inverter_runs": station.inverter.output_a if station.inverter else 0.0,
    }
    for field, run in _runs(station):
        source_a = least[field.partition("[")[0]]
        if run.current_a < source_a * (1 - 1e-9):
            raise InputError(
                f"{field}.current_a", f"is {run.current_a:g} A; the source gives {source_a:g} A."
            )


def _turbine(station: Station) -> list[Check]:
    if station.turbine is None:
        why = "kind, voltage or current at maximum output power is not given; it is not the rated output."
        return [TURBINE.of(station.edition).open(why)]
    checks = turbine_checks(station.turbine, station.edition)
    if not station.turbine_runs:
        checks.append(TURBINE_RUNS.of(station.edition).open("no run from the turbine is given."))
    return checks


def _hanging(station: Station) -> list[Check]:
    """What comes from the turbine hangs in its tower, as far as nobody said that it does not."""
    first = station.turbine_runs[:1]
    return [
        SUPPORT.of(station.edition, "run-1", run.name).open(
            "how much of it hangs in the tower is not given; 0 where nothing does."
        )
        for run in first
        if run.vertical_ft is None
    ]


def _inverter(station: Station) -> list[Check]:
    if station.inverter is None:
        return [INVERTER.of(station.edition).open("continuous output current is not given.")]
    listed = station.inverter.listed_interactive
    return [
        required(
            LISTING.of(station.edition),
            listed,
            f"{'listed and marked' if listed else 'not listed'} as interactive (UL 1741).",
            unknown="listing as interactive (UL 1741) is not confirmed.",
        )
    ]


def _panel(station: Station) -> list[Check]:
    if station.panel is None:
        why = "ratings of busbar and main, or the inverter's output, are not given."
        return [BUSBAR.of(station.edition).open(why)]
    return panel_checks(station.panel)


def _interrupting(station: Station, run: Run, key: str) -> Check:
    if run in station.inverter_runs:
        rule = INTERRUPTING.of(station.edition, key, run.name)
        return interrupting_check(station.service, run.interrupting_a, rule)
    rule = OF_TURBINE.of(station.edition, key, run.name)
    short = station.turbine.short_circuit_a if station.turbine else None
    rating = run.interrupting_a
    if short is None or rating is None:
        return rule.open(
            "the turbine's short-circuit current and the interrupting rating must both be known."
        )
    return rule.compare(demand=short, capacity=rating, note=f"{short:g} of {rating:,.0f} A.")


def _voltage_checks(station: Station) -> list[Check]:
    if not station.inverter_runs:
        return [RISE.of(station.edition).open("no run from the inverter is given.")]
    runs = list(station.inverter_runs)
    total = math.fsum(voltage_drop(run).percent for run in runs)
    return [
        total_voltage_check(runs, station.rise_limit_pct, station.edition),
        inverter_voltage_check(runs[0].volts, station.service_high_pct, total, TRIP_PCT),
    ]


def _disconnect_checks(station: Station) -> list[Check]:
    numbered = list(enumerate(station.disconnects, 1))
    checks = [_disconnect_rating(station, number, each) for number, each in numbered]
    for number, each in numbered:
        checks += _fuse_checks(station, number, each)
        rule = WITHSTAND.of(station.edition, f"disconnect-{number}", each.name)
        checks.append(interrupting_check(station.service, each.withstand_a, rule))
    utility = [d for d in station.disconnects if d.utility]
    lockable = any(d.lockable for d in utility)
    note = (
        f"{utility[0].name}, lockable open."
        if lockable
        else "the utility's disconnect must be lockable open."
        if utility
        else "no disconnect for the utility is given."
    )
    return [*checks, required(LOCKABLE.of(station.edition), lockable, note)]


def _disconnect_rating(station: Station, number: int, disconnect: Disconnect) -> Check:
    rule = DISCONNECT.of(station.edition, name=disconnect.name, number=number)
    if disconnect.current_a is None:
        return rule.open("the inverter's continuous output current is not given.")
    asked = CONTINUOUS.step(I=disconnect.current_a)
    return rule.compare(
        demand=asked.value,
        capacity=disconnect.rating_a,
        note=f"1.25 x {disconnect.current_a:.4g} = {asked.value:.4g} of {disconnect.rating_a:g} A.",
        steps=(asked,),
    )


def _fuse_checks(station: Station, number: int, disconnect: Disconnect) -> list[Check]:
    """They carry the current for hours, and their holders are those of the switch."""
    if not disconnect.fused:
        return []
    rule = FUSES.of(station.edition, name=disconnect.name, number=number)
    if disconnect.fuse_a is None:
        return [rule.open("size of the fuses is not given.")]
    holders = FUSE_HOLDERS.stated(
        key=f"{FUSE_HOLDERS.key}-{number}", title=f"{disconnect.name}: {FUSE_HOLDERS.title}"
    )
    fit = holders.compare(
        demand=disconnect.fuse_a,
        capacity=disconnect.rating_a,
        note=f"{disconnect.fuse_a:g} A in a switch of {disconnect.rating_a:g} A.",
    )
    if disconnect.current_a is None:
        return [rule.open("the inverter's continuous output current is not given."), fit]
    asked = CONTINUOUS.step(I=disconnect.current_a)
    carry = rule.compare(
        demand=asked.value,
        capacity=disconnect.fuse_a,
        note=f"1.25 x {disconnect.current_a:.4g} = {asked.value:.4g} of {disconnect.fuse_a:g} A.",
        steps=(asked,),
    )
    return [carry, fit]


def _ground_and_surge(station: Station) -> list[Check]:
    surge = required(
        SURGE.of(station.edition),
        station.surge,
        "listed, between the wind system and the loads." if station.surge else "none given.",
        unknown="not stated.",
    )
    if station.electrode is None:
        return [surge, ELECTRODE.of(station.edition).open("not given.")]
    return [surge, *electrode_checks(station.electrode, station.edition)]
