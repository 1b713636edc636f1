"""The pour card keyed in: a row a truck in the card's order, each figure with its time on the paper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils import timezone

from installs.checklists.asking import AGAIN
from installs.checklists.key_in import Written
from installs.checklists.library import likely
from installs.checklists.paper_line import HeadForm, PaperLine, clock_field, writers
from installs.jobs.models import Job
from installs.measures import QuantityInput, WithinRange, plain_words
from installs.people.models import User
from installs.pour.by_hand import truck_numbers
from installs.pour.field_log import CYLINDERS, DISCHARGED, RULE_OF
from installs.pour.record_words import PourRecord, load_record
from installs.pour.review import table_of
from installs.pour.truck_asks import ticket_twice
from sitecalc.pour.placing import Limit
from sitecalc.wording import quantity_words

READINGS = (("slump", "D03", "in"), ("air", "D04", "%"), ("concrete", "D05", "F"), ("water", "D07", "gal"))
HEADS = {
    "ticket": "Ticket", "yards": "Yards, yd³", "batched": "Batched", "clock": "Arrived",
    "began": "Discharge start", "ended": "Discharge end", "slump": "Slump, in", "air": "Air, %",
    "concrete": "Concrete, F", "water": "Water added, gal", "lab": "Cylinders, lab", "field": "field set",
    "marks": "Marks", "rejected": "Rejected", "note": "Note, or why rejected", "who": "Who",
}  # fmt: skip
# as the ticket's entry keeps them
TIMES = {"batched": "batched_at", "clock": "arrived_at", "began": "began_at", "ended": "discharged_at"}
HALF_A_DAY = timedelta(hours=12)


class TruckLine(PaperLine):
    """One truck. ``clock`` is its arrival, by which its ticket is recorded; what is empty was not written."""

    ticket = forms.CharField(required=False, max_length=40, validators=[plain_words])
    yards = QuantityInput(required=False, unit="yd3", validators=[WithinRange(0.25, 15, "yd3")])
    batched = clock_field()
    clock = clock_field()
    began = clock_field()
    ended = clock_field()
    slump = QuantityInput(required=False, unit="in")
    air = QuantityInput(required=False)
    concrete = QuantityInput(required=False)
    water = QuantityInput(required=False)
    lab = forms.IntegerField(required=False, min_value=0, max_value=20)
    field = forms.IntegerField(required=False, min_value=0, max_value=20)
    marks = forms.CharField(required=False, max_length=60, validators=[plain_words])
    rejected = forms.BooleanField(required=False)

    field_order = tuple(HEADS)

    def __init__(self, *args: Any, number: int, record: PourRecord, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.number, self.record = number, record
        self.called = f"truck {number}"
        on_record = next((t for t in record.tickets if t.number == number), None)
        self.on_record = f"ticket {on_record.ticket}, {on_record.state}" if on_record else ""
        self.times: dict[str, datetime] = {}

    @property
    def cells(self) -> list[tuple[str, BoundField]]:
        """In the order of the card, each with its head there."""
        return [(HEADS[name], self[name]) for name in self.field_order]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name, words in (("ticket", "Its ticket's number."), ("yards", "The yards of the ticket.")):
            if name not in self.errors and cleaned.get(name) in (None, ""):
                self.add_error(name, words)
        if cleaned.get("ticket"):
            self.ask("ticket", self._twice(cleaned["ticket"]))
        if cleaned.get("ended") and not cleaned.get("batched") and "batched" not in self.errors:
            self.add_error("batched", "Discharged, and batched when? The minutes count from it.")
        if cleaned.get("rejected"):
            self._rejected(cleaned)
        for name, code, _unit in READINGS:
            self._read(name, code, cleaned.get(name), rejected=bool(cleaned.get("rejected")))
        if cleaned.get("marks") and not (cleaned.get("lab") or cleaned.get("field")):
            self.add_error("lab", "How many cylinders?")
        return cleaned

    def _twice(self, ticket: str) -> str:
        """The same row keyed in again is no second truck."""
        return ticket_twice(self.record.facts.log, self.number, ticket)

    def _rejected(self, cleaned: dict[str, Any]) -> None:
        if not cleaned.get("note") and "note" not in self.errors:
            self.add_error("note", "Say why it was rejected.")
        for name in ("began", "ended"):
            if cleaned.get(name):
                self.add_error(name, "A rejected truck was not discharged here.")

    def _read(self, name: str, code: str, value: float | None, *, rejected: bool) -> None:
        """What is out of its limit is read again before it is taken: a slip of the keys, or a deviation."""
        self.ask_reading(name, value, likely(code))
        limit = self._limit(code)
        if value is None or name in self.errors or rejected or limit is None or limit.high is None:
            return
        if not limit.low <= value <= limit.high and not (limit.only_if_any and not value):
            self.ask(name, f"{quantity_words(value, limit.rule.unit)}: {limit.accepted}. {AGAIN}")

    def _limit(self, code: str) -> Limit | None:
        table = table_of(None, self.record.terms, self.record.air_f)
        return next((row for row in table if row.rule is RULE_OF[code]), None)

    def place(self, on: date, now: datetime) -> None:
        """Give each time of the row its instant: one after midnight is of the next date."""
        before: datetime | None = None
        for name in TIMES:
            clock: time | None = self.cleaned_data.get(name)
            if clock is None:
                continue
            at = datetime.combine(on, clock, tzinfo=self.record.job.tz)
            if before is not None and before - at > HALF_A_DAY:
                at += timedelta(days=1)
            if before is not None and at < before:
                self.add_error(name, "This is before the time to its left.")
            elif at > now:
                self.add_error(name, "This time has not come yet.")
            self.times[name] = before = at

    def entries(self) -> Iterator[tuple[datetime, dict[str, Any]]]:
        """Each figure of a valid row with its time: ticket at arrival, tests at discharge."""
        cleaned, times = self.cleaned_data, self.times
        arrived = times["clock"]
        tested = times.get("began", arrived)
        yield arrived, self._ticket()
        for name, code, unit in READINGS:
            if cleaned.get(name) is not None:
                yield tested, {"code": code, "number": cleaned[name], "unit": unit, "data": self._data()}
        if cleaned.get("lab") or cleaned.get("field"):
            sets = {name: cleaned[name] for name in ("lab", "field") if cleaned.get(name) is not None}
            marks = {"marks": cleaned["marks"]} if cleaned["marks"] else {}
            data = self._data() | sets | marks
            yield (
                tested,
                {
                    "code": CYLINDERS, "number": sum(sets.values()), "unit": "cylinders",
                    "text": cleaned["marks"], "data": data,
                },
            )  # fmt: skip
        if "ended" in times:
            minutes = (times["ended"] - times["batched"]).total_seconds() / 60
            data = self._data() | {"discharged_at": times["ended"].isoformat()}
            yield times["ended"], {"code": DISCHARGED, "number": minutes, "unit": "min", "data": data}

    def _data(self) -> dict[str, Any]:
        return {"from_paper": True, **self.kept}

    def _ticket(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        said = {key: self.times[name].isoformat() for name, key in TIMES.items() if name in self.times}
        data = self._data() | {"ticket": cleaned["ticket"]} | said
        if cleaned["rejected"]:
            data["refused"] = True
        text = cleaned["note"] or ("" if cleaned["rejected"] else cleaned["ticket"])
        return {"code": "D01", "number": cleaned["yards"], "unit": "yd3", "text": text, "data": data}


class TruckSheet:
    """The head and every row of the card, bound to what was typed or empty."""

    def __init__(self, job: Job, user: User, typed: Any = None) -> None:
        self.job, self.people = job, writers(job, user)
        self.record = load_record(job, timezone.now())
        self.head = HeadForm(typed, job=job, people=self.people, initial=self._head(user))
        self.lines = [
            TruckLine(typed, prefix=f"truck-{n}", number=n, record=self.record, people=self.people)
            for page in truck_numbers(self.record)
            for n in page
        ]
        self.filled = [line for line in self.lines if line.is_bound and line.filled]

    def _head(self, user: User) -> Mapping[str, Any]:
        poured = self.record.facts.log.poured_on
        return {"by": str(user.pk), **({"on": poured} if poured else {})}

    def is_valid(self) -> bool:
        """Asks every part, so that all faults are said at once."""
        lines = [line.is_valid() for line in self.filled]
        if not self.filled and self.head.is_valid():
            self.head.add_error(None, "No row is filled in.")
        if self.head.is_valid():
            for line in self.filled:
                line.place(self.head.cleaned_data["on"], timezone.now())
        return self.head.is_valid() and all(lines) and not self.faulty

    @property
    def faulty(self) -> list[TruckLine]:
        return [line for line in self.filled if line.errors]

    def written(self) -> list[Written]:
        """Every figure with who wrote its row: the last one named, from the head downward."""
        who = self.people[self.head.cleaned_data["by"]]
        found = []
        for line in self.filled:
            who = self.people.get(line.cleaned_data["who"], who)
            subject = f"truck {line.number}"
            found += [Written(line, at, who, {**said, "subject": subject}) for at, said in line.entries()]
        return found
