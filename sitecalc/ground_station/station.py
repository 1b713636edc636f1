"""The whole ground station: every run from the turbine to the service, with all its checks.

A licensed electrician and the authority having jurisdiction decide; the numbers here are for them
to look at. Fault current is worked out at the service and used for every breaker on the inverter's
side: further out it is less.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Known, compare, not_checked, worst_first
from sitecalc.inputs import InputError, quantity, require_valid

from .ampacity import CONTINUOUS, ampacity, ampacity_checks
from .breaker import breaker_checks, smallest_breaker
from .choose import Choice, choose_conductor, smallest_for_ampacity
from .codes import Edition, cite, known
from .conduit import cover_check, fill_check, run_wires, smallest_trade_size, support_check
from .fault import FaultCase, fault, interrupting_check
from .grounding import ElectrodeCase, electrode_checks, equipment_ground, ground_check
from .panel import PanelCase, panel_checks
from .run import Run, System
from .tables import area_cmil
from .turbine import TurbineCircuit, required, turbine_checks
from .voltage_drop import inverter_voltage_check, total_voltage_check, voltage_drop, voltage_drop_check

TRIP_PCT = 110.0


@dataclass(frozen=True)
class Inverter:
    """The inverter, or the grid side of a machine that gives grid AC itself."""

    system: System = quantity("", "1-phase or 3-phase")
    volts: float = quantity("V", "output between lines", low=100, high=1000)
    output_a: float = quantity("A", "continuous output current", low=0.5, high=2000)
    listed_interactive: bool | None = quantity(
        "", "listed as an interactive inverter (UL 1741)", default=None
    )


@dataclass(frozen=True)
class Disconnect:
    name: str = quantity("", "name, as on the one-line")
    rating_a: float = quantity("A", "rating", low=15, high=4000)
    current_a: float = quantity("A", "largest continuous current", low=0, high=2000)
    lockable: bool = quantity("", "can be locked open", default=False)
    utility: bool = quantity("", "the one the utility asks for", default=False)


@dataclass(frozen=True)
class Station:
    """Runs in order: from the turbine to the inverter, then from the inverter to the service."""

    edition: Edition = quantity("", "edition of the NEC")
    turbine: TurbineCircuit = quantity("", "turbine output circuit")
    inverter: Inverter = quantity("", "inverter")
    panel: PanelCase = quantity("", "panel or supply-side connection")
    turbine_runs: tuple[Run, ...] = quantity("", "turbine to inverter", default=())
    inverter_runs: tuple[Run, ...] = quantity("", "inverter to service", default=())
    disconnects: tuple[Disconnect, ...] = quantity("", "disconnects", default=())
    service: FaultCase | None = quantity("", "service transformer and conductors", default=None)
    main_interrupting_a: float | None = quantity(
        "A", "interrupting rating of the panel's main", low=1000, high=300000, default=None
    )
    electrode: ElectrodeCase | None = quantity("", "grounding electrode", default=None)
    surge: bool | None = quantity("", "surge protective device listed and placed", default=None)
    rise_limit_pct: float = quantity("%", "rise, inverter to service", low=0.1, high=20, default=2.0)
    service_high_pct: float = quantity("%", "highest service voltage", low=90, high=115, default=105.0)


@dataclass(frozen=True)
class RunResult:
    """``choice`` is None where no size in the tables will do; ``trade_size`` None for direct burial."""

    name: str
    terminal_a: float
    corrected_a: float
    usable_a: float
    breaker_a: int
    drop_pct: float
    drop_v: float
    loss_w: float
    choice: Choice | None
    ground_size: str | None
    trade_size: str | None


@dataclass(frozen=True)
class StationResult:
    runs: tuple[RunResult, ...]
    rise_pct: float | None
    fault_a: float | None
    checks: tuple[Check, ...]


def check_station(station: Station) -> StationResult:
    """The calculation ``ground_station.station``; checks worst first."""
    require_valid(station)
    _require_currents(station)
    runs = (*station.turbine_runs, *station.inverter_runs)
    checks = [*turbine_checks(station.turbine, station.edition), _listing(station)]
    for index, run in enumerate(runs, 1):
        checks += run_checks(run, station.edition, f"run-{index}")
        if run.breaker_a is not None:
            checks.append(_interrupting(station, run, f"run-{index}"))
    checks += panel_checks(station.panel)
    checks.append(
        interrupting_check(
            station.service,
            station.main_interrupting_a,
            station.edition,
            "main-interrupting",
            "Panel main: interrupting rating",
        )
    )
    checks += _voltage_checks(station) + _disconnect_checks(station) + _ground_and_surge(station)
    drops = [voltage_drop(run).percent for run in station.inverter_runs]
    return StationResult(
        runs=tuple(run_result(run) for run in runs),
        rise_pct=math.fsum(drops) if drops else None,
        fault_a=fault(station.service).available_a if station.service else None,
        checks=tuple(worst_first(checks)),
    )


def _require_currents(station: Station) -> None:
    """A run must not be checked for less than the machine or the inverter can send through it."""
    for field, runs, least in (
        ("turbine_runs", station.turbine_runs, station.turbine.max_current_a),
        ("inverter_runs", station.inverter_runs, station.inverter.output_a),
    ):
        for index, run in enumerate(runs):
            if run.current_a < least * (1 - 1e-9):
                raise InputError(
                    f"{field}[{index}].current_a", f"is {run.current_a:g} A; the source gives {least:g} A."
                )


def run_checks(run: Run, edition: str, key: str) -> list[Check]:
    """All checks of one run, ``key`` before each of their keys."""
    checks = [
        *ampacity_checks(run, edition, key),
        voltage_drop_check(run, edition, key),
        *breaker_checks(run, edition, key),
        _ground(run, edition, key),
        fill_check(run, edition, key),
        cover_check(run, edition, key),
        support_check(run, edition, key),
    ]
    return [check for check in checks if check is not None]


def _ground(run: Run, edition: str, key: str) -> Check:
    try:
        least = smallest_for_ampacity(run)
    except InputError:
        least = run.size  # nothing larger would carry it: the ampacity checks say so
    return ground_check(run, least, edition, key)


def run_result(run: Run) -> RunResult:
    """Numbers of one run for schedules and material lists, with the smallest that would do."""
    found, drop = ampacity(run), voltage_drop(run)
    try:
        choice = choose_conductor(run)
    except InputError:
        choice = None
    ground = None
    if choice is not None and run.breaker_a is not None:
        used, least = area_cmil(run.size), area_cmil(choice.for_ampacity)
        ground = equipment_ground(run.breaker_a, run.metal, run.sets * used, run.sets * least)
    trade_size = None
    if run.conduit != "direct burial":
        try:
            trade_size = smallest_trade_size(run.conduit, run_wires(run))
        except InputError:
            trade_size = None
    return RunResult(
        name=run.name,
        terminal_a=found.terminal_a,
        corrected_a=found.corrected_a,
        usable_a=found.usable_a,
        breaker_a=smallest_breaker(run.current_a),
        drop_pct=drop.percent,
        drop_v=drop.volts,
        loss_w=drop.loss_w,
        choice=choice,
        ground_size=ground,
        trade_size=trade_size,
    )


def _listing(station: Station) -> Check:
    return required(
        "inverter-listing",
        "Inverter listing",
        station.inverter.listed_interactive,
        "listed and marked as interactive (UL 1741)."
        if station.inverter.listed_interactive
        else "not listed as interactive (UL 1741).",
        source=f"NEC {station.edition} 694.60, 705.6",
        known=Known.MEMORY,
        unknown="the inverter's listing as interactive (UL 1741) is not confirmed.",
    )


def _interrupting(station: Station, run: Run, key: str) -> Check:
    title = f"{run.name}: interrupting rating"
    if run in station.inverter_runs:
        return interrupting_check(
            station.service, run.interrupting_a, station.edition, f"{key}-interrupting", title
        )
    short, rating = station.turbine.short_circuit_a, run.interrupting_a
    source = cite(station.edition, "interrupting")
    if short is None or rating is None:
        why = "the turbine's short-circuit current and the interrupting rating must both be known."
        return not_checked(f"{key}-interrupting", title, why, source=source, known=Known.MEMORY, unit="A")
    return compare(
        f"{key}-interrupting",
        title,
        demand=short,
        capacity=rating,
        unit="A",
        note=f"{short:g} of {rating:,.0f} A.",
        source=source,
        known=Known.MEMORY,
    )


def _voltage_checks(station: Station) -> list[Check]:
    if not station.inverter_runs:
        return [
            not_checked(
                "rise",
                "Voltage rise, inverter to service",
                "no run from the inverter is given.",
                source=cite(station.edition, "impedance"),
                known=Known.READ,
            )
        ]
    runs = list(station.inverter_runs)
    total = math.fsum(voltage_drop(run).percent for run in runs)
    return [
        total_voltage_check(runs, station.rise_limit_pct, station.edition, "rise"),
        inverter_voltage_check(
            station.inverter.volts, station.service_high_pct, total, TRIP_PCT, "inverter-voltage"
        ),
    ]


def _disconnect_checks(station: Station) -> list[Check]:
    checks = [
        compare(
            f"disconnect-{index}",
            f"{disconnect.name}: rating",
            demand=CONTINUOUS * disconnect.current_a,
            capacity=disconnect.rating_a,
            unit="A",
            note=f"1.25 x {disconnect.current_a:.4g} = {CONTINUOUS * disconnect.current_a:.4g} "
            f"of {disconnect.rating_a:g} A.",
            source=cite(station.edition, "source disconnect"),
            known=known(station.edition),
        )
        for index, disconnect in enumerate(station.disconnects, 1)
    ]
    utility = [d for d in station.disconnects if d.utility]
    lockable = any(d.lockable for d in utility)
    note = (
        f"{utility[0].name}, lockable open."
        if lockable
        else "the utility's disconnect must be lockable open."
        if utility
        else "no disconnect for the utility is given."
    )
    checks.append(
        required(
            "utility-disconnect",
            "Lockable disconnect",
            lockable,
            note,
            source=f"{cite(station.edition, 'source disconnect')}; utility's rules",
            known=known(station.edition),
        )
    )
    return checks


def _ground_and_surge(station: Station) -> list[Check]:
    surge = required(
        "surge",
        "Surge protective device",
        station.surge,
        "listed, between the wind system and the loads." if station.surge else "none given.",
        source=cite(station.edition, "surge"),
        known=known(station.edition),
        unknown="not stated.",
    )
    if station.electrode is None:
        electrode = not_checked(
            "electrode",
            "Grounding electrode",
            "not given.",
            source=cite(station.edition, "electrode"),
            known=Known.MEMORY,
        )
        return [surge, electrode]
    return [surge, *electrode_checks(station.electrode, station.edition)]


@dataclass(frozen=True)
class RunCase:
    """One run by itself."""

    edition: Literal["2017", "2020", "2023", "2026"] = quantity("", "edition of the NEC")
    run: Run = quantity("", "the run")


@dataclass(frozen=True)
class RunCaseResult:
    result: RunResult
    checks: tuple[Check, ...]


def check_run(case: RunCase) -> RunCaseResult:
    """The calculation ``ground_station.run``."""
    require_valid(case)
    checks = run_checks(case.run, case.edition, "run")
    return RunCaseResult(run_result(case.run), tuple(worst_first(checks)))
