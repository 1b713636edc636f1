"""An invented ground station in which every check passes, and the form's data as a browser posts them."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from django import forms

from installs.ground_station.forms import GroundStationForm
from installs.ground_station.models import GroundStationDesign
from installs.jobs.models import Job
from installs.jobs.old_page import page_of
from installs.jobs.rows import RowsField

RISER: dict[str, Any] = {
    "name": "Tower riser",
    "side": "turbine to inverter",
    "origin": "nacelle",
    "end": "tower base",
    "length_ft": 95.0,
    "size": "4",
    "metal": "copper",
    "insulation": "THWN-2",
    "ground_size": "4",
    "conduit": "RMC",
    "trade_size": "1-1/4",
    "location": "not buried",
    "vertical_ft": 90.0,
    "support_ft": 45.0,
}
TRENCH = RISER | {
    "name": "Trench",
    "origin": "tower base",
    "end": "rectifier",
    "length_ft": 240.0,
    "conduit": "PVC 40",
    "location": "open ground",
    "cover_in": 24.0,
    "vertical_ft": None,
    "support_ft": None,
}
HOUSE = RISER | {
    "name": "Inverter output",
    "side": "inverter to service",
    "origin": "inverter",
    "end": "panel",
    "length_ft": 40.0,
    "neutral": "yes",
    "ground_size": "6",
    "conduit": "EMT",
    "breaker_a": 60.0,
    "interrupting_a": 22000.0,
    "vertical_ft": None,
    "support_ft": None,
}
FIGURES: dict[str, Any] = {
    "turbine_kind": "wild AC, 3-phase",
    "turbine_v": 300.0,
    "turbine_max_a": 24.0,
    "turbine_open_v": 450.0,
    "turbine_short_a": 30.0,
    "regulates_speed": True,
    "brake": "short-circuit switch",
    "rotor_diameter_ft": 23.0,
    "tower_grounded": True,
    "rectifier": "Plainfield rectifier 12",
    "input_max_v": 600.0,
    "inverter": "Plainfield inverter 10",
    "inverter_listed": True,
    "inverter_a": 41.7,
    "inverter_fault_a": 60.0,
    "backfeed_a": 0.0,
    "runs": [RISER, TRENCH, HOUSE],
    "disconnects": [
        {
            "name": "Utility disconnect",
            "rating_a": 60.0,
            "withstand_a": 22000.0,
            "fused": "yes",
            "fuse_a": 60.0,
            "lockable": "yes",
            "utility": "yes",
        }
    ],
    "panel_bus_a": 200.0,
    "panel_main_a": 175.0,
    "main_interrupting_a": 22000.0,
    "breaker_position": "opposite end from main",
    "surge": "Type 2",
    "service_kva": 25.0,
    "service_z_pct": 1.8,
    "service_ft": 60.0,
}


def make_station(job: Job, **changes: Any) -> GroundStationDesign:
    return GroundStationDesign.objects.create(job=job, **{**deepcopy(FIGURES), **changes})


def posted(draft: GroundStationDesign, **changes: Any) -> dict[str, Any]:
    """The form of ``draft`` as a browser sends it back; ``changes`` by the names of the inputs."""
    form = GroundStationForm(instance=draft)
    data: dict[str, Any] = {**page_of(draft)}
    for name, field in form.fields.items():
        value = form.get_initial_for_field(field, name)
        if isinstance(field, RowsField):
            data |= _rows(name, field, value)
        elif isinstance(field, forms.NullBooleanField):
            data[name] = {True: "true", False: "false"}.get(value, "unknown")
        elif isinstance(field, forms.BooleanField):
            data |= {name: "on"} if value else {}
        else:
            data[name] = "" if value is None else value
    return {key: value for key, value in {**data, **changes}.items() if value is not None}


def _rows(name: str, field: RowsField, rows: list[dict[str, Any]]) -> dict[str, Any]:
    cells = {}
    for index, row in enumerate([*(rows or []), {}]):
        for column in field.columns:
            value = row.get(column.name)
            cells[f"{name}-{index}-{column.name}"] = "" if value is None else value
    return cells
