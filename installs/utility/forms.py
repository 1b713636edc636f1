from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.checklists.asking import AskingForm
from installs.typed import RowForm
from installs.utility.models import ApplicationLine, UtilityApplication, UtilityProfile, extra_days
from installs.utility.standing import GRANTS, Standing
from sitecalc.utility.progress import State, impossible, unusual

DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
OF_LINE = (
    "peak_kw", "before_kw", "circuit", "network_kw", "network_before_kw", "primary_v", "line_fault_a",
    "fault_before_a", "device_a", "device_fault_a", "secondary", "shared_before_kw", "across",
)  # fmt: skip


class ApplicationForm(RowForm[UtilityApplication]):
    letter = forms.FileField(
        label="Account holder’s letter to the agent (PDF or photo)",
        required=False,
        help_text="Where an agent signs.",
    )

    class Meta:
        model = UtilityApplication
        fields = [
            "billed_name", "account", "meter_number", "service_address", "signer", "signer_name", "firmware",
            "ac_kw", "listing", "certificate", "category", "export_kw", "load_kw", "disconnect_place",
            "in_service_on", "insurance", *OF_LINE,
        ]  # fmt: skip
        widgets = {"in_service_on": DATE}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        power, export = cleaned.get("ac_kw"), cleaned.get("export_kw")
        if power is not None and export is not None and export > power * (1 + 1e-9):
            self.add_error("export_kw", f"More than the AC rating of {power:g} kW cannot be exported.")
        return cleaned

    @property
    def own(self) -> list[forms.BoundField]:
        return [field for field in self if field.name not in OF_LINE and field.name != "letter"]

    @property
    def of_line(self) -> list[forms.BoundField]:
        return [self[name] for name in OF_LINE]


class LineForm(AskingForm, RowForm[ApplicationLine]):
    """One state. What cannot be is refused at its field, what is hardly so is asked again."""

    paper = forms.FileField(label="The paper itself (PDF or photo)", required=False)

    class Meta:
        model = ApplicationLine
        fields = ["state", "on", "by_whom", "number", "words"]
        widgets = {"on": DATE, "words": forms.Textarea(attrs={"rows": 2})}

    def __init__(self, *args: Any, standing: Standing, **kwargs: Any) -> None:
        super().__init__(*args, **{**kwargs, "auto_id": "id_line_%s"})
        self.standing = standing

    def clean_on(self) -> date:
        day: date = self.cleaned_data["on"]
        if not date(2000, 1, 1) <= day <= self.standing.today:
            raise ValidationError("A day up to today: what is recorded has happened.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        state, on = cleaned.get("state"), cleaned.get("on")
        if not state or not on:
            return cleaned
        if fault := impossible(State(state), on, self.standing.happened):
            self.add_error("on", fault)
        elif words := unusual(State(state), on, self.standing.happened):
            self.ask("state", f"{words} If it is so, press once more.")
        if State(state) in GRANTS and not (cleaned.get("number") or cleaned.get("paper")):
            self.add_error("number", "By what paper? Its number, or the paper itself below.")
        if state == State.INCOMPLETE and not cleaned.get("words"):
            self.add_error("words", "What is missing?")
        return cleaned


class ProfileForm(RowForm[UtilityProfile]):
    class Meta:
        model = UtilityProfile
        fields = [
            "name", "acknowledge_days", "complete_days", "screen_days", "witness_days", "days_off", "source",
            "most_kw", "section_pct", "network_pct", "network_most_kw", "fault_pct", "interrupting_pct",
            "shared_most_kw", "imbalance_pct",
        ]  # fmt: skip
        widgets = {"days_off": forms.Textarea(attrs={"rows": 4})}

    def clean_name(self) -> str:
        name: str = " ".join(self.cleaned_data["name"].split())
        others = UtilityProfile.objects.exclude(pk=self.instance.pk)
        if others.filter(name__iexact=name).exists():
            raise ValidationError("This utility has a profile already.")
        return name

    def clean_days_off(self) -> str:
        text: str = self.cleaned_data["days_off"]
        extra_days(text)
        return text

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in ("acknowledge_days", "complete_days", "screen_days", "witness_days"):
            if (days := cleaned.get(name)) is not None and not 1 <= days <= 250:
                self.add_error(name, "1 to 250 business days, or empty where it is not known.")
        return cleaned
