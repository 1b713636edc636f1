"""The turbine's paper sheet and its line of the equipment list."""

from __future__ import annotations

from typing import Any

from installs.jobs.models import DesignRevision, Job
from installs.turbine.drawing import drawings
from installs.turbine.machine import Machine, machine_of
from installs.turbine.review import review_figures
from sitecalc.checks import readable


def turbine_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Front and side view, power curve, ratings, yaw-flange bolts, brake and lock."""
    inputs = revision.inputs
    found = review_figures(inputs)
    machine = found.machine
    drawn: dict[str, str] = {}
    if machine is not None:
        drawn = drawings(
            machine, inputs["hub_ft"], inputs["yaw_bolts"], balloons=False, for_print=True, curve_in=4.8
        )
    return {
        "title": "Turbine",
        "sheet": "M-1",
        "drawings": drawn,
        "checks": revision.checks,
        "lines": _lines(machine, inputs) if machine else [],
        "energy": found.results.energy if found.results else (),
        "energy_source": found.results.energy_source if found.results else "",
    }


def _lines(machine: Machine, inputs: dict[str, Any]) -> list[tuple[str, str]]:
    bolts = f"{inputs['yaw_bolts']}, {inputs['yaw_bolt_size']} in {inputs['yaw_bolt_grade']}"
    speeds = f"{_with(machine.speed_low_rpm)} to {_with(machine.speed_high_rpm, 'rpm')}"
    volts_and_amps = f"{_with(machine.output_v, 'V')}, {_with(machine.output_max_a, 'A')}"
    serial = f", serial {inputs['serial']}" if inputs["serial"] else ""
    iec_class = f", class {machine.iec_class}" if machine.iec_class else ""
    return [
        ("Machine", f"{machine.name}, {machine.rated_kw:g} kW{iec_class}{serial}"),
        ("Rotor", f"{_with(machine.rotor_diameter_ft, 'ft')}, {machine.blades} blades"),
        ("Turns at, shut down at", f"{speeds}, {_with(machine.overspeed_rpm, 'rpm')}"),
        ("Cut-in, cut-out", f"{_with(machine.cut_in_mph)}, {_with(machine.cut_out_mph, 'mph')}"),
        ("Survival wind", _with(machine.survival_mph, "mph")),
        ("Greatest thrust", _with(machine.thrust_kip, "kip")),
        ("Head with rotor", _with(machine.head_weight_lb, "lb")),
        ("Output", f"{machine.output}, at most {volts_and_amps}"),
        ("Open circuit", _with(machine.open_circuit_v, "V")),
        ("Sound, rated at 60 m", _with(machine.sound_dba, "dBA")),
        ("Yaw-flange bolts", f"{bolts}, {_with(inputs['yaw_torque_ft_lb'], 'ft-lb')}"),
    ]


def _with(value: float | None, unit: str = "") -> str:
    return "not given" if value is None else f"{readable(value)} {unit}".rstrip()


def equipment(revision: DesignRevision) -> list[dict[str, Any]]:
    """The machine as one line of the permit packet's equipment list."""
    machine = machine_of(revision.inputs["machine"])
    if machine is None:
        return []
    detail = f"{machine.rated_kw:g} kW, rotor {machine.rotor_diameter_ft:g} ft, {machine.output}"
    if machine.certificate:
        detail += f", {machine.certificate}"
    return [{"item": f"Wind turbine, {machine.name}", "detail": detail, "quantity": 1, "unit": "each"}]
