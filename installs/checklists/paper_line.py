"""What every paper that is keyed in has: a head that holds for all lines, and a time and a person a line."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from installs.checklists.asking import AskingForm
from installs.jobs.models import Job
from installs.measures import plain_words, sane_day
from installs.people.models import User
from installs.typed import offer

CLOCKS = ["%H:%M", "%H%M", "%H.%M", "%I:%M %p", "%I:%M%p"]


def clock_field() -> forms.TimeField:
    return forms.TimeField(
        required=False,
        input_formats=CLOCKS,
        error_messages={"invalid": "Write the time as 14:05 or 1405."},
    )


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"})


def writers(job: Job, user: User) -> dict[str, User]:
    """Who may have written a paper of this job, by what their choice is called."""
    members = [m.person for m in job.members.select_related("person")]
    return {str(p.pk): p for p in [user, *members]}


class HeadForm(forms.Form):
    """What stands at the head of the sheet and holds for every line."""

    on = forms.DateField(label="Date on the paper", validators=[sane_day], widget=day_input())
    by = forms.ChoiceField(label="Who wrote it")

    def __init__(self, *args: Any, job: Job, people: Mapping[str, User], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = job.local(timezone.now()).date()
        self.fields["on"].initial = self.today
        offer(self, "by", [(key, person.full_name) for key, person in people.items()])

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"]
        if on > self.today:
            raise ValidationError("This day has not come yet.")
        return on


class PaperLine(AskingForm):
    """One line. Nothing typed: nothing recorded. ``who`` left empty is who wrote the line above."""

    CARRIED: tuple[str, ...] = ("who",)  # what alone is nothing
    AS_ABOVE = "as above"  # what an empty ``who`` means

    clock = clock_field()
    who = forms.ChoiceField(required=False)
    note = forms.CharField(required=False, max_length=800, validators=[plain_words])

    def __init__(self, *args: Any, people: Mapping[str, User], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(
            self,
            "who",
            [
                ("", self.AS_ABOVE),
                *((k, p.initials) for k, p in people.items()),
            ],
        )

    @property
    def needs_clock(self) -> bool:
        return True

    @property
    def filled(self) -> bool:
        names = [self.add_prefix(name) for name in self.fields if name not in self.CARRIED]
        return any(str(self.data.get(name, "")).strip() or name in self.files for name in names)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self.needs_clock and "clock" not in self.errors and cleaned.get("clock") is None:
            self.add_error("clock", "The time from the paper.")
        return cleaned
