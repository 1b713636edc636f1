"""A paper twin keyed in: its lines in the paper's order, each with the time and the person on the paper."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from installs.checklists.forms import outside, tolerance_words
from installs.checklists.models import Item, ItemKind, JobList
from installs.jobs.models import Job
from installs.measures import QuantityInput, plain_words, sane_day
from installs.people.models import User

LINES_PER = 4  # an item that is repeated (for each truck, sensor, leg) has as many lines
DONE, NOT_DONE = "done", "not done"
CLOCKS = ["%H:%M", "%H%M", "%H.%M", "%I:%M %p", "%I:%M%p"]
BARE = re.compile(r"[0-9]{1,3}|[A-Za-z]")


class HeadForm(forms.Form):
    """What stands at the head of the sheet and holds for every line."""

    on = forms.DateField(
        label="Date on the paper", validators=[sane_day], widget=forms.DateInput(attrs={"type": "date"})
    )
    by = forms.ChoiceField(label="Who wrote it")

    def __init__(self, *args: Any, people: Mapping[str, User], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["by"].choices = [(key, person.full_name) for key, person in people.items()]

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"]
        if on > self.today:
            raise ValidationError("This day has not come yet.")
        return on


class LineForm(forms.Form):
    """One line. Nothing typed: nothing recorded. ``who`` left empty is who wrote the line above."""

    which = forms.CharField(required=False, max_length=50, validators=[plain_words])
    value = forms.CharField(required=False, max_length=200, validators=[plain_words])
    done = forms.ChoiceField(required=False)
    clock = forms.TimeField(required=False, input_formats=CLOCKS)
    who = forms.ChoiceField(required=False)
    note = forms.CharField(required=False, max_length=800, validators=[plain_words])

    def __init__(self, *args: Any, item: Item, people: Mapping[str, User], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.item = item
        self.fields["clock"].error_messages["invalid"] = "Write the time as 14:05 or 1405."
        self.fields["who"].choices = [("", "as above"), *((k, p.initials) for k, p in people.items())]
        states = [NOT_DONE] if item.kind in (ItemKind.READING, ItemKind.PHOTO) else [DONE, NOT_DONE]
        self.fields["done"].choices = [("", ""), *((state, state) for state in states)]
        if item.kind == ItemKind.READING:
            self.fields["value"] = QuantityInput(required=False, unit=item.unit)
        if item.kind in (ItemKind.TICK, ItemKind.PHOTO):
            del self.fields["value"]
        if not item.per:
            del self.fields["which"]

    @property
    def filled(self) -> bool:
        """Whether anything stands on this line; the person alone is nothing."""
        names = (name for name in self.fields if name != "who")
        return any(str(self.data.get(self.add_prefix(name), "")).strip() for name in names)

    def clean_which(self) -> str:
        """ "3" of a truck is "truck 3", as the phone writes it."""
        which: str = self.cleaned_data["which"].strip()
        return f"{self.item.per} {which.upper()}" if BARE.fullmatch(which) else which

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "clock" not in self.errors and cleaned.get("clock") is None:
            self.add_error("clock", "The time from the paper.")
        if self.item.per and "which" not in self.errors and not cleaned.get("which"):
            self.add_error("which", f"Which {self.item.per}?")
        if cleaned.get("done") == NOT_DONE:
            self._not_done(cleaned)
        elif "value" not in self.errors:
            self._done(cleaned)
        return cleaned

    def _not_done(self, cleaned: dict[str, Any]) -> None:
        if not cleaned.get("note") and "note" not in self.errors:
            self.add_error("note", "Say why it was not done.")
        if cleaned.get("value") not in (None, ""):
            self.add_error("done", "Not done, and yet it has a value: one of them is wrong.")

    def _done(self, cleaned: dict[str, Any]) -> None:
        kind, value = self.item.kind, cleaned.get("value")
        if kind == ItemKind.READING and value is None:
            self.add_error("value", "The reading, or not done.")
        elif kind == ItemKind.READING and outside(self.item, value) and not cleaned.get("note"):
            self.add_error("note", f"{tolerance_words(self.item)} If the paper says so, say what was seen.")
        elif kind == ItemKind.SIGNATURE and not value:
            self.add_error("value", "The name of who signed.")
        elif kind == ItemKind.DOCUMENT and not value:
            self.add_error("value", "Its number.")
        elif kind == ItemKind.TICK and not cleaned.get("done"):
            self.add_error("done", "Done, or not done?")
        elif kind == ItemKind.PHOTO:
            self.add_error("done", "A photo cannot be keyed in: send it from a phone, or say not done.")

    def entry(self) -> dict[str, Any]:
        """What is recorded of a valid line, but for its time and the person on the paper."""
        cleaned, kind = self.cleaned_data, self.item.kind
        value, note = cleaned.get("value"), cleaned["note"]
        found: dict[str, Any] = {"code": self.item.code, "subject": cleaned.get("which", ""), "text": note}
        data: dict[str, Any] = {"from_paper": True}
        if cleaned["done"] == NOT_DONE:
            return {**found, "data": {**data, "cannot": True}}
        if kind == ItemKind.READING:
            found["number"] = value
            if outside(self.item, value):
                data["out_of_tolerance"] = True
        elif kind == ItemKind.SIGNATURE:
            data["signed"] = value
        elif kind == ItemKind.DOCUMENT:
            found["text"] = f"{value} {note}".strip()
        return {**found, "data": data}


class Sheet:
    """The head and every line of a list's paper, bound to what was typed or empty."""

    def __init__(self, job: Job, kept: JobList, user: User, typed: Any = None) -> None:
        self.job, self.user = job, user
        members = [m.person for m in job.members.select_related("person")]
        self.people = {str(p.pk): p for p in [user, *members]}
        today = job.local(timezone.now()).date()
        self.head = HeadForm(
            typed, people=self.people, today=today, initial={"on": today, "by": str(user.pk)}
        )
        self.lines = [line for item in kept.items.all() for line in self._lines(item, typed)]
        self.filled = [line for line in self.lines if line.is_bound and line.filled]

    def _lines(self, item: Item, typed: Any) -> list[LineForm]:
        # the torque log is a sheet of its own: joint, pass and bolt
        if item.kind == ItemKind.TORQUE:
            return []
        count = LINES_PER if item.per else 1
        prefixes = [f"{item.code}-{n}" for n in range(1, count + 1)]
        return [LineForm(typed, prefix=prefix, item=item, people=self.people) for prefix in prefixes]

    def is_valid(self) -> bool:
        """Asks every part, so that all faults are said at once."""
        lines = [line.is_valid() for line in self.filled]
        if not self.filled and self.head.is_valid():
            self.head.add_error(None, "No line is filled in.")
        if self.head.is_valid():
            for line in self.filled:
                self._not_ahead(line)
        return self.head.is_valid() and all(lines) and all(line.is_valid() for line in self.filled)

    def _not_ahead(self, line: LineForm) -> None:
        clock = line.cleaned_data.get("clock")
        if clock is not None and self.at(clock) > timezone.now():
            line.add_error("clock", "This time has not come yet.")

    def at(self, clock: time) -> datetime:
        return datetime.combine(self.head.cleaned_data["on"], clock, tzinfo=self.job.tz)

    def written(self) -> list[tuple[LineForm, User]]:
        """Each filled line with who wrote it: the last one named, from the head downward."""
        who = self.people[self.head.cleaned_data["by"]]
        found = []
        for line in self.filled:
            who = self.people.get(line.cleaned_data["who"], who)
            found.append((line, who))
        return found

    @property
    def faulty(self) -> list[LineForm]:
        return [line for line in self.filled if line.errors]
