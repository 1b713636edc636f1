from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError

from installs.ground_station.models import EMPTY, GroundStationDesign
from installs.jobs.design_forms import DesignForm
from installs.jobs.rows import RowsField, columns_of
from sitecalc.ground_station.figures import RunRow


class RunsField(RowsField):
    """Each run is a block of labeled cells: a row of that many columns would not fit a page."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(columns_of(RunRow), blank_rows=1, **kwargs)
        self.widget.template_name = "installs/ground_station/runs.html"

    def clean(self, value: Any) -> list[dict[str, Any]]:
        rows = super().clean(value)
        names = [row["name"] for row in rows]
        twice = [name for name in dict.fromkeys(names) if names.count(name) > 1]
        if twice:
            raise ValidationError([f"Two runs are named {name}." for name in twice])
        return rows


class GroundStationForm(DesignForm[GroundStationDesign]):
    runs = RunsField(required=False, label="Runs of conductors")

    class Meta:
        model = GroundStationDesign
        fields: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        machine = self.instance.machine or {}
        for name, value in machine.items():
            if name in self.fields and value not in EMPTY:
                words = f"{value:g}" if isinstance(value, float) else str(value)
                if isinstance(value, bool):
                    words = "yes" if value else "no"
                self.fields[name].help_text = f"Empty: {words}, {machine['name']}."
