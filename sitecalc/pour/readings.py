"""Temperature readings of a pour, and what can be said of each day from irregular ones.

Rules, all stated to the reader of the cure log:

- Between two readings of one sensor no further apart than ``longest_gap_h`` the temperature runs
  straight. A longer stretch is silent: nothing is made up for it.
- A day is a date at the site; the day of a clock change has 23 or 25 hours.
- The same sensor and instant twice is one reading; if the values differ, the colder is taken. Both
  cases are reported.

A sensor's readings are kept as a :class:`Trace` of two arrays: a logger writes a hundred thousand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from sitecalc.cells import figure_named
from sitecalc.figures import Figure
from sitecalc.inputs import InputError, quantity
from sitecalc.wording import clock_words, day_words

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Reading:
    """``at`` is an instant with its offset from UTC."""

    sensor: str = quantity("", "name of the sensor: edge, top, core")
    at: datetime = quantity("", "instant with offset, 2031-05-09T19:00:00-05:00")
    temp_f: float = quantity("F", "temperature", low=-60, high=212)


def temperature() -> Figure:
    """The figure that every temperature of concrete or air is, however it came in."""
    return figure_named(Reading, "temp_f")


def is_temperature(temp_f: Any) -> Any:
    """Whether a number, or each of an array, is in the declared range, F; not a number is not."""
    declared = temperature()
    return (temp_f >= declared.low) & (temp_f <= declared.high)


def fahrenheit(temp_c: Any) -> Any:
    """C to F, of a number or of each of an array."""
    return temp_c * 9 / 5 + 32


def celsius(temp_f: float) -> float:
    """F to C. Arithmetic."""
    return (temp_f - 32) * 5 / 9


@dataclass(frozen=True)
class ConcreteReading(Reading):
    """Temperature of the concrete itself. Maturity takes these and nothing else."""


@dataclass(frozen=True)
class AirReading(Reading):
    """Temperature of the air beside the pour."""


@dataclass(frozen=True, eq=False)
class Trace:
    """One sensor's temperatures in order of time, each instant once. ``at_s`` counts from 1970 in UTC."""

    sensor: str
    at_s: Numbers
    temp_f: Numbers
    air: bool = False

    def __len__(self) -> int:
        return len(self.at_s)

    @property
    def last_at(self) -> datetime:
        return instant(self.at_s[-1])

    def since(self, begin: datetime) -> Trace:
        """What was read at an instant and after it."""
        return self._cut(self.at_s >= begin.timestamp())

    def until(self, end: datetime) -> Trace:
        """What was read up to an instant, with it."""
        return self._cut(self.at_s <= end.timestamp())

    def _cut(self, keep: NDArray[np.bool_]) -> Trace:
        return Trace(self.sensor, self.at_s[keep], self.temp_f[keep], self.air)

    def readings(self) -> tuple[Reading, ...]:
        """The trace as single readings, F."""
        kind = AirReading if self.air else ConcreteReading
        return tuple(
            kind(self.sensor, instant(s), float(t)) for s, t in zip(self.at_s, self.temp_f, strict=True)
        )


Traces = Mapping[str, Trace]


@dataclass(frozen=True, kw_only=True)
class DayMean:
    """Mean of one sensor over the covered hours of one day; None if no hour is covered."""

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


@dataclass(frozen=True, kw_only=True)
class Pieces:
    """Covered stretches of a trace, over each of which the temperature runs straight."""

    begin_s: Numbers
    hours: Numbers
    from_f: Numbers
    to_f: Numbers

    @property
    def mean_f(self) -> Numbers:
        return (self.from_f + self.to_f) / 2


