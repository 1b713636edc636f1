from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from crew.plan.models import Absence, Crew, CrewDay
from crew.plan.order import LIFTS, PLANNABLE
from installs.equipment.models import Crane
from installs.jobs.models import Job
from installs.people.models import User
from installs.typed import ChoiceOfRow, ChoiceOfRows, RowForm

DATE = forms.DateInput(attrs={"type": "date"})
FURTHEST = date(2100, 1, 1)
LONGEST_KEY = 18  # digits: less than 2**63


def sane_date(value: date) -> date:
    if not date(2000, 1, 1) <= value <= FURTHEST:
        raise ValidationError("A date of this century.")
    return value


def keys_of(texts: Iterable[str]) -> set[int]:
    """Keys as ticked boxes send them; what is none is passed over."""
    return {int(t) for t in texts if t.isascii() and t.isdigit() and len(t) <= LONGEST_KEY}


class PeopleField(ChoiceOfRows[User]):
    """People by their keys; one too long for a key names nobody, where SQLite would refuse the question."""

    def clean(self, value: Any) -> Any:
        if any(len(str(key)) > LONGEST_KEY for key in value or ()):
            raise ValidationError("There is no such person.", code="invalid_choice")
        return super().clean(value)


class RowField(ChoiceOfRow[Any]):
    """A row by its key; one too long for a key names nothing."""

    def clean(self, value: Any) -> Any:
        if value and len(str(value)) > LONGEST_KEY:
            raise ValidationError("There is no such row.", code="invalid_choice")
        return super().clean(value)


class CrewDayForm(forms.Form):
    job = forms.ModelChoiceField(Job.objects.active())
    phase = forms.ChoiceField(choices=[(p.key, p.title) for p in PLANNABLE])
    on = forms.DateField(label="Date", widget=DATE)
    crew = forms.ModelChoiceField(Crew.objects.filter(archived_on=None))
    people = PeopleField(User.objects.current(), required=False, label="People (blank = whole crew)")
    kind = forms.ChoiceField(choices=CrewDay.Kind.choices, initial=CrewDay.Kind.WORK)
    note = forms.CharField(max_length=200, required=False, label="First on site, what to bring")
    crane = RowField(
        Crane.objects.filter(archived_on=None), required=False, label="Crane of a lift (blank = its plan's)"
    )

    def clean_on(self) -> date:
        return sane_date(self.cleaned_data["on"])


class MoveForm(forms.Form):
    on = forms.DateField(label="New date", widget=DATE, required=False)
    why = forms.CharField(label="Reason", max_length=120)

    def clean_on(self) -> date | None:
        return sane_date(self.cleaned_data["on"]) if self.cleaned_data["on"] else None


class StrikeForm(forms.Form):
    why = forms.CharField(label="Reason", max_length=120)


class BlownOffForm(forms.Form):
    why = forms.CharField(label="Reason", max_length=120, initial="blown off")


class WhoForm(forms.Form):
    """Who goes, with what: the day itself stays."""

    crew = RowField(Crew.objects.filter(archived_on=None))
    people = PeopleField(User.objects.current(), required=False, label="People (blank = whole crew)")
    crane = RowField(Crane.objects.filter(archived_on=None), required=False)
    note = forms.CharField(max_length=200, required=False, label="First on site, what to bring")

    def __init__(self, data: Any = None, *, day: CrewDay) -> None:
        stands = {
            "crew": day.crew_id,
            "people": list(day.people.all()),
            "crane": day.crane_id,
            "note": day.note,
        }
        super().__init__(data, initial=stands)
        if day.phase not in LIFTS:
            del self.fields["crane"]


class ClosedForm(forms.Form):
    job = RowField(Job.objects.active())
    first_on = forms.DateField(label="First day", widget=DATE)
    last_on = forms.DateField(label="Last day", widget=DATE)
    why = forms.CharField(label="Why", max_length=80)

    def clean_first_on(self) -> date:
        return sane_date(self.cleaned_data["first_on"])

    def clean_last_on(self) -> date:
        last, first = sane_date(self.cleaned_data["last_on"]), self.cleaned_data.get("first_on")
        if first and last < first:
            raise ValidationError("This is before the first day.")
        return last


class BackForm(forms.Form):
    """How an absence ends: early, or not at all."""

    back_on = forms.DateField(label="Back on", widget=DATE)

    def clean_back_on(self) -> date:
        return sane_date(self.cleaned_data["back_on"])


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
