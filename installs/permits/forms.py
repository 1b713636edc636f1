from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.permits.models import Permit
from installs.typed import RowForm

DAYS = (
    "asked_on",
    "asked_again_on",
    "promised_on",
    "granted_on",
    "refused_on",
    "valid_from",
    "expires_on",
    "withdrawn_on",
)


class PermitForm(RowForm[Permit]):
    """One line of what is owed. Dates of the past stay as they were asked; a renewal is a new line."""

    paper = forms.FileField(label="The paper itself (PDF or photo)", required=False)

    class Meta:
        model = Permit
        fields = ["kind", "asked_of", *DAYS, "number", "note"]
        widgets = {name: forms.DateInput(attrs={"type": "date"}) for name in DAYS}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in DAYS:
            value = cleaned.get(name)
            if value and not date(2000, 1, 1) <= value <= date(2100, 1, 1):
                self.add_error(name, "A date of this century.")
        if cleaned.get("granted_on") and cleaned.get("refused_on"):
            self.add_error("refused_on", "It cannot be both in hand and refused.")
        first, last = cleaned.get("valid_from"), cleaned.get("expires_on")
        if first and last and last < first:
            self.add_error("expires_on", "This is before the first day it is valid.")
        if cleaned.get("kind") == "locate" and cleaned.get("granted_on") and not last:
            self.add_error(
                "expires_on", "A locate ticket's last day is needed; without it the ticket does not count."
            )
        return cleaned

    def clean_asked_of(self) -> str:
        name: str = self.cleaned_data["asked_of"].strip()
        if not name:
            raise ValidationError("Who is asked?")
        return name
