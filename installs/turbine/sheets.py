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
        drawn = drawings(machine, inputs["hub_ft"], inputs["yaw_bolts"], balloons=False, for_print=True)
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
    return [
        ("Machine", f"{machine.name}{', serial ' + inputs['serial'] if inputs['serial'] else ''}"),
        ("Certificate", machine.certificate or "not given"),
        ("Class", machine.iec_class or "not given"),
        ("Rated power", _with(machine.rated_kw, "kW")),
        ("Rotor", f"{_with(machine.rotor_diameter_ft, 'ft')}, {machine.blades} blades"),
        ("Speed of operation", f"{_with(machine.speed_low_rpm)} to {_with(machine.speed_high_rpm, 'rpm')}"),
        ("Overspeed shutdown", _with(machine.overspeed_rpm, "rpm")),
        ("Cut-in, cut-out", f"{_with(machine.cut_in_mph)}, {_with(machine.cut_out_mph, 'mph')}"),
        ("Survival wind", _with(machine.survival_mph, "mph")),
        ("Greatest thrust", _with(machine.thrust_kip, "kip")),
        ("Head with rotor", _with(machine.head_weight_lb, "lb")),
        ("Gives out", machine.output),
        ("At maximum output", f"{_with(machine.output_v, 'V')}, {_with(machine.output_max_a, 'A')}"),
        ("Open circuit", _with(machine.open_circuit_v, "V")),
        ("Sound, rated at 60 m", _with(machine.sound_dba, "dBA")),
        ("Yaw-flange bolts", f"{bolts}, {_with(inputs['yaw_torque_ft_lb'], 'ft-lb')}"),
        ("Brake for the lift", inputs["brake_method"] or "not given"),
        ("Rotor lock", inputs["lock_method"] or "not given"),
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