def zone_of(name: str) -> ZoneInfo:
    """InputError for a zone that is not on the IANA list."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise InputError("zone", f"{name!r} is not a time zone of the IANA list.") from error


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """The instant at which a date begins at the site, in UTC."""
    return datetime.combine(day, time.min, zone).astimezone(UTC)


def instant(seconds: float) -> datetime:
    """The UTC instant of seconds since 1970."""
    return datetime.fromtimestamp(float(seconds), UTC)


@lru_cache(maxsize=32)
def midnights(first: date, count: int, zone: ZoneInfo) -> Numbers:
    """Seconds at which ``count`` dates from ``first`` begin at the site, and the end of the last."""
    days = (first + timedelta(days=n) for n in range(count + 1))
    return np.array([midnight(day, zone).timestamp() for day in days])


def day_hours(day: date, zone: ZoneInfo) -> float:
    """Hours of a date at the site: 23 or 25 on the day of a clock change."""
    begin, end = midnights(day, 1, zone)
    return float(end - begin) / 3600


def traces_of(readings: Iterable[Reading], zone: ZoneInfo) -> tuple[dict[str, Trace], tuple[str, ...]]:
    """Readings of each sensor in order of time without doubles, and the doubles in words.

    InputError for an instant without offset: what date it belongs to would be a guess.
    """
    found: dict[str, list[Reading]] = {}
    for index, reading in enumerate(readings):
        if reading.at.tzinfo is None:
            raise InputError(f"readings[{index}].at", "has no offset from UTC.")
        found.setdefault(reading.sensor, []).append(reading)
    return merged(
        [
            Trace(
                sensor,
                np.array([r.at.timestamp() for r in rows]),
                np.array([r.temp_f for r in rows], dtype=float),
                isinstance(rows[0], AirReading),
            )
            for sensor, rows in found.items()
        ],
        zone,
    )


def merged(traces: Iterable[Trace], zone: ZoneInfo) -> tuple[dict[str, Trace], tuple[str, ...]]:
    """Traces of the same sensor as one, in order of time, the colder of doubles; the doubles in words."""
    of: dict[str, list[Trace]] = {}
    for trace in traces:
        of.setdefault(trace.sensor, []).append(trace)
    found, words = {}, []
    for sensor, parts in of.items():
        at_s = np.concatenate([p.at_s for p in parts])
        temp_f = np.concatenate([p.temp_f for p in parts])
        order = np.lexsort((temp_f, at_s))
        at_s, temp_f = at_s[order], temp_f[order]
        again = np.zeros(len(at_s), dtype=bool)
        again[1:] = at_s[1:] == at_s[:-1]
        if again.any():
            differ = bool((temp_f[1:][again[1:]] != temp_f[:-1][again[1:]]).any())
            words.append(_doubles(sensor, int(again.sum()), instant(at_s[again][0]), differ, zone))
        found[sensor] = Trace(sensor, at_s[~again], temp_f[~again], parts[0].air)
    return found, tuple(words)


def _doubles(sensor: str, count: int, first: datetime, differ: bool, zone: ZoneInfo) -> str:
    readings = "one reading is" if count == 1 else f"{count:,} readings are"
    values = "different values, the colder is taken" if differ else "same value"
    return f"{sensor}: {readings} there twice, first {said(first, zone)} ({values})."


def gaps(traces: Iterable[Trace], longest_gap_h: float, zone: ZoneInfo) -> tuple[str, ...]:
    """Silent stretches between readings, in words; sensors silent together are named together."""
    silent: dict[tuple[float, float], list[str]] = {}
    for trace in traces:
        hours = np.diff(trace.at_s) / 3600
        for place in np.flatnonzero(hours > longest_gap_h):
            silent.setdefault((trace.at_s[place], hours[place]), []).append(trace.sensor)
    return tuple(
        f"{', '.join(names)}: silent {hours:.0f} h from {said(instant(at), zone)}."
        for (at, hours), names in sorted(silent.items())
    )


def said(at: datetime, zone: ZoneInfo) -> str:
    """ "May 9 7:00 PM" at the site."""
    local = at.astimezone(zone)
    return f"{day_words(local)} {clock_words(local)}"


def dates_of(trace: Trace, zone: ZoneInfo) -> tuple[date, Numbers]:
    """The first date of a trace at the site and the midnights around all of its dates."""
    first = instant(trace.at_s[0]).astimezone(zone).date()
    last = trace.last_at.astimezone(zone).date()
    return first, midnights(first, (last - first).days + 1, zone)


def cut(
    trace: Trace, longest_gap_h: float, bounds_s: Numbers | None = None, longest_h: float = np.inf
) -> Pieces:
    """What a trace covers, cut at ``bounds_s`` and into parts of at most ``longest_h``."""
    at, temp = trace.at_s, trace.temp_f
    if len(at) < 2:
        nothing = np.empty(0)
        return Pieces(begin_s=nothing, hours=nothing, from_f=nothing, to_f=nothing)
    within = np.empty(0) if bounds_s is None else bounds_s[(bounds_s > at[0]) & (bounds_s < at[-1])]
    places = np.union1d(at, within)
    temps = np.interp(places, at, temp)
    parent = np.searchsorted(at, places[:-1], side="right") - 1
    kept = (np.diff(at) <= longest_gap_h * 3600)[parent]
    begin, hours = places[:-1][kept], np.diff(places)[kept] / 3600
    from_f, to_f = temps[:-1][kept], temps[1:][kept]
    parts = np.maximum(np.ceil(hours / longest_h - 1e-9), 1).astype(int)
    if (parts == 1).all():
        return Pieces(begin_s=begin, hours=hours, from_f=from_f, to_f=to_f)
    nth = np.arange(parts.sum()) - np.repeat(np.cumsum(parts) - parts, parts)
    count = np.repeat(parts, parts)
    hours, from_f, to_f = (np.repeat(values, parts) for values in (hours, from_f, to_f))
    return Pieces(
        begin_s=np.repeat(begin, parts) + nth / count * hours * 3600,
        hours=hours / count,
        from_f=from_f + (to_f - from_f) * nth / count,
        to_f=from_f + (to_f - from_f) * (nth + 1) / count,
    )


def day_means(trace: Trace, zone: ZoneInfo, longest_gap_h: float) -> dict[date, DayMean]:
    """Time-weighted mean of one sensor for every date that holds a reading or a covered hour."""
    if not len(trace):
        return {}
    first, ends = dates_of(trace, zone)
    count = len(ends) - 1
    pieces = cut(trace, longest_gap_h, ends)
    day = np.searchsorted(ends, pieces.begin_s, side="right") - 1
    covered = np.bincount(day, pieces.hours, count)
    degree_hours = np.bincount(day, pieces.hours * pieces.mean_f, count)
    on = np.searchsorted(ends, trace.at_s, side="right") - 1
    read = np.bincount(on, minlength=count)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    for where, temps in ((on, trace.temp_f), (day, pieces.from_f), (day, pieces.to_f)):
        np.minimum.at(low, where, temps)
        np.maximum.at(high, where, temps)
    hours = np.diff(ends) / 3600
    return {
        first + timedelta(days=n): DayMean(
            day=first + timedelta(days=n),
            mean_f=float(degree_hours[n] / covered[n]) if covered[n] > 1e-9 else None,
            covered_h=float(covered[n]),
            day_h=float(hours[n]),
            readings=int(read[n]),
            low_f=float(low[n]),
            high_f=float(high[n]),
        )
        for n in range(count)
        if read[n] or covered[n] > 1e-9
    }
