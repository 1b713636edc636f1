from __future__ import annotations

import math
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.files.services import bounded
from installs.jobs.design_forms import DesignForm
from installs.jobs.rows import MOST_ROWS, RowsField
from installs.site.airports import read_strips
from installs.site.balloons import BALLOONS
from installs.site.columns import MONTHLY, RUNWAYS, THINGS, TRENCH
from installs.site.models import SiteDesign
from sitecalc.site.airspace import Runway
from sitecalc.site.runways import runways_near


class MonthsField(RowsField):
    """One row of twelve means, or none."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(MONTHLY, blank_rows=1, **kwargs)

    def clean(self, value: Any) -> list[dict[str, Any]]:
        rows = super().clean(value)
        if len(rows) > 1:
            raise ValidationError("One row of twelve means.")
        return rows

    def prepare_value(self, value: Any) -> Any:
        # a row that is there leaves no room for a second
        self.widget.blank_rows = 0 if value else 1
        return value


class SiteForm(DesignForm):
    BALLOONS = BALLOONS

    things = RowsField(THINGS, required=False, label="What stands near")
    runways = RowsField(RUNWAYS, blank_rows=1, required=False, label="Runways and heliports")
    runways_csv = forms.FileField(
        required=False,
        label="Runways from a CSV file",
        help_text="runways.csv of OurAirports; those near the tower replace the rows above.",
    )
    monthly = MonthsField(required=False, label="Means by month, at the same height")
    trench = RowsField(TRENCH, blank_rows=1, required=False, label="Trench, from the tower through")

    class Meta:
        model = SiteDesign
        fields = [name for name in BALLOONS if name != "runways_csv"]
        widgets = {
            "access": forms.Textarea(attrs={"rows": 3, "cols": 14}),
            "soil": forms.Textarea(attrs={"rows": 3}),
        }
        help_texts = {
            "surveyed_ft": "All that stands within this distance is in the list.",
            "no_line_within_ft": "Walked and looked at; needed only where no line is in the list.",
            "property_multiple": "As the ordinance has it; 0 where it has none.",
            "dwelling_multiple": "0 where it has none.",
            "road_multiple": "0 where it has none.",
            "line_multiple": "Empty: 1.1 of the blade tip.",
            "base_half_ft": "Where the rule measures from the edge; 0 from the center.",
            "mean_mph": "At open ground of this site, with its source.",
            "exponent": "0.14 smooth, 0.20 crops and hedges, 0.25 wooded.",
            "temperature_f": "Empty: standard atmosphere.",
            "weibull_k": "2 where nothing better is known.",
            "determined_ft": "Above ground, in its determination of no hazard.",
            "frost_ft": "From the building official, with the source.",
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("runways_csv"):
            self._take_runways(cleaned)
        return cleaned

    def _take_runways(self, cleaned: dict[str, Any]) -> None:
        """Rows of the runways near the tower in place of those in the form."""
        latitude, longitude = cleaned.get("latitude_deg"), cleaned.get("longitude_deg")
        if latitude is None or longitude is None:
            name = "latitude_deg" if latitude is None else "longitude_deg"
            if name not in self.errors:
                self.add_error(name, "Is needed to find the runways near the tower.")
            return
        try:
            near = runways_near(read_strips(bounded(cleaned["runways_csv"])), latitude, longitude)
        except ValidationError as error:
            self.add_error("runways_csv", error)
            return
        cleaned["runways"] = [_row(runway) for runway in near[:MOST_ROWS]]


def _row(runway: Runway) -> dict[str, Any]:
    """Whole feet, never farther than found."""
    distance = None if runway.distance_ft is None else float(math.floor(runway.distance_ft))
    return {**vars(runway), "distance_ft": distance}
