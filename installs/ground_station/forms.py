from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.ground_station.columns import DISCONNECT_COLUMNS, RUN_COLUMNS
from installs.ground_station.models import EMPTY, GroundStationDesign
from installs.jobs.design_forms import DesignForm
from installs.jobs.rows import RowsField

# balloons on the one-line, by what they stand at; several figures may share one; 0 has none
_BALLOONS: dict[int, tuple[str, ...]] = {
    0: ("edition", "one_two_family"),
    1: (
        "turbine_kind", "turbine_v", "turbine_max_a", "turbine_open_v", "turbine_short_a", "turbine_hz",
        "turbine_pf", "rotor_diameter_ft", "regulates_speed", "tower_grounded",
    ),
    2: ("brake", "shutdown_button"),
    3: ("turbine_disconnect", "disconnect_accepted"),
    4: ("rectifier", "input_max_v", "insulation_v"),
    5: (
        "inverter", "inverter_listed", "inverter_system", "inverter_v", "inverter_a", "inverter_fault_a",
        "backfeed_a",
    ),
    6: ("surge",),
    7: ("production_meter",),
    8: (
        "connection", "panel_bus_a", "panel_main_a", "main_interrupting_a", "breaker_position",
        "breakers_sum_a", "tap_ft",
    ),
    9: (
        "electrode", "electrode_size", "rods", "rod_length_ft", "rod_spacing_ft", "electrode_ft",
        "electrode_ohm",
    ),
    10: ("service_ft", "service_size", "service_metal", "service_sets", "service_high_pct", "rise_limit_pct"),
    11: ("service_kva", "service_z_pct", "service_x_over_r"),
    12: ("runs",),
    13: ("disconnects",),
}  # fmt: skip

HELP = {
    "turbine_max_a": "At maximum output power, from the maker; not the rated current.",
    "turbine_open_v": "With the circuit open at the highest speed.",
    "turbine_short_a": "What flows as long as the brake switch is closed.",
    "regulates_speed": "If yes, opening the circuit may let the rotor run away.",
    "inverter_fault_a": "From its data sheet.",
    "backfeed_a": "From its data sheet; 0 if it cannot.",
    "breakers_sum_a": "Loads and sources, for the sum rule.",
    "service_kva": "Ask the utility.",
    "service_high_pct": "Of nominal; 105 is the top of range A.",
}


class RunsField(RowsField):
    """Each run is a block of labeled cells: a row of that many columns would not fit a page."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(RUN_COLUMNS, blank_rows=1, **kwargs)
        self.widget.template_name = "installs/ground_station/runs.html"

    def clean(self, value: Any) -> list[dict[str, Any]]:
        rows = super().clean(value)
        faults = []
        names: set[str] = set()
        for row in rows:
            if row["name"] in names:
                faults.append(f"Two runs are named {row['name']}.")
            names.add(row["name"])
            faults += [
                f"{row['name']}: {column} is a whole number."
                for column in ("sets", "carrying")
                if row.get(column) is not None and row[column] != int(row[column])
            ]
        if faults:
            raise ValidationError(faults)
        return rows


class GroundStationForm(DesignForm):
    BALLOONS = {name: number for number, names in _BALLOONS.items() for name in names}

    runs = RunsField(required=False, label="Runs of conductors")
    disconnects = RowsField(DISCONNECT_COLUMNS, blank_rows=1, required=False, label="Disconnects")

    class Meta:
        model = GroundStationDesign
        exclude = ["job", "notes", "typed", "changed_at", "changed_by"]
        help_texts = HELP
        labels = {"inverter": "Inverter, make and type", "rectifier": "Rectifier or controller"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, value in (self.instance.machine or {}).items():
            if name in self.fields and value not in EMPTY:
                said = {True: "yes", False: "no"}.get(
                    value, f"{value:g}" if isinstance(value, float) else value
                )
                self.fields[name].help_text = f"Empty: {said}, {self.instance.machine['name']}."
        for field in self.fields.values():
            if isinstance(field, forms.NullBooleanField):
                field.widget = forms.NullBooleanSelect()
                field.widget.choices = [("unknown", "not known"), ("true", "yes"), ("false", "no")]
