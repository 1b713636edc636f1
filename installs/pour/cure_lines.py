"""The cure sheet keyed in: each round of the sensors, at dawn and at dusk, with its time on the paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

from django.forms import BoundField
from django.utils import timezone

from installs.checklists.key_in import Written
from installs.checklists.library import likely
from installs.checklists.paper_line import HeadForm, PaperLine, writers
from installs.jobs.models import Job
from installs.measures import QuantityInput
from installs.people.models import User
from installs.pour.by_hand import day_one, days_of, sensors_of
from installs.pour.record_words import load_record
from installs.pour.temperatures import AIR, CONCRETE, is_air

DAWN, DUSK = "dawn", "dusk"


class Round(PaperLine):
    """All sensors once. A sensor that is left empty was not read; the note says why."""

    def __init__(self, *args: Any, number: int, half: str, sensors: tuple[str, ...], **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"day-{number}-{half}", **kwargs)
        self.number, self.half, self.sensors = number, half, sensors
        self.called = f"day {number}, {half}"
        self.on: date | None = None
        for place in range(len(sensors)):
            self.fields[f"sensor-{place}"] = QuantityInput(required=False)

    @property
    def cells(self) -> list[tuple[str, BoundField]]:
        return [(sensor, self[f"sensor-{place}"]) for place, sensor in enumerate(self.sensors)]

    @property
    def _read(self) -> Iterator[tuple[str, str, float]]:
        for place, sensor in enumerate(self.sensors):
            name = f"sensor-{place}"
            if (value := self.cleaned_data.get(name)) is not None:
                yield name, sensor, value

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        read = list(self._read)
        if not read and not any(name.startswith("sensor-") for name in self.errors):
            self.add_error(None, "Nothing is read: which sensor?")
        for name, sensor, value in read:
            self.ask_reading(name, value, likely(AIR if is_air(sensor) else CONCRETE))
        return cleaned

    def entries(self) -> Iterator[dict[str, Any]]:
        for _name, sensor, value in self._read:
            yield {
                "code": CONCRETE, "subject": sensor, "number": value, "unit": "F",
                "text": self.cleaned_data["note"], "data": {"from_paper": True, **self.kept},
            }  # fmt: skip


class CureSheet:
    """The head and every round, bound to what was typed or empty. Day 1 is that of the pour."""

    def __init__(self, job: Job, user: User, typed: Any = None) -> None:
        self.job, self.people = job, writers(job, user)
        record = load_record(job, timezone.now())
        self.sensors, first = sensors_of(record), day_one(record)
        initial = {"by": str(user.pk), **({"on": first} if first else {})}
        self.head = HeadForm(typed, job=job, people=self.people, initial=initial)
        on = self.head.fields["on"]
        on.label, on.disabled = "Day 1, of the pour", first is not None
        self.lines = [
            Round(typed, number=n, half=half, sensors=self.sensors, people=self.people)
            for n in range(1, days_of(record) + 1)
            for half in (DAWN, DUSK)
            if n > 1 or half == DUSK
        ]
        for line in self.lines:
            line.on = first + timedelta(days=line.number - 1) if first else None
        self.filled = [line for line in self.lines if line.is_bound and line.filled]

    def is_valid(self) -> bool:
        """Asks every part, so that all faults are said at once."""
        lines = [line.is_valid() for line in self.filled]
        if not self.filled and self.head.is_valid():
            self.head.add_error(None, "No round is filled in.")
        if self.head.is_valid():
            for line in self.filled:
                if line.cleaned_data.get("clock") is not None and self._at(line) > timezone.now():
                    line.add_error("clock", "This time has not come yet.")
        return self.head.is_valid() and all(lines) and not self.faulty

    def _at(self, line: Round) -> datetime:
        on = self.head.cleaned_data["on"] + timedelta(days=line.number - 1)
        return datetime.combine(on, line.cleaned_data["clock"], tzinfo=self.job.tz)

    @property
    def faulty(self) -> list[Round]:
        return [line for line in self.filled if line.errors]

    def written(self) -> list[Written]:
        """Every reading with who wrote its round: the last one named, from the head downward."""
        who = self.people[self.head.cleaned_data["by"]]
        found = []
        for line in self.filled:
            who = self.people.get(line.cleaned_data["who"], who)
            found += [Written(line, self._at(line), who, entry) for entry in line.entries()]
        return found
