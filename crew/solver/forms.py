from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from crew.plan.chain import USUAL
from crew.plan.forms import DATE, LONGEST_KEY, RowField, sane_date
from crew.solver.gathering import Terms
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.typed import ChoiceOfRows

MOST_FREE = 5  # days kept free behind one lift
SEASON = 400  # days: no further is a plan made


class JobsField(ChoiceOfRows[Job]):
    """Jobs by their keys; one too long for a key names none, where SQLite would refuse the question."""

    def clean(self, value: Any) -> Any:
        if any(len(str(key)) > LONGEST_KEY for key in value or ()):
            raise ValidationError("There is no such job.", code="invalid_choice")
        return super().clean([key for key in value or () if key])  # a page of ours carries an empty one on


class SeasonForm(forms.Form):
    """Which jobs, until when."""

    jobs = JobsField(Job.objects.active(), widget=forms.CheckboxSelectMultiple)
    until = forms.DateField(
        label="Until", widget=DATE, help_text="The day by which a job without a promised date is wanted."
    )
    first = forms.DateField(label="Not before", widget=DATE, required=False)
    free = forms.IntegerField(
        label="Weather days after each lift", min_value=0, max_value=MOST_FREE, initial=1
    )
    winter_free = forms.IntegerField(
        label="The same, of a lift from November to March", min_value=0, max_value=MOST_FREE, initial=2
    )

    def __init__(self, data: Any = None, *, today: date, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.today = today

    def clean_until(self) -> date:
        until = sane_date(self.cleaned_data["until"])
        if not 0 <= (until - self.today).days <= SEASON:
            raise ValidationError(f"A day from today to {SEASON} days ahead.")
        return until

    def clean_first(self) -> date | None:
        first: date | None = self.cleaned_data["first"]
        if first and (sane_date(first) - self.today).days > SEASON:
            raise ValidationError(f"At most {SEASON} days ahead.")
        return first

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("first") and cleaned.get("until") and cleaned["first"] > cleaned["until"]:
            self.add_error("first", "This is after the last day.")
        return cleaned

    @property
    def terms(self) -> Terms:
        given = self.cleaned_data
        return Terms(
            until=given["until"], first=given["first"], free=given["free"], winter_free=given["winter_free"]
        )

    def figures(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name != "jobs"]


class RepairForm(forms.Form):
    """What happened. Absences and cranes that were cancelled are known; a slip is said here."""

    why = forms.CharField(label="What happened, in a line", max_length=120)
    job = RowField(Job.objects.active(), label="What slipped: job", required=False, empty_label="-")
    phase = forms.ChoiceField(
        label="Work", choices=[("", "-"), *((key, BY_KEY[key].title) for key in USUAL)], required=False
    )
    not_before = forms.DateField(label="Not before", widget=DATE, required=False)

    def __init__(self, data: Any = None, *, today: date, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.today = today

    def clean_not_before(self) -> date | None:
        on: date | None = self.cleaned_data["not_before"]
        if on and not 0 <= (sane_date(on) - self.today).days <= SEASON:
            raise ValidationError(f"A day from today to {SEASON} days ahead.")
        return on

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        names = ("job", "phase", "not_before")
        if any(cleaned.get(name) for name in names):
            for name in names:
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, "Job, work and date belong together.")
        return cleaned

    @property
    def slipped(self) -> tuple[int, str, date] | None:
        given = self.cleaned_data
        return (given["job"].pk, given["phase"], given["not_before"]) if given.get("job") else None


class PromiseForm(forms.Form):
    job = RowField(Job.objects.active())
    on = forms.DateField(label="Promised for", widget=DATE, required=False, help_text="Blank takes it back.")

    def clean_on(self) -> date | None:
        on = self.cleaned_data["on"]
        return sane_date(on) if on else None
