"""A paper copy keyed in: its lines in the paper's order, each with the time and the person on the paper."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import datetime, time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from installs.checklists.forms import another, over
from installs.checklists.held_photo import HeldPhoto, held, hold
from installs.checklists.key_in import Written
from installs.checklists.library import likely
from installs.checklists.limits import Limit, limit_of, limits_of
from installs.checklists.models import Item, ItemKind, JobList
from installs.checklists.paper_line import HeadForm, PaperLine, writers
from installs.checklists.paper_sheets import by_hand_of
from installs.checklists.subjects import LINES_EACH, lines_for, on_paper, subjects_of
from installs.jobs.models import Job
from installs.measures import QuantityInput, plain_words
from installs.people.models import User
from installs.typed import offer

TORQUE_LOG = "assembly"  # the list whose torque items are a sheet of their own: joint, pass and bolt
DONE, NOT_DONE = "done", "not done"
BARE = re.compile(r"[0-9]{1,3}|[A-Za-z]")


class LineForm(PaperLine):
    """One line of a list: what its item asks."""

    CARRIED = ("who", "without")

    which = forms.CharField(required=False, max_length=50, validators=[plain_words])
    value = forms.CharField(required=False, max_length=200, validators=[plain_words])
    done = forms.ChoiceField(required=False)
    photo = forms.FileField(
        required=False, allow_empty_file=True, widget=forms.FileInput(attrs={"accept": "image/*"})
    )
    without = forms.BooleanField(required=False)

    def __init__(self, *args: Any, item: Item, limit: Limit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.item, self.limit = item, limit
        self.picture: HeldPhoto | None = None
        self.picture_faults: list[str] = []
        states = [NOT_DONE] if item.kind in (ItemKind.READING, ItemKind.PHOTO) else [DONE, NOT_DONE]
        offer(self, "done", [("", ""), *((state, state) for state in states)])
        if item.kind == ItemKind.READING:
            self.fields["value"] = QuantityInput(required=False, unit=item.unit)
        if item.kind in (ItemKind.TICK, ItemKind.TORQUE, ItemKind.PHOTO):
            del self.fields["value"]
        if not item.per:
            del self.fields["which"]
        if not item.takes_photo:
            del self.fields["photo"], self.fields["without"]

    @property
    def called(self) -> str:
        """ "E03, line 2" """
        return str(self.prefix).replace("-", ", line ") if self.item.per else self.item.code

    @property
    def _held(self) -> str:
        """The word for the picture that an earlier answer of this page held, unless it is left out now."""
        left_out = self.data.get(self.add_prefix("without"))
        return "" if left_out else self.data.get(self.add_prefix("held"), "")

    @property
    def filled(self) -> bool:
        return super().filled or bool(self._held)

    def hold_picture(self, *, by: User, at: datetime) -> None:
        """Keep the picture whatever else is wrong with the sheet; asked before the line is judged."""
        upload = self.files.get(self.add_prefix("photo"))
        if "photo" not in self.fields or not (upload or self._held):
            return
        try:
            self.picture = hold(upload, by=by, at=at) if upload else held(self._held, by=by)
        except ValidationError as error:
            self.picture_faults = [*error.messages, "Choose another."]
        else:
            self.picture_faults = [] if self.picture else ["This picture was not kept: choose it again."]

    def clean_which(self) -> str:
        """ "3" of a truck is "truck 3", as the phone writes it."""
        which: str = self.cleaned_data["which"].strip()
        return f"{self.item.per} {which.upper()}" if BARE.fullmatch(which) else which

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.item.per and "which" not in self.errors and not cleaned.get("which"):
            self.add_error("which", f"Which {self.item.per}?")
        if self.picture_faults:
            self.add_error("photo", self.picture_faults)
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
        if self.item.kind == ItemKind.PHOTO and self.picture:
            self.add_error("done", "Not done, and yet it has a picture: one of them is wrong.")

    def _done(self, cleaned: dict[str, Any]) -> None:
        kind, value = self.item.kind, cleaned.get("value")
        if kind == ItemKind.READING:
            self.ask_reading("value", value, likely(self.item.code))
        shown = self.picture or self.picture_faults
        if kind == ItemKind.READING and value is None:
            self.add_error("value", "The reading, or not done.")
        elif (
            value is not None
            and kind == ItemKind.READING
            and self.limit.outside(value)
            and not cleaned.get("note")
        ):
            self.add_error("note", f"{over(self.limit, value)} If the paper says so, say what was seen.")
        elif kind == ItemKind.SIGNATURE and not value and not shown:
            self.add_error("value", "The name of who signed, or a photo of the signed card.")
        elif kind == ItemKind.DOCUMENT and not value and not shown:
            self.add_error("value", "Its number, or a photo of it.")
        elif kind == ItemKind.DOCUMENT and value and self.limit.another(value):
            self.ask("value", another(self.limit, value))
        elif kind in (ItemKind.TICK, ItemKind.TORQUE) and not cleaned.get("done"):
            self.add_error("done", "Done, or not done?")
        elif kind == ItemKind.PHOTO and not shown:
            self.add_error("photo", "Choose the picture, or say not done.")

    def entry(self) -> dict[str, Any]:
        """What is recorded of a valid line, but for its time and the person on the paper."""
        cleaned, kind = self.cleaned_data, self.item.kind
        value, note = cleaned.get("value"), cleaned["note"]
        found: dict[str, Any] = {"code": self.item.code, "subject": cleaned.get("which", ""), "text": note}
        data: dict[str, Any] = {"from_paper": True, **self.kept}
        if self.picture:
            found["photo"] = self.picture.file
            data |= self.picture.shot
        if cleaned["done"] == NOT_DONE:
            return {**found, "data": {**data, "cannot": True}}
        if kind == ItemKind.READING and value is not None:
            found["number"] = value
            if self.limit.outside(value):
                data["out_of_tolerance"] = True
        elif kind == ItemKind.SIGNATURE and value:
            data["signed"] = value
        elif kind == ItemKind.DOCUMENT:
            found["text"] = f"{value} {note}".strip()
        return {**found, "data": data}


class Sheet:
    """The head and every line of a list's paper, bound to what was typed or empty."""

    def __init__(self, job: Job, kept: JobList, user: User, typed: Any = None, files: Any = None) -> None:
        self.job, self.user = job, user
        self.people: Mapping[str, User] = writers(job, user)
        items = list(kept.items.select_related("list"))
        self.limits = limits_of([job])[job.pk]
        self._subjects, self._planned = subjects_of(job), on_paper(job)
        logged = [item for item in items if item.kind == ItemKind.TORQUE and kept.key == TORQUE_LOG]
        self.torque_log = bool(logged)
        self.head = HeadForm(typed, job=job, people=self.people, initial={"by": str(user.pk)})
        table = by_hand_of(kept.key)
        apart = [item for item in items if table and item.code in table.codes and item not in logged]
        every = {item.pk: list(self._lines(item, typed, files)) for item in items if item not in logged}
        self.listed = [line for item in items if item not in (*apart, *logged) for line in every[item.pk]]
        # what has a table of its own: a copy from before it has a line for each figure
        self.apart = [line for item in apart for line in every[item.pk]]
        self.lines = [*self.listed, *self.apart]
        self.filled = [line for line in self.lines if line.is_bound and line.filled]

    def _lines(self, item: Item, typed: Any, files: Any) -> Iterator[LineForm]:
        """As many as the paper has where an item is repeated for each truck, sensor, leg; at least four."""
        lines = max(len(lines_for(item, self._subjects, self._planned)), LINES_EACH if item.per else 1)
        limit = limit_of(item, self.limits)
        for n in range(1, lines + 1):
            yield LineForm(
                typed, files, prefix=f"{item.code}-{n}", item=item, limit=limit, people=self.people
            )

    def is_valid(self) -> bool:
        """Keeps the pictures, then asks every part, so that all faults are said at once."""
        for line in self.filled:
            line.hold_picture(by=self.user, at=timezone.now())
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

    def written(self) -> list[Written]:
        """Each filled line with who wrote it: the last one named, from the head downward."""
        who = self.people[self.head.cleaned_data["by"]]
        found = []
        for line in self.filled:
            who = self.people.get(line.cleaned_data["who"], who)
            found.append(Written(line, self.at(line.cleaned_data["clock"]), who, line.entry()))
        return found

    @property
    def apart_filled(self) -> bool:
        return any(line.is_bound and line.filled for line in self.apart)

    @property
    def faulty(self) -> list[LineForm]:
        return [line for line in self.filled if line.errors]
