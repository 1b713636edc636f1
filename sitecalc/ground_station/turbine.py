"""The turbine output circuit: wild AC or DC from the machine to its rectifier, controller or inverter.

Its currents and voltages are the machine's largest, not the rated ones: output at maximum power,
voltage with the circuit open at the highest speed, current with the brake switch closed.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula
from sitecalc.inputs import require_valid

from .codes import CodeRule
from .figures import GroundStationFigures
from .words import BRAKE_WORDS, Brake, Kind

DWELLING_V = 600.0
SHUTDOWN_SWEPT_M2 = 50.0  # from this swept area on a manual shutdown button is asked for

INSULATION = CodeRule(
    "turbine-insulation",
    "Turbine voltage on the insulation",
    "V",
    "",
    Known.READ,
    ("maximum voltage",),
)
EQUIPMENT = Rule("turbine-input", "Turbine voltage on the equipment", "V", "equipment rating", Known.PRACTICE)
DWELLING = CodeRule(
    "turbine-dwelling", "Turbine voltage at a dwelling", "V", "", Known.READ, ("maximum voltage",)
)
DISCONNECT = CodeRule("turbine-disconnect", "Turbine disconnect", "missing", "", Known.READ, ("disconnect",))
BRAKE = CodeRule("turbine-brake", "Brake without the grid", "missing", "", Known.READ, ("disabling",))
TOWER_GROUND = CodeRule("tower-ground", "Tower grounding", "missing", "", Known.READ, ("tower ground",))
SHUTDOWN = CodeRule("turbine-shutdown", "Manual shutdown button", "missing", "", Known.READ, ("shutdown",))

LINE_CURRENT = Formula("I", "line current", "P/(sqrt(3)*V*pf)", "A")
SWEPT = Formula("A", "swept area", "pi*(0.3048*D)**2/4", "m2")


@dataclass(frozen=True, kw_only=True)
class TurbineCircuit:
    """What the machine's maker states about its output circuit; None is "not stated yet"."""

    kind: Kind = same_as(GroundStationFigures, "turbine_kind", required=True)
    operating_v: float = same_as(GroundStationFigures, "turbine_v", required=True)
    max_current_a: float = same_as(GroundStationFigures, "turbine_max_a", required=True)
    open_circuit_v: float | None = same_as(GroundStationFigures, "turbine_open_v")
    short_circuit_a: float | None = same_as(GroundStationFigures, "turbine_short_a")
    insulation_v: float = same_as(GroundStationFigures, "insulation_v")
    input_max_v: float | None = same_as(GroundStationFigures, "input_max_v")
    one_two_family: bool = same_as(GroundStationFigures, "one_two_family")
    regulates_speed: bool | None = same_as(GroundStationFigures, "regulates_speed")
    has_disconnect: bool = same_as(GroundStationFigures, "turbine_disconnect")
    disconnect_accepted: bool = same_as(GroundStationFigures, "disconnect_accepted")
    brake: Brake = same_as(GroundStationFigures, "brake")
    rotor_diameter_ft: float | None = same_as(GroundStationFigures, "rotor_diameter_ft")
    tower_grounded: bool | None = same_as(GroundStationFigures, "tower_grounded")
    shutdown_button: bool = same_as(GroundStationFigures, "shutdown_button")


def wild_ac_current_a(power_w: float, volts: float, power_factor: float) -> float:
    """Line current of a 3-phase machine in A: P / (sqrt(3) V pf).

    power_w, volts
        W, and V between lines.
    power_factor
        of the rectifier's input, 0 to 1.

    Balanced sine waves. Circuit theory.
    """
    return LINE_CURRENT.value(P=power_w, V=volts, pf=power_factor)


def required(rule: Rule, met: bool | None, note: str, *, unknown: str = "") -> Check:
    """A thing that must be there: none may be missing; not checked while it is not known."""
    if met is None:
        return rule.open(unknown or note)
    return rule.compare(demand=0.0 if met else 1.0, capacity=0.0, note=note)


