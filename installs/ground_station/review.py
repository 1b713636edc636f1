"""From the draft's figures to the checked station."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from installs.ground_station.columns import SIDES, UNMARKED, Row
from installs.ground_station.models import GroundStationDesign
from sitecalc.checks import Check
from sitecalc.ground_station.fault import FaultCase
from sitecalc.ground_station.grounding import ElectrodeCase
from sitecalc.ground_station.panel import PanelCase
from sitecalc.ground_station.run import Run
from sitecalc.ground_station.station import Disconnect, Inverter, Station, StationResult, check_station
from sitecalc.ground_station.turbine import TurbineCircuit
from sitecalc.inputs import InputError, build

# fields of the station and of its parts, by the draft's field where an error is shown
_FIELDS = {
    "turbine.operating_v": "turbine_v",
    "turbine.max_current_a": "turbine_max_a",
    "turbine.open_circuit_v": "turbine_open_v",
    "turbine.short_circuit_a": "turbine_short_a",
    "inverter.output_a": "inverter_a",
    "inverter.volts": "inverter_v",
    "panel.bus_a": "panel_bus_a",
    "panel.main_a": "panel_main_a",
    "service.kva": "service_kva",
    "service.impedance_pct": "service_z_pct",
    "electrode.rods": "rods",
}

# columns that a run takes as they stand
_AS_GIVEN = (
    "name", "length_ft", "size", "metal", "insulation", "ground_size", "ambient_f", "conduit", "trade_size",
    "location", "cover_in", "vertical_ft", "support_ft", "breaker_a", "interrupting_a", "drop_limit_pct",
)  # fmt: skip


@dataclass(frozen=True)
class Review:
    """``results`` is frozen on release: runs in order, rise, fault current."""

    station: Station
    results: StationResult
    checks: tuple[Check, ...]


def review(draft: GroundStationDesign) -> Review:
    """InputError names the draft's field. Milliseconds; nothing is stored."""
    draft = draft.filled()
    try:
        station = station_of(draft)
        results = check_station(station)
    except InputError as error:
        raise _at_field(draft, error) from error
    return Review(station, results, results.checks)


def station_of(draft: GroundStationDesign) -> Station:
    turbine, inverter = _turbine(draft), _inverter(draft)
    return Station(
        edition=draft.edition,  # type: ignore[arg-type]
        turbine=turbine,
        inverter=inverter,
        panel=_panel(draft, inverter),
        turbine_runs=_runs(draft, SIDES[0]) if turbine else (),
        inverter_runs=_runs(draft, SIDES[1]) if inverter else (),
        disconnects=tuple(
            Disconnect(
                name=row["name"],
                rating_a=row["rating_a"],
                current_a=inverter.output_a if inverter else 0.0,
                lockable=row.get("lockable") == "yes",
                utility=row.get("utility") == "yes",
                withstand_a=row.get("withstand_a"),
            )
            for row in draft.disconnects
        ),
        service=_service(draft),
        main_interrupting_a=draft.main_interrupting_a,
        electrode=ElectrodeCase(
            kind=draft.electrode,  # type: ignore[arg-type]
            conductor_size=draft.electrode_size,  # type: ignore[arg-type]
            largest_size=draft.service_size,  # type: ignore[arg-type]
            largest_metal=draft.service_metal,  # type: ignore[arg-type]
            largest_sets=draft.service_sets,
            rods=draft.rods,
            rod_length_ft=draft.rod_length_ft,
            spacing_ft=draft.rod_spacing_ft,
            length_ft=draft.electrode_ft,
            measured_ohm=draft.electrode_ohm,
        ),
        surge={"not known": None, "none": False}.get(draft.surge, True),
        rise_limit_pct=draft.rise_limit_pct,
        service_high_pct=draft.service_high_pct,
    )


def _turbine(draft: GroundStationDesign) -> TurbineCircuit | None:
    if draft.turbine_v is None or draft.turbine_max_a is None or not draft.turbine_kind:
        return None
    return TurbineCircuit(
        kind=draft.turbine_kind,  # type: ignore[arg-type]
        operating_v=draft.turbine_v,
        max_current_a=draft.turbine_max_a,
        open_circuit_v=draft.turbine_open_v,
        short_circuit_a=draft.turbine_short_a,
        insulation_v=draft.insulation_v,
        input_max_v=draft.input_max_v,
        one_two_family=draft.one_two_family,
        regulates_speed=draft.regulates_speed,
        has_disconnect=draft.turbine_disconnect,
        disconnect_accepted=draft.disconnect_accepted,
        brake=draft.brake,  # type: ignore[arg-type]
        rotor_diameter_ft=draft.rotor_diameter_ft,
        tower_grounded=draft.tower_grounded,
        shutdown_button=draft.shutdown_button,
    )


