from __future__ import annotations

from typing import Any

from installs.equipment.models import Crane, LoadChart, Sling, SlingKind
from installs.jobs.design_forms import DesignForm
from installs.lift.models import PEOPLE, ROWS, LiftDesign
from installs.people.models import User
from installs.typed import ChoiceOfRow, offer_rows

# what to do on a morning when another one came, in the order of this page
OTHER_CRANE = (
    "Another crane came: add it with its load chart under Equipment, choose both here, save, release, sign."
)
RAISE_ONLY = ("foot", "pick_up_ft", "flat_radius_ft")


class ChartChoice(ChoiceOfRow[LoadChart]):
    def label_from_instance(self, chart: LoadChart) -> str:
        return f"{chart.crane.unit_number}: {chart}"


class LiftForm(DesignForm[LiftDesign]):
    """The schedule of inputs of a lift. What is left empty is taken from tower or turbine, or stays open."""

    chart = ChartChoice(LoadChart.objects.none(), required=False, label="Load chart")

    class Meta:
        model = LiftDesign
        fields = ROWS

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lift = self.instance
        # what a draft names stays choosable after it is archived; the gate says so
        self._offer("crane", Crane.objects.filter(archived_on=None), lift.crane_id)
        self.fields["crane"].help_text = OTHER_CRANE
        charts = LoadChart.objects.select_related("crane")
        self._offer("chart", charts.filter(archived_on=None, crane__archived_on=None), lift.chart_id)
        tags = Sling.objects.filter(archived_on=None)
        legs = ("near_sling", "far_sling")
        self._offer_alike(legs, tags.exclude(kind=SlingKind.SHACKLE))
        self._offer("shackle", tags.filter(kind=SlingKind.SHACKLE), lift.shackle_id)
        self._offer_alike(PEOPLE, User.objects.current())
        if not lift.is_tower:
            for name in RAISE_ONLY:
                del self.fields[name]

    def _offer_alike(self, names: tuple[str, ...], rows: Any) -> None:
        """The same rows at several fields, read once; what a draft names is among them."""
        kept = [pk for name in names if (pk := getattr(self.instance, f"{name}_id"))]
        offered = rows | rows.model._default_manager.filter(pk__in=kept) if kept else rows
        choices = [("", "---------"), *((row.pk, str(row)) for row in offered)]
        for name in names:
            field: Any = self.fields[name]
            field.queryset = offered
            field.choices = choices

    def _offer(self, name: str, rows: Any, kept: int | None) -> None:
        offer_rows(self, name, rows | rows.model._default_manager.filter(pk=kept) if kept else rows)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        crane, chart = cleaned.get("crane"), cleaned.get("chart")
        if chart and crane and chart.crane_id != crane.pk:
            self.add_error(
                "chart", f"This chart belongs to {chart.crane.unit_number}, not to {crane.unit_number}."
            )
        on, weather = cleaned.get("lift_on"), cleaned.get("weather_day")
        if on and weather and weather <= on:
            self.add_error("weather_day", "The weather day comes after the day of the lift.")
        near, far = cleaned.get("near_sling"), cleaned.get("far_sling")
        if near and far and near.pk == far.pk:
            self.add_error("far_sling", "Two legs have two tags.")
        return cleaned