def turbine_checks(circuit: TurbineCircuit, edition: str) -> list[Check]:
    """The output circuit: its largest voltage in V, and what must be there. NEC Article 694."""
    require_valid(circuit)
    checks = [_voltage(circuit, edition), _input_voltage(circuit, edition)]
    if circuit.one_two_family:
        checks.append(_dwelling(circuit, edition))
    return [
        *checks,
        _disconnect(circuit, edition),
        _brake(circuit, edition),
        _tower(circuit, edition),
        *_shutdown(circuit, edition),
    ]


def _voltage(circuit: TurbineCircuit, edition: str) -> Check:
    limit = circuit.insulation_v
    return _volts(INSULATION.of(edition), circuit.open_circuit_v, limit, f"{limit:g} V insulation")


def _input_voltage(circuit: TurbineCircuit, edition: str) -> Check:
    limit = circuit.input_max_v
    if limit is None:
        return EQUIPMENT.open("largest input voltage of rectifier, controller or inverter is not given.")
    return _volts(EQUIPMENT, circuit.open_circuit_v, limit, f"{limit:g} V input")


def _dwelling(circuit: TurbineCircuit, edition: str) -> Check:
    of = f"{DWELLING_V:g} V at a one- or two-family dwelling"
    return _volts(DWELLING.of(edition), circuit.open_circuit_v, DWELLING_V, of)


def _volts(rule: Rule, volts: float | None, limit: float, of: str) -> Check:
    if volts is None:
        return rule.open(f"{of}: open-circuit voltage at the highest speed is not given.")
    return rule.compare(
        demand=volts, capacity=limit, note=f"{volts:g} of {of}, circuit open at the highest speed."
    )


def _disconnect(circuit: TurbineCircuit, edition: str) -> Check:
    """Opening the circuit of a machine whose load holds its speed lets the rotor run away."""
    rule = DISCONNECT.of(edition)
    if circuit.regulates_speed is None:
        return rule.open(
            "not stated whether the output circuit holds the rotor's speed; opening it may cause overspeed."
        )
    if circuit.regulates_speed and circuit.has_disconnect and not circuit.disconnect_accepted:
        return rule.open(
            "the output circuit holds the rotor's speed: opening a disconnect or breaker in it may cause "
            "overspeed. None is required; take it out, or have the maker's written word."
        )
    if circuit.regulates_speed:
        note = (
            "opened only as the maker writes; the circuit holds the rotor's speed."
            if circuit.has_disconnect
            else "none, as the circuit holds the rotor's speed; brake the rotor first."
        )
        return required(rule, True, note)
    note = "provided." if circuit.has_disconnect else "none; one is required ahead of the premises wiring."
    return required(rule, circuit.has_disconnect, note)


def _brake(circuit: TurbineCircuit, edition: str) -> Check:
    return required(
        BRAKE.of(edition),
        None if circuit.brake == "not known" else True,
        f"{BRAKE_WORDS[circuit.brake]}; a utility outage also takes the load away.",
        unknown="what stops the rotor when the grid is away is not stated.",
    )


def _tower(circuit: TurbineCircuit, edition: str) -> Check:
    """The tower needs electrodes of its own and a bond to the premises."""
    return required(
        TOWER_GROUND.of(edition),
        circuit.tower_grounded,
        "tower on electrodes of its own and bonded to the premises; galvanized ones beside galvanized steel."
        if circuit.tower_grounded
        else "no electrode at the tower.",
        unknown="electrodes at the tower and their bond to the premises are not stated.",
    )


def _shutdown(circuit: TurbineCircuit, edition: str) -> list[Check]:
    """A manual shutdown button from 50 square meters of swept area on, a rotor of 26.2 ft."""
    if circuit.rotor_diameter_ft is None:
        return []
    swept_m2 = SWEPT.value(D=circuit.rotor_diameter_ft)
    if swept_m2 < SHUTDOWN_SWEPT_M2:
        return []
    note = f"swept area {swept_m2:.0f} m² (a rotor of 26.2 ft or more): " + (
        "provided." if circuit.shutdown_button else "none given."
    )
    return [required(SHUTDOWN.of(edition), circuit.shutdown_button, note)]
