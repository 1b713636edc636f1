from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from crew.plan.models import Absence, Crew, CrewDay
from installs.jobs.models import Job
from installs.jobs.phases import PHASES
from installs.people.models import User
from installs.typed import ChoiceOfRows, RowForm

DATE = forms.DateInput(attrs={"type": "date"})
FURTHEST = date(2100, 1, 1)
LONGEST_KEY = 18  # digits: less than 2**63


def sane_date(value: date) -> date:
    if not date(2000, 1, 1) <= value <= FURTHEST:
        raise ValidationError("A date of this century.")
    return value


class PeopleField(ChoiceOfRows[User]):
    """People by their keys; one too long for a key names nobody, where SQLite would refuse the question."""

    def clean(self, value: Any) -> Any:
        if any(len(str(key)) > LONGEST_KEY for key in value or ()):
            raise ValidationError("There is no such person.", code="invalid_choice")
        return super().clean(value)


class CrewDayForm(forms.Form):
    job = forms.ModelChoiceField(Job.objects.active())
    phase = forms.ChoiceField(choices=[(p.key, p.title) for p in PHASES])
    on = forms.DateField(label="Date", widget=DATE)
    crew = forms.ModelChoiceField(Crew.objects.filter(archived_on=None))
    people = PeopleField(User.objects.current(), required=False, label="People (blank = whole crew)")
    kind = forms.ChoiceField(choices=CrewDay.Kind.choices, initial=CrewDay.Kind.WORK)
    note = forms.CharField(max_length=200, required=False, label="First on site, what to bring")

    def clean_on(self) -> date:
        return sane_date(self.cleaned_data["on"])


class MoveForm(forms.Form):
    on = forms.DateField(label="New date", widget=DATE, required=False)
    why = forms.CharField(label="Reason", max_length=120)

    def clean_on(self) -> date | None:
        return sane_date(self.cleaned_data["on"]) if self.cleaned_data["on"] else None


class CrewForm(RowForm[Crew]):
    class Meta:
        model = Crew
        fields = ["name", "foreman", "people"]
        field_classes = {"people": PeopleField}


class AbsenceForm(RowForm[Absence]):
    class Meta:
        model = Absence
        fields = ["person", "first_on", "last_on", "why"]
        widgets = {"first_on": DATE, "last_on": DATE}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        first, last = cleaned.get("first_on"), cleaned.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", "This is before the first day.")
        return cleaned
