"""The turbine output circuit: wild AC or DC from the machine to its rectifier, controller or inverter.

Its currents and voltages are the machine's largest, not the rated ones: output at maximum power,
voltage with the circuit open at the highest speed, current with the brake switch closed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Known, compare, not_checked
from sitecalc.inputs import quantity, require_valid

from .codes import by, cite, known

Kind = Literal["wild AC, 3-phase", "DC", "grid AC, 1-phase", "grid AC, 3-phase"]
Brake = Literal["not known", "short-circuit switch", "mechanical brake", "pitch or furling", "two of these"]

DWELLING_V = 600.0
SHUTDOWN_SWEPT_M2 = 50.0  # from this swept area on a manual shutdown button is asked for


@dataclass(frozen=True)
class TurbineCircuit:
    """What the machine's maker states about its output circuit; None is "not stated yet"."""

    kind: Kind = quantity("", "what the machine gives out")
    operating_v: float = quantity("V", "voltage at maximum output power", low=12, high=1000)
    max_current_a: float = quantity("A", "current at maximum output power", low=0.1, high=2000)
    open_circuit_v: float | None = quantity(
        "V", "voltage with the circuit open, highest speed", low=12, high=5000, default=None
    )
    short_circuit_a: float | None = quantity(
        "A", "lasting current with the brake switch closed", low=0, high=5000, default=None
    )
    insulation_v: float = quantity(
        "V", "rating of the conductors' insulation", low=300, high=2000, default=600
    )
    input_max_v: float | None = quantity(
        "V", "largest input voltage of rectifier, controller or inverter", low=12, high=5000, default=None
    )
    one_two_family: bool = quantity("", "on a one- or two-family dwelling", default=False)
    regulates_speed: bool | None = quantity("", "the circuit's load holds the rotor's speed", default=None)
    has_disconnect: bool = quantity("", "has a disconnect between turbine and controller", default=False)
    disconnect_accepted: bool = quantity(
        "", "the maker agrees in writing that it may be opened under way", default=False
    )
    brake: Brake = quantity("", "what stops the rotor without the grid", default="not known")
    rotor_diameter_ft: float | None = quantity("ft", "rotor diameter", low=1, high=300, default=None)
    tower_grounded: bool | None = quantity(
        "", "tower has electrodes of its own, bonded to the premises", default=None
    )
    shutdown_button: bool = quantity("", "manual shutdown button at the controller", default=False)


def wild_ac_current_a(power_w: float, volts: float, power_factor: float) -> float:
    """Line current of a 3-phase machine: P / (sqrt(3) V pf)."""
    return power_w / (math.sqrt(3) * volts * power_factor)


def required(
    key: str, title: str, met: bool | None, note: str, *, source: str, known: Known, unknown: str = ""
) -> Check:
    """A thing that must be there: none may be missing; not checked while it is not known."""
    if met is None:
        return not_checked(key, title, unknown or note, source=source, known=known)
    return compare(
        key,
        title,
        demand=0.0 if met else 1.0,
        capacity=0.0,
        unit="missing",
        note=note,
        source=source,
        known=known,
    )


def turbine_checks(circuit: TurbineCircuit, edition: str) -> list[Check]:
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
    return _volts(
        "turbine-insulation",
        "Turbine voltage on the insulation",
        circuit.open_circuit_v,
        circuit.insulation_v,
        f"of {circuit.insulation_v:g} V insulation",
        cite(edition, "maximum voltage"),
        known(edition, "maximum voltage"),
    )


def _input_voltage(circuit: TurbineCircuit, edition: str) -> Check:
    key, title = "turbine-input", "Turbine voltage on the equipment"
    if circuit.input_max_v is None:
        why = "largest input voltage of rectifier, controller or inverter is not given."
        return not_checked(key, title, why, source="equipment rating", known=Known.PRACTICE, unit="V")
    return _volts(
        key,
        title,
        circuit.open_circuit_v,
        circuit.input_max_v,
        f"of {circuit.input_max_v:g} V input",
        "equipment rating",
        Known.PRACTICE,
    )


