"""Temperature readings of a pour, and what can be said of each day from irregular ones.

Rules, all stated to the reader of the cure log:

- Between two readings of one sensor no further apart than ``longest_gap_h`` the temperature runs
  straight. A longer stretch is silent: nothing is made up for it.
- A day is a date at the site; the day of a clock change has 23 or 25 hours.
- The same sensor and instant twice is one reading; if the values differ, the colder is taken. Both
  cases are reported.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import TypeVar
from zoneinfo import ZoneInfo

from sitecalc.inputs import InputError, quantity


@dataclass(frozen=True)
class Reading:
    """``at`` is an instant with its offset from UTC."""

    sensor: str = quantity("", "name of the sensor: edge, top, core")
    at: datetime = quantity("", "instant with offset, 2031-05-09T19:00:00-05:00")
    temp_f: float = quantity("F", "temperature", low=-60, high=212)


@dataclass(frozen=True)
class ConcreteReading(Reading):
    """Temperature of the concrete itself. Maturity takes these and nothing else."""


@dataclass(frozen=True)
class AirReading(Reading):
    """Temperature of the air beside the pour."""


R = TypeVar("R", bound=Reading)


@dataclass(frozen=True)
class Piece:
    """A stretch over which a sensor's temperature runs straight."""

    start: datetime
    end: datetime
    start_f: float
    end_f: float

    @property
    def hours(self) -> float:
        return (self.end - self.start).total_seconds() / 3600

    @property
    def mean_f(self) -> float:
        return (self.start_f + self.end_f) / 2

    def between(self, start: datetime, end: datetime) -> Piece:
        """The part from ``start`` to ``end``, which must overlap."""
        first, last = max(self.start, start), min(self.end, end)
        return Piece(first, last, self._at(first), self._at(last))

    def _at(self, instant: datetime) -> float:
        whole = (self.end - self.start).total_seconds()
        part = (instant - self.start).total_seconds() / whole if whole else 0.0
        return self.start_f + (self.end_f - self.start_f) * part


@dataclass(frozen=True)
class DayMean:
    """One sensor on one date at the site. ``mean_f`` is None where no hour is covered."""

    day: date
    mean_f: float | None
    covered_h: float
    day_h: float
    readings: int
    low_f: float | None
    high_f: float | None

    @property
    def silent_h(self) -> float:
        return max(self.day_h - self.covered_h, 0.0)


def zone_of(name: str) -> ZoneInfo:
    """InputError for a zone that is not on the IANA list."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise InputError("zone", f"{name!r} is not a time zone of the IANA list.") from error


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """The instant at which a date begins at the site, in UTC."""
    return datetime.combine(day, time.min, zone).astimezone(UTC)


def day_hours(day: date, zone: ZoneInfo) -> float:
    length = midnight(day + timedelta(days=1), zone) - midnight(day, zone)
    return length.total_seconds() / 3600


def by_sensor(readings: Iterable[R], zone: ZoneInfo) -> tuple[dict[str, list[R]], tuple[str, ...]]:
    """Readings of each sensor in order of time without doubles, and the doubles in words.

    InputError for an instant without offset: what date it belongs to would be a guess.
    """
    found: dict[str, dict[datetime, R]] = {}
    twice: dict[str, list[tuple[datetime, bool]]] = {}
    for index, reading in enumerate(readings):
        if reading.at.tzinfo is None:
            raise InputError(f"readings[{index}].at", "has no offset from UTC.")
        instant = reading.at.astimezone(UTC)
        kept = found.setdefault(reading.sensor, {})
        if instant in kept:
            differ = kept[instant].temp_f != reading.temp_f
            twice.setdefault(reading.sensor, []).append((instant, differ))
            if reading.temp_f >= kept[instant].temp_f:
                continue
        kept[instant] = reading
    sensors = {name: [kept[at] for at in sorted(kept)] for name, kept in found.items()}
    return sensors, tuple(_doubles(name, times, zone) for name, times in twice.items())


def _doubles(sensor: str, times: Sequence[tuple[datetime, bool]], zone: ZoneInfo) -> str:
    first = said(min(at for at, _ in times), zone)
    count = "one reading is" if len(times) == 1 else f"{len(times)} readings are"
    values = "different values, the colder is taken" if any(differ for _, differ in times) else "same value"
    return f"{sensor}: {count} there twice, first {first} ({values})."


def pieces(readings: Sequence[Reading], longest_gap_h: float) -> list[Piece]:
    """What one sensor's readings, in order of time, cover."""
    longest = timedelta(hours=longest_gap_h)
    return [
        Piece(a.at.astimezone(UTC), b.at.astimezone(UTC), a.temp_f, b.temp_f)
        for a, b in pairwise(readings)
        if timedelta(0) < b.at - a.at <= longest
    ]


def gaps(sensors: Iterable[Sequence[Reading]], longest_gap_h: float, zone: ZoneInfo) -> tuple[str, ...]:
    """Silent stretches between readings, in words; sensors silent together are named together."""
    silent: dict[tuple[datetime, float], list[str]] = {}
    for readings in sensors:
        for a, b in pairwise(readings):
            hours = (b.at - a.at).total_seconds() / 3600
            if hours > longest_gap_h:
                silent.setdefault((a.at, hours), []).append(a.sensor)
    return tuple(
        f"{', '.join(names)}: silent {hours:.0f} h from {said(at, zone)}."
        for (at, hours), names in sorted(silent.items())
    )


def said(instant: datetime, zone: ZoneInfo) -> str:
    """ "May 9 7:00 PM" at the site."""
    local = instant.astimezone(zone)
    clock = f"{local:%I:%M %p}".lstrip("0")
    return f"{local:%b} {local.day} {clock}"


def day_means(readings: Sequence[Reading], zone: ZoneInfo, longest_gap_h: float) -> dict[date, DayMean]:
    """Time-weighted mean of one sensor for every date that holds a reading or a covered hour."""
    degree_hours: dict[date, float] = {}
    covered: dict[date, float] = {}
    seen: dict[date, list[float]] = {}
    counts: dict[date, int] = {}
    for reading in readings:
        day = reading.at.astimezone(zone).date()
        counts[day] = counts.get(day, 0) + 1
        seen.setdefault(day, []).append(reading.temp_f)
    starts: dict[date, datetime] = {}

    def begins(day: date) -> datetime:
        if day not in starts:
            starts[day] = midnight(day, zone)
        return starts[day]

    for piece in pieces(readings, longest_gap_h):
        day = piece.start.astimezone(zone).date()
        while begins(day) < piece.end:
            part = piece.between(begins(day), begins(day + timedelta(days=1)))
            degree_hours[day] = degree_hours.get(day, 0.0) + part.hours * part.mean_f
            covered[day] = covered.get(day, 0.0) + part.hours
            seen.setdefault(day, []).extend((part.start_f, part.end_f))
            day += timedelta(days=1)
    return {
        day: DayMean(
            day=day,
            mean_f=degree_hours[day] / covered[day] if covered.get(day, 0.0) > 1e-9 else None,
            covered_h=covered.get(day, 0.0),
            day_h=(begins(day + timedelta(days=1)) - begins(day)).total_seconds() / 3600,
            readings=counts.get(day, 0),
            low_f=min(seen[day]),
            high_f=max(seen[day]),
        )
        for day in sorted(seen)
    }
