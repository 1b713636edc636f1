from __future__ import annotations

import math
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.files.services import bounded
from installs.jobs.design_forms import DesignForm
from installs.jobs.rows import MOST_ROWS, RowsField, columns_of
from installs.site.airports import read_strips
from installs.site.models import SiteDesign
from sitecalc.site.figures import MonthsRow, Runway
from sitecalc.site.runways import runways_near


class MonthsField(RowsField):
    """One row of twelve means, or none."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(columns_of(MonthsRow), blank_rows=1, **kwargs)

    def clean(self, value: Any) -> list[dict[str, Any]]:
        rows = super().clean(value)
        if len(rows) > 1:
            raise ValidationError("One row of twelve means.")
        return rows

    def prepare_value(self, value: Any) -> Any:
        # a row that is there leaves no room for a second
        self.widget.blank_rows = 0 if value else 1
        return value


class SiteForm(DesignForm[SiteDesign]):
    EXTRA = {"runways_csv": 6}

    runways_csv = forms.FileField(
        required=False,
        label="Runways from a CSV file",
        help_text="runways.csv of OurAirports; those near the tower replace the rows above.",
    )
    monthly = MonthsField(required=False, label="Means by month, at the same height")

    class Meta:
        model = SiteDesign
        fields: tuple[str, ...] = ()

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
        if len(near) > MOST_ROWS:
            self.add_error(
                "runways_csv", f"{len(near)} runways are near the tower; the table holds {MOST_ROWS}."
            )
            return
        cleaned["runways"] = [_row(runway) for runway in near]


def _row(runway: Runway) -> dict[str, Any]:
    """Whole feet, never farther than found."""
    distance = None if runway.distance_ft is None else float(math.floor(runway.distance_ft))
    return {**vars(runway), "distance_ft": distance}
