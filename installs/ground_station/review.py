"""From the draft's figures to the checked station."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from installs.ground_station.models import GroundStationDesign
from sitecalc.cases import drawn_from, figure_of
from sitecalc.checks import Check
from sitecalc.ground_station.fault import FaultCase
from sitecalc.ground_station.figures import SIDES, UNMARKED, GroundStationFigures, RunRow
from sitecalc.ground_station.grounding import ElectrodeCase
from sitecalc.ground_station.panel import PanelCase
from sitecalc.ground_station.run import Run
from sitecalc.ground_station.station import Disconnect, Inverter, Station, StationResult, check_station
from sitecalc.ground_station.turbine import TurbineCircuit
from sitecalc.inputs import InputError


@dataclass(frozen=True)
class Review:
    """``results`` is frozen on release: runs in order, rise, fault current."""

    station: Station
    results: StationResult
    checks: tuple[Check, ...]


def review(draft: GroundStationDesign) -> Review:
    """InputError names the draft's field. Milliseconds; nothing is stored."""
    figures = draft.filled()
    try:
        station = station_of(figures)
        results = check_station(station)
    except InputError as error:
        raise _at_field(figures, error) from error
    return Review(station, results, results.checks)


def station_of(figures: GroundStationFigures) -> Station:
    turbine, inverter = _turbine(figures), _inverter(figures)
    return drawn_from(
        Station,
        figures,
        turbine=turbine,
        inverter=inverter,
        panel=panel_of(figures),
        turbine_runs=_runs(figures, SIDES[0]) if turbine else (),
        inverter_runs=_runs(figures, SIDES[1]) if inverter else (),
        disconnects=tuple(
            drawn_from(
                Disconnect,
                row,
                current_a=inverter.output_a if inverter else None,
                lockable=row.lockable == "yes",
                fused=row.fused == "yes",
                utility=row.utility == "yes",
            )
            for row in figures.disconnects
        ),
        service=_service(figures),
        electrode=drawn_from(ElectrodeCase, figures),
        surge={"not known": None, "none": False}.get(figures.surge, True),
    )


def _turbine(figures: GroundStationFigures) -> TurbineCircuit | None:
    if figures.turbine_v is None or figures.turbine_max_a is None or not figures.turbine_kind:
        return None
    return drawn_from(TurbineCircuit, figures)


def _inverter(figures: GroundStationFigures) -> Inverter | None:
    if figures.inverter_a is None:
        return None
    return drawn_from(Inverter, figures)


def panel_of(figures: GroundStationFigures) -> PanelCase | None:
    """None while ratings of busbar and main, or the inverter's output, are not known."""
    inverter = _inverter(figures)
    if figures.panel_bus_a is None or figures.panel_main_a is None or inverter is None:
        return None
    # the runs lie one behind the other: what connects the source is the device of the last, and of no other
    last = [row.breaker_a for row in figures.runs if row.side == SIDES[1]][-1:]
    return drawn_from(
        PanelCase,
        figures,
        inverters_a=(inverter.output_a,),
        source_breakers_a=last[0] if last else None,
    )


def _service(figures: GroundStationFigures) -> FaultCase | None:
    """None while the utility has not given its transformer, or the inverter's contribution is not known."""
    if figures.service_kva is None or figures.service_z_pct is None or figures.inverter_fault_a is None:
        return None
    return drawn_from(FaultCase, figures)


def _runs(figures: GroundStationFigures, side: str) -> tuple[Run, ...]:
    return tuple(_run(figures, row) for row in figures.runs if row.side == side)


def _run(figures: GroundStationFigures, row: RunRow) -> Run:
    """An empty cell is left to the run's own default."""
    terminals = row.terminals or UNMARKED
    given: dict[str, Any] = {
        "neutral": row.neutral == "yes",
        "terminals_c": None if terminals == UNMARKED else int(terminals.removesuffix(" C")),
    }
    if row.side == SIDES[0]:
        if figures.turbine_kind == "DC":
            given["power_factor"] = 1.0
        return drawn_from(
            Run,
            figures,
            row,
            system=turbine_system(figures.turbine_kind),
            volts=figures.turbine_v,
            current_a=figures.turbine_max_a,
            source=False,
            **given,
        )
    return drawn_from(
        Run,
        row,
        system=figures.inverter_system,
        volts=figures.inverter_v,
        current_a=figures.inverter_a,
        source=True,
        **given,
    )


def turbine_system(kind: str) -> str:
    return "DC" if kind == "DC" else "3-phase" if "3-phase" in kind else "1-phase"


def _at_field(figures: GroundStationFigures, error: InputError) -> InputError:
    """The draft's field for the station's; a run is named in words."""
    stem = error.field.partition("[")[0]
    if stem in ("runs", "turbine_runs", "inverter_runs"):
        name = _run_name(figures, error.field)
        column = error.field.rpartition(".")[2].replace("_", " ")
        return InputError("runs", f"{name}, {column}: {error.message}")
    shown = figure_of(Station, error.field)
    return InputError(stem if shown == error.field else shown, error.message)


def _run_name(figures: GroundStationFigures, field: str) -> str:
    stem, _, rest = field.partition("[")
    index = int(rest.partition("]")[0])
    side = {"turbine_runs": SIDES[0], "inverter_runs": SIDES[1]}.get(stem)
    rows = [row for row in figures.runs if side is None or row.side == side]
    return rows[index].name if index < len(rows) else "run"