def _dwelling(circuit: TurbineCircuit, edition: str) -> Check:
    return _volts(
        "turbine-dwelling",
        "Turbine voltage at a dwelling",
        circuit.open_circuit_v,
        DWELLING_V,
        f"of {DWELLING_V:g} V at a one- or two-family dwelling",
        cite(edition, "maximum voltage"),
        known(edition, "maximum voltage"),
    )


def _volts(
    key: str, title: str, volts: float | None, limit: float, of: str, source: str, how: Known
) -> Check:
    if volts is None:
        why = f"{of.removeprefix('of ')}: open-circuit voltage at the highest speed is not given."
        return not_checked(key, title, why, source=source, known=how, unit="V")
    return compare(
        key,
        title,
        demand=volts,
        capacity=limit,
        unit="V",
        note=f"{volts:g} {of}, circuit open at the highest speed.",
        source=source,
        known=how,
    )


def _disconnect(circuit: TurbineCircuit, edition: str) -> Check:
    """Opening the circuit of a machine whose load holds its speed lets the rotor run away."""
    key, title = "turbine-disconnect", "Turbine disconnect"
    sourced = by(edition, "disconnect")
    if circuit.regulates_speed is None:
        why = "not stated whether the output circuit holds the rotor's speed; opening it may cause overspeed."
        return not_checked(key, title, why, **sourced)
    if circuit.regulates_speed and circuit.has_disconnect and not circuit.disconnect_accepted:
        why = (
            "the output circuit holds the rotor's speed: opening a disconnect or breaker in it may cause "
            "overspeed. None is required; take it out, or have the maker's written word."
        )
        return not_checked(key, title, why, **sourced)
    if circuit.regulates_speed:
        note = (
            "opened only as the maker writes; the circuit holds the rotor's speed."
            if circuit.has_disconnect
            else "none, as the circuit holds the rotor's speed; brake the rotor first."
        )
        return required(key, title, True, note, **sourced)
    note = "provided." if circuit.has_disconnect else "none; one is required ahead of the premises wiring."
    return required(key, title, circuit.has_disconnect, note, **sourced)


def _brake(circuit: TurbineCircuit, edition: str) -> Check:
    return required(
        "turbine-brake",
        "Brake without the grid",
        None if circuit.brake == "not known" else True,
        f"{circuit.brake}; a utility outage also takes the load away.",
        **by(edition, "disabling"),
        unknown="what stops the rotor when the grid is away is not stated.",
    )


def _tower(circuit: TurbineCircuit, edition: str) -> Check:
    """The tower needs electrodes of its own and a bond to the premises."""
    return required(
        "tower-ground",
        "Tower grounding",
        circuit.tower_grounded,
        "tower on electrodes of its own and bonded to the premises; galvanized ones beside galvanized steel."
        if circuit.tower_grounded
        else "no electrode at the tower.",
        **by(edition, "tower ground"),
        unknown="electrodes at the tower and their bond to the premises are not stated.",
    )


def _shutdown(circuit: TurbineCircuit, edition: str) -> list[Check]:
    """A manual shutdown button from 50 square meters of swept area on, a rotor of 26.2 ft."""
    if circuit.rotor_diameter_ft is None:
        return []
    swept_m2 = math.pi * (circuit.rotor_diameter_ft * 0.3048) ** 2 / 4
    if swept_m2 < SHUTDOWN_SWEPT_M2:
        return []
    note = f"swept area {swept_m2:.0f} m² (a rotor of 26.2 ft or more): " + (
        "provided." if circuit.shutdown_button else "none given."
    )
    return [
        required(
            "turbine-shutdown",
            "Manual shutdown button",
            circuit.shutdown_button,
            note,
            **by(edition, "shutdown"),
        )
    ]
