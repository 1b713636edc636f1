from __future__ import annotations

from typing import Any

from django import forms

from installs.firm.models import Contact, ContactKind
from installs.people.models import Firm
from installs.typed import RowForm, offer


class FirmForm(RowForm[Firm]):
    mark_file = forms.FileField(
        label="Mark (logo), a picture",
        required=False,
        help_text="On the title sheet of packets; a new one replaces it on papers ordered from then on.",
    )

    class Meta:
        model = Firm
        fields = [
            "name",
            "town",
            "license_number",
            "phone",
            "mail",
            "insurer",
            "policy",
            "insured_to",
            "stop_word",
            "critical_percent",
            "most_percent",
        ]
        widgets = {"insured_to": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        labels = {
            "critical_percent": "Critical lift at, percent of chart",
            "most_percent": "Stop limit, percent of chart",
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        critical, most = cleaned.get("critical_percent"), cleaned.get("most_percent")
        if critical is not None and most is not None and most < critical:
            self.add_error("most_percent", "No lift above a limit that is under the critical lift's.")
        return cleaned


OF_A_JOB = (ContactKind.OWNER, ContactKind.LANDOWNER, ContactKind.NEIGHBOR)


class ContactForm(RowForm[Contact]):
    """``of_job``: of one job, or the firm's own list that every job is offered."""

    class Meta:
        model = Contact
        fields = ["kind", "name", "person", "phone", "mail", "county", "note"]
        help_texts = {"phone": "Phones dial it from the day sheet: 701-555-0160 x 4."}

    def __init__(self, *args: Any, of_job: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kinds = [(k.value, k.label) for k in ContactKind if of_job or k not in OF_A_JOB]
        offer(self, "kind", kinds)
        if of_job:
            del self.fields["county"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not (cleaned.get("phone") or cleaned.get("mail")):
            self.add_error("phone", "A phone or a mail address: else there is no way to reach them.")
        return cleaned
