from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.inspection.models import Inspection, InspectionKind, MeterReading
from installs.people.models import Role, User
from installs.typed import RowForm, offer, offer_rows

DATE = forms.DateInput(attrs={"type": "date"})


class InspectionForm(RowForm[Inspection]):
    passed = forms.TypedChoiceField(
        choices=[("", ""), ("yes", "passed"), ("no", "did not pass")],
        coerce=lambda v: v == "yes",
        label="Answer",
    )
    corrections = forms.CharField(
        label="To be corrected, one per line",
        required=False,
        max_length=3000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    card = forms.FileField(label="Signed card, report or letter (PDF or photo)", required=False)

    class Meta:
        model = Inspection
        fields = ["kind", "inspector", "firm", "inspected_on", "passed", "number", "note", "engineer"]
        labels = {"engineer": "Engineer who accepts the concrete in writing"}
        widgets = {"inspected_on": DATE}

    def __init__(self, *args: Any, by: User, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        engineers = User.objects.filter(role=Role.ENGINEER, archived_on=None).order_by("full_name")
        offer_rows(self, "engineer", engineers)
        if by.role == Role.ENGINEER:
            self._of_the_engineer(by)

    def _of_the_engineer(self, by: User) -> None:
        """An engineer writes the acceptance and nothing else; what others found, the office records."""
        accepting = InspectionKind.CONCRETE
        offer(self, "kind", [(accepting.value, accepting.label)])
        offer_rows(self, "engineer", User.objects.filter(pk=by.pk))
        self.initial.update(kind=accepting, engineer=by, inspector=by.full_name, firm=by.firm_name)

    def clean_inspected_on(self) -> date:
        day: date = self.cleaned_data["inspected_on"]
        if not date(2000, 1, 1) <= day <= self.today:
            raise ValidationError("An inspection lies on a day up to today.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("kind") == InspectionKind.CONCRETE:
            return cleaned
        cleaned["engineer"] = None
        passed, proof = cleaned.get("passed"), cleaned.get("number") or cleaned.get("card")
        if passed and not proof:
            self.add_error("number", "By what card? Its number, or the card itself below.")
        if passed is False and not cleaned.get("corrections"):
            self.add_error("corrections", "What is to be corrected? One per line.")
        if passed and cleaned.get("corrections"):
            self.add_error(
                "corrections", "It passed, and yet something is to be corrected: one of them is wrong."
            )
        return cleaned

    def clean_corrections(self) -> list[str]:
        lines = [line.strip() for line in self.cleaned_data["corrections"].splitlines()]
        found = [line for line in lines if line]
        if any(len(line) > 300 for line in found):
            raise ValidationError("At most 300 letters a line.")
        return found


class ReadingForm(RowForm[MeterReading]):
    class Meta:
        model = MeterReading
        fields = ["read_on", "production_kwh", "import_kwh", "export_kwh", "note"]
        widgets = {"read_on": DATE}

    def __init__(self, *args: Any, last: MeterReading | None, today: date, **kwargs: Any) -> None:
        # it stands on one page with the inspection's form, which has a note too
        super().__init__(*args, **{**kwargs, "auto_id": "id_reading_%s"})
        self.last, self.today = last, today

    def clean(self) -> dict[str, Any]:
        """Registers only count up: a smaller number is a slip, or a new meter, which the note must say."""
        cleaned = super().clean() or {}
        day = cleaned.get("read_on")
        if day and not date(2000, 1, 1) <= day <= self.today:
            self.add_error("read_on", "A reading lies on a day up to today.")
        if self.last is None or cleaned.get("note"):
            return cleaned
        for name in ("production_kwh", "import_kwh", "export_kwh"):
            now, before = cleaned.get(name), getattr(self.last, name)
            if now is not None and before is not None and now < before:
                self.add_error(
                    name,
                    f"Less than {before:,.0f} on {self.last.read_on}. A new meter? Say so in the note.",
                )
        return cleaned
