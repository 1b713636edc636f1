"""The turbine and its yaw-flange bolts for the material list, from a released design."""

from __future__ import annotations

from typing import Any

from installs.jobs.material_lines import Line
from installs.turbine.machine import machine_of

SPARE_BOLTS = 2  # common practice, no source


def lines(revision: Any) -> list[Line]:
    inputs = revision.inputs
    machine = machine_of(inputs["machine"])
    if machine is None:
        return []
    weight = f"head with rotor {machine.head_weight_lb:,.0f} lb, rotor {machine.rotor_diameter_ft:g} ft"
    bolt = f"{inputs['yaw_bolt_size']} in, {inputs['yaw_bolt_grade']}"
    return [
        Line("turbine lift", f"Turbine, {machine.name}", weight, 1, "each"),
        *(
            Line(
                "turbine lift",
                f"Yaw-flange {what}",
                bolt,
                inputs["yaw_bolts"],
                "each",
                SPARE_BOLTS,
                good=f"Yaw-flange {what}, {bolt}",
            )
            for what in ("bolts", "nuts", "washers")
        ),
    ]
