from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from crew.plan.forms import DATE, sane_date
from crew.plan.models import CraneBooking
from installs.equipment.models import Crane
from installs.typed import RowForm, offer_rows

MOST_DOLLARS = 1_000_000
STATES = [("requested", "requested"), ("confirmed", "confirmed")]


class BookingForm(RowForm[CraneBooking]):
    state = forms.ChoiceField(choices=STATES, initial="requested")
    dollars = forms.DecimalField(
        label="Cost, $", min_value=0, max_value=MOST_DOLLARS, decimal_places=2, required=False
    )

    class Meta:
        model = CraneBooking
        fields = ["crane", "first_on", "last_on", "cancel_by_on", "cancel_by_at", "phone", "note"]
        widgets = {
            "first_on": DATE,
            "last_on": DATE,
            "cancel_by_on": DATE,
            "cancel_by_at": forms.TimeInput(attrs={"type": "time"}),
        }

    field_order = [
        "crane", "first_on", "last_on", "state", "cancel_by_on", "cancel_by_at", "dollars", "phone", "note",
    ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "crane", Crane.objects.filter(archived_on=None))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in ("first_on", "last_on", "cancel_by_on"):
            if cleaned.get(name):
                try:
                    sane_date(cleaned[name])
                except forms.ValidationError as error:
                    self.add_error(name, error)
        first, last = cleaned.get("first_on"), cleaned.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", "This is before the first day.")
        if cleaned.get("cancel_by_at") and not cleaned.get("cancel_by_on"):
            self.add_error("cancel_by_on", "On which day is that hour?")
        return cleaned

    @property
    def cents(self) -> int | None:
        dollars: Decimal | None = self.cleaned_data["dollars"]
        return None if dollars is None else int(dollars * 100)


class CancelForm(forms.Form):
    why = forms.CharField(label="Reason", max_length=120)
