"""Which of the crew days are asked for."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from django import forms

from crew.morning.forms import ScheduleForm
from crew.plan.forms import DATE, RowField, sane_date
from crew.plan.models import Crew, CrewDay
from crew.plan.order import PLANNABLE
from installs.jobs.models import Job
from installs.people.models import User

PHASES = [("", "any"), *((p.key, p.title) for p in PLANNABLE)]


class DayFilter(ScheduleForm):
    of_job = RowField(Job.objects.active(), label="Job", required=False, empty_label="any")
    of_crew = RowField(Crew.objects.filter(archived_on=None), label="Crew", required=False, empty_label="any")
    of_person = RowField(User.objects.current(), label="Person", required=False, empty_label="any")
    of_phase = forms.ChoiceField(label="Phase", choices=PHASES, required=False)

    field_order = ["of_job", "of_crew", "of_person", "of_phase", "first", "over"]

    @property
    def narrows(self) -> bool:
        """Whether some days are left out."""
        return any(name != "over" for name in self.asked)

    def days(self, days: Iterable[CrewDay], today: date) -> list[CrewDay]:
        """Of these the ones asked for, from the day asked on, else from today."""
        first = self.read("first") or today
        job, crew, person = (self.read(name) for name in ("of_job", "of_crew", "of_person"))
        phase = self.read("of_phase")
        return [
            day
            for day in days
            if day.on >= first
            and (job is None or day.job_id == job.pk)
            and (crew is None or day.crew_id == crew.pk)
            and (phase is None or day.phase == phase)
            and (person is None or person.pk in {p.pk for p in day.people.all()})
        ]


class WeekForm(forms.Form):
    week = forms.DateField(label="Week of", widget=DATE, required=False)

    def clean_week(self) -> date | None:
        on: date | None = self.cleaned_data["week"]
        return sane_date(on) if on else None

    def monday(self, today: date) -> date:
        on = (None if self.errors else self.cleaned_data.get("week")) or today
        return on - timedelta(days=on.weekday())
