from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.permits.models import LONGEST_DAYS, Permit, PermitKind
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
        if cleaned.get("granted_on") and not (
            cleaned.get("number") or cleaned.get("paper") or self.instance.file_id
        ):
            self.add_error("number", "In hand by what? Its number, or the paper below.")
        self._life(cleaned)
        return cleaned

    def _life(self, cleaned: dict[str, Any]) -> None:
        """A slip of the year lets a ticket live for a decade."""
        begins = next((d for n in ("valid_from", "granted_on", "asked_on") if (d := cleaned.get(n))), None)
        ends, most = cleaned.get("expires_on"), LONGEST_DAYS.get(cleaned.get("kind", ""))
        if begins is None or ends is None or most is None or cleaned.get("note"):
            return
        if (days := (ends - begins).days) > most:
            name = PermitKind(cleaned["kind"]).label
            self.add_error(
                "expires_on",
                f"That is {days:,} days; a {name} seldom lives longer than {most:,}. "
                "If it is so, say in the note who gives so long.",
            )

    def clean_asked_of(self) -> str:
        name: str = self.cleaned_data["asked_of"].strip()
        if not name:
            raise ValidationError("Who is asked?")
        return name
