from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.equipment.charts import read_chart
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.files.services import bounded
from installs.typed import RowForm

DAY = forms.DateInput(attrs={"type": "date"})


class CraneForm(RowForm[Crane]):
    class Meta:
        model = Crane
        fields = [
            "name",
            "unit_number",
            "owner_firm",
            "weight_lb",
            "pin_height_ft",
            "pin_behind_ft",
            "boom_depth_ft",
            "block_height_ft",
            "two_block_ft",
            "across_ft",
            "along_ft",
            "float_ft",
            "tail_swing_ft",
        ]


class WrenchForm(RowForm[Wrench]):
    class Meta:
        model = Wrench
        fields = ["serial", "name", "low_ft_lb", "high_ft_lb"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        low, high = cleaned.get("low_ft_lb"), cleaned.get("high_ft_lb")
        if low is not None and high is not None and high <= low:
            self.add_error("high_ft_lb", "The range ends above where it begins.")
        return cleaned


class SlingForm(RowForm[Sling]):
    class Meta:
        model = Sling
        fields = ["tag", "kind", "rating_lb", "length_ft", "weight_lb"]


class RecordForm(RowForm[EquipmentRecord]):
    """An inspection or a calibration."""

    class Meta:
        model = EquipmentRecord
        fields = ["done_on", "expires_on", "done_by", "reference"]
        widgets = {"done_on": DAY, "expires_on": DAY}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        done, expires = cleaned.get("done_on"), cleaned.get("expires_on")
        if done and expires and expires < done:
            self.add_error("expires_on", "This is before the day it was done.")
        return cleaned


class ChartForm(RowForm[LoadChart]):
    """The figures come as a file or pasted; whichever is given, not both."""

    file = forms.FileField(label="Chart as CSV file", required=False)
    pasted = forms.CharField(
        label="or pasted",
        required=False,
        max_length=100_000,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        help_text="First line: radius_ft and the boom lengths; then a line for each radius, blank where "
        "there is no rating. Or one figure a line: boom_ft, radius_ft, capacity_lb.",
    )

    class Meta:
        model = LoadChart
        fields = ["configuration", "page", "gust_mph", "single_line_lb"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        field, content = "pasted", cleaned.get("pasted", "").encode()
        try:
            if cleaned.get("file"):
                field = "file"
                content = bounded(cleaned["file"])
            if "pasted" not in self.errors and "file" not in self.errors:
                cleaned["ratings"] = read_chart(content)
        except ValidationError as error:
            self.add_error(field, error)
        return cleaned
