from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.equipment.charts import FEET, MPH, POUNDS, Units, read_chart
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, SlingKind, Wrench
from installs.files.services import bounded
from installs.typed import RowForm
from sitecalc.lift.chart import Rating, longer_carries_more

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
        labels = {"owner_firm": "Rented from (blank = ours)"}


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
        fields = ["tag", "kind", "rating_lb", "choker_lb", "basket_lb", "length_ft", "weight_lb"]

    def clean(self) -> dict[str, Any]:
        """A choker holds less than a plumb leg and a basket at most two: else the tag is misread."""
        cleaned = super().clean() or {}
        vertical, choker, basket = (cleaned.get(n) for n in ("rating_lb", "choker_lb", "basket_lb"))
        if cleaned.get("kind") == SlingKind.SHACKLE and (choker or basket):
            self.add_error("choker_lb" if choker else "basket_lb", "A shackle has one rating.")
        elif vertical and choker and choker > vertical:
            self.add_error("choker_lb", "This is more than the vertical rating.")
        elif vertical and basket and basket > 2 * vertical:
            self.add_error("basket_lb", "This is more than twice the vertical rating.")
        return cleaned


class RecordForm(RowForm[EquipmentRecord]):
    """An inspection or a calibration."""

    class Meta:
        model = EquipmentRecord
        fields = ["done_on", "expires_on", "done_by", "reference"]
        help_texts = {"reference": "As it stands on the paper. Without it nothing counts."}
        widgets = {"done_on": DAY, "expires_on": DAY}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        done, expires = cleaned.get("done_on"), cleaned.get("expires_on")
        if done and expires and expires < done:
            self.add_error("expires_on", "This is before the day it was done.")
        return cleaned


def _asked(units: Iterable[str]) -> list[tuple[str, str]]:
    """Nothing chosen beforehand: a page in tonnes is not taken for one in pounds."""
    return [("", "---------"), *((unit, unit) for unit in units)]


class ChartForm(RowForm[LoadChart]):
    """The figures come as a file or pasted; whichever is given, not both."""

    file = forms.FileField(label="Chart as CSV file", required=False)
    pasted = forms.CharField(
        label="or pasted",
        required=False,
        max_length=100_000,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        help_text="First line: radius_ft (or radius_m) and the boom lengths; then a line for each radius, "
        "blank where there is no rating. Or one figure a line: boom_ft, radius_ft, capacity_lb. A star "
        "beside a figure stays: it is one by the crane's strength.",
    )

    length_unit = forms.ChoiceField(label="Lengths of the page are in", choices=_asked(FEET))
    weight_unit = forms.ChoiceField(label="Its capacities are in", choices=_asked(POUNDS))
    gust = forms.FloatField(label="Gust it allows", min_value=1, max_value=100)
    gust_unit = forms.ChoiceField(label="That gust is in", choices=_asked(MPH))
    as_printed = forms.BooleanField(
        label="Read again: the page says so",
        required=False,
        help_text="Only where a longer boom is listed with more than a shorter one.",
    )

    class Meta:
        model = LoadChart
        fields = ["configuration", "page", "single_line_lb"]

    field_order = (
        "configuration", "page", "gust", "gust_unit", "single_line_lb", "length_unit", "weight_unit", "file",
        "pasted", "as_printed",
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        gust, unit = cleaned.get("gust"), cleaned.get("gust_unit")
        if gust is not None and unit:
            self._clean_gust(gust * MPH[unit])
        if "length_unit" not in cleaned or "weight_unit" not in cleaned:
            return cleaned
        units = Units(cleaned["length_unit"], cleaned["weight_unit"])
        self.instance.printed_in = units.in_words
        field, content = "pasted", cleaned.get("pasted", "").encode()
        try:
            if cleaned.get("file"):
                field = "file"
                content = bounded(cleaned["file"])
            if "pasted" not in self.errors and "file" not in self.errors:
                cleaned["ratings"] = read_chart(content, units)
        except ValidationError as error:
            self.add_error(field, error)
        asked = longer_carries_more(tuple(Rating(**row) for row in cleaned.get("ratings", ())))
        if asked and not cleaned.get("as_printed"):
            self.add_error("as_printed", [*asked[:3], "Read the page again; if it says so, tick this."])
        return cleaned

    def _clean_gust(self, mph: float) -> None:
        """In the range that the column has, as mph and never rounded up."""
        try:
            self.instance.gust_mph = LoadChart._meta.get_field("gust_mph").clean(
                math.floor(mph * 10 + 1e-6) / 10, self.instance
            )
        except ValidationError as error:
            self.add_error("gust", error)