def _inverter(draft: GroundStationDesign) -> Inverter | None:
    if draft.inverter_a is None:
        return None
    return Inverter(
        system=draft.inverter_system,  # type: ignore[arg-type]
        volts=draft.inverter_v,
        output_a=draft.inverter_a,
        listed_interactive=draft.inverter_listed,
    )


def _panel(draft: GroundStationDesign, inverter: Inverter | None) -> PanelCase | None:
    if draft.panel_bus_a is None or draft.panel_main_a is None or inverter is None:
        return None
    breakers = [row["breaker_a"] for row in draft.runs if row["side"] == SIDES[1] and row.get("breaker_a")]
    return PanelCase(
        edition=draft.edition,  # type: ignore[arg-type]
        connection=draft.connection,  # type: ignore[arg-type]
        bus_a=draft.panel_bus_a,
        main_a=draft.panel_main_a,
        inverters_a=(inverter.output_a,),
        position=draft.breaker_position,  # type: ignore[arg-type]
        breakers_sum_a=draft.breakers_sum_a,
        dwelling=draft.one_two_family,
        service_a=draft.panel_main_a,
        source_breakers_a=breakers[-1] if breakers else None,
        tap_ft=draft.tap_ft,
    )


def _service(draft: GroundStationDesign) -> FaultCase | None:
    """None while the utility has not given its transformer, or the inverter's contribution is not known."""
    if draft.service_kva is None or draft.service_z_pct is None or draft.inverter_fault_a is None:
        return None
    return FaultCase(
        system=draft.inverter_system,  # type: ignore[arg-type]
        kva=draft.service_kva,
        volts=draft.inverter_v,
        impedance_pct=draft.service_z_pct,
        x_over_r=draft.service_x_over_r,
        length_ft=draft.service_ft,
        size=draft.service_size,  # type: ignore[arg-type]
        metal=draft.service_metal,  # type: ignore[arg-type]
        sets=draft.service_sets,
        inverter_a=draft.inverter_fault_a,
    )


def _runs(draft: GroundStationDesign, side: str) -> tuple[Run, ...]:
    runs = []
    for index, row in enumerate(draft.runs):
        if row["side"] == side:
            try:
                runs.append(build(Run, _run_case(draft, row)))
            except InputError as error:
                raise InputError(f"runs[{index}].{error.field}", error.message) from error
    return tuple(runs)


def _run_case(draft: GroundStationDesign, row: Row) -> dict[str, Any]:
    """The fields of a run; an empty cell is left to the run's own default."""
    on_turbine = row["side"] == SIDES[0]
    given: dict[str, Any] = {name: row[name] for name in _AS_GIVEN if row.get(name) not in (None, "")}
    given |= {name: int(row[name]) for name in ("sets", "carrying") if row.get(name) is not None}
    terminals = row.get("terminals") or UNMARKED
    given |= {
        "neutral": row.get("neutral") == "yes",
        "terminals_c": None if terminals == UNMARKED else int(terminals.removesuffix(" C")),
    }
    if on_turbine:
        return given | {
            "system": turbine_system(draft.turbine_kind),
            "volts": draft.turbine_v,
            "current_a": draft.turbine_max_a,
            "power_factor": 1.0 if draft.turbine_kind == "DC" else draft.turbine_pf,
            "frequency_hz": draft.turbine_hz or 60.0,
            "short_circuit_a": draft.turbine_short_a,
            "backfeed_a": draft.backfeed_a,
            "source": False,
        }
    return given | {
        "system": draft.inverter_system,
        "volts": draft.inverter_v,
        "current_a": draft.inverter_a,
        "source": True,
    }


def turbine_system(kind: str) -> str:
    return "DC" if kind == "DC" else "3-phase" if "3-phase" in kind else "1-phase"


def _at_field(draft: GroundStationDesign, error: InputError) -> InputError:
    """The draft's field for the station's; a run is named in words."""
    stem = error.field.partition("[")[0]
    if stem in ("runs", "turbine_runs", "inverter_runs"):
        name = _run_name(draft, error.field)
        column = error.field.rpartition(".")[2].replace("_", " ")
        return InputError("runs", f"{name}, {column}: {error.message}")
    return InputError(_FIELDS.get(error.field, stem), error.message)


def _run_name(draft: GroundStationDesign, field: str) -> str:
    stem, _, rest = field.partition("[")
    index = int(rest.partition("]")[0])
    side = {"turbine_runs": SIDES[0], "inverter_runs": SIDES[1]}.get(stem)
    rows = [row for row in draft.runs if side is None or row["side"] == side]
    return str(rows[index]["name"]) if index < len(rows) else "run"
