"""A temperature logger's CSV as readings.

One time column (or a date and a time column) and one column a sensor, named in the header line:

    Time, edge (F), top (F), core (F), air (F)
    2031-04-24 11:00, 61.5, 62.0, 63.1, 48.0

Commas, semicolons or tabs; lines before the header are passed over. A blank cell is a silence. Times
without offset are the site's own, or standard time all year where the logger does not follow the
clock change. A column whose name has "air" or "ambient" in it is air, every other one is concrete.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from sitecalc.cells import figure_in, number_in
from sitecalc.inputs import InputError
from sitecalc.pour.clock import instants_of
from sitecalc.pour.readings import (
    Numbers,
    Trace,
    Traces,
    fahrenheit,
    instant,
    is_temperature,
    merged,
    said,
    temperature,
    zone_of,
)

MOST_LINES = 300_000
HEADER_WITHIN = 40
FROZEN_F, SCALDING_F = 32.0, 150.0  # a whole log whose median lies outside is another unit, or a disaster
UNITS = ("F", "C")
CLOCKS = ("site", "standard")
CELSIUS: Mapping[str, Any] = {"unit": "C", "turned": fahrenheit}
_TIME_NAMES = re.compile(r"date|time|timestamp", re.I)
_UNIT = re.compile(r"(?:[(\[,]\s*(?:°|º|deg\.?)?|°|º|\bdeg\.?)\s*([FC])\b", re.I)
JUMP_F, JUMP_WITHIN_H = 45.0, 1.0  # no concrete does that: the unit or the sensor changed


@dataclass(frozen=True)
class LoggerLog:
    """A trace for every sensor column in order of the columns. ``notes`` say what was met on the way."""

    concrete: tuple[Trace, ...]
    air: tuple[Trace, ...]
    first: datetime
    last: datetime
    notes: tuple[str, ...]

    @property
    def sensors(self) -> tuple[str, ...]:
        return tuple(t.sensor for t in (*self.concrete, *self.air))

    @property
    def readings(self) -> int:
        return sum(len(t) for t in (*self.concrete, *self.air))


@dataclass(frozen=True)
class _Column:
    index: int
    sensor: str
    air: bool
    unit: str


def decoded(content: bytes) -> str:
    """The text of a file: UTF-8, UTF-16 with its mark, or Windows letters. InputError if it is no text."""
    if not content.strip():
        raise InputError("file", "is empty.")
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return content.decode("utf-16")
        except UnicodeDecodeError as error:
            raise InputError("file", "is not a text file.") from error
    if b"\0" in content:
        raise InputError("file", "is not a text file; export the log as CSV.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def parse_log(
    text: str,
    *,
    zone: str,
    unit: str = "F",
    clock: str = "site",
    sure: bool = False,
    taken: bool = False,
) -> LoggerLog:
    """Readings of a logger's file, temperatures in F.

    ``unit`` is that of columns which do not name theirs. ``sure`` takes a log whose temperatures look
    like another unit. ``taken`` is a file on record, whose cells without a column were passed over when it
    was taken. InputError on field "file" names line and column and what is wrong there.
    """
    if unit not in UNITS:
        raise InputError("unit", "is neither F nor C.")
    if clock not in CLOCKS:
        raise InputError("clock", "is neither site nor standard.")
    rows = _rows(text)
    header_at, times, columns = _header(rows, unit)
    body = [(line, row) for line, row in rows[header_at + 1 :] if any(map(str.strip, row))]
    if not taken:
        _nothing_lost(len(rows[header_at][1]), body)
    site = zone_of(zone)
    lines = [line for line, _ in body]
    texts = [" ".join(row[i].strip() for i in times if i < len(row)).strip() for _, row in body]
    if not body:
        raise InputError("file", "has a header but no reading under it.")
    at_s, clock_words = instants_of(texts, lines, site, standard=clock == "standard")
    columns_f = [_column_f(body, column) for column in columns]
    read = [
        Trace(column.sensor, at_s[known], temps[known], column.air)
        for column, temps in zip(columns, columns_f, strict=True)
        if (known := ~np.isnan(temps)).any()
    ]
    if not read:
        raise InputError("file", "has a header but no reading under it.")
    wet = [t for t in read if not t.air]
    if wet and not sure:
        _right_unit(float(np.median(np.concatenate([t.temp_f for t in wet]))))
    traces, doubles = merged(read, site)
    notes = (
        *_celsius(columns),
        *clock_words,
        *_order(at_s),
        *doubles,
        *_blanks(columns, columns_f),
        *_jumps(traces, site),
    )
    every = [trace for trace in traces.values() if len(trace)]
    return LoggerLog(
        tuple(t for t in every if not t.air),
        tuple(t for t in every if t.air),
        instant(min(t.at_s[0] for t in every)),
        instant(max(t.at_s[-1] for t in every)),
        (*notes, *_silences(every, site)),
    )


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """(line number, cells)."""
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        raise InputError("file", f"has {len(lines):,} lines; at most {MOST_LINES:,} are taken.")
    sample = "\n".join(lines[:HEADER_WITHIN])
    delimiter = max(",;\t", key=sample.count)
    try:
        reader, read, first = csv.reader(io.StringIO("\n".join(lines)), delimiter=delimiter), [], 1
        for row in reader:
            read.append((first, row))
            first = reader.line_num + 1  # a cell in quotation marks may go over lines
        return read
    except csv.Error as error:
        raise InputError("file", f"is not CSV: {error}.") from error


def _nothing_lost(heads: int, body: Sequence[tuple[int, Sequence[str]]]) -> None:
    """InputError for a cell under no head: 61,5 among commas is two cells, and half a degree is lost."""
    for line, row in body:
        if any(cell.strip() for cell in row[heads:]):
            raise InputError("file", f"line {line} has {len(row)} cells under {heads} columns.")


def _header(
    rows: Sequence[tuple[int, Sequence[str]]], unit: str
) -> tuple[int, tuple[int, ...], tuple[_Column, ...]]:
    """Place of the header line, its time columns and its sensor columns."""
    for at, (_line, row) in enumerate(rows[:HEADER_WITHIN]):
        times = tuple(i for i, name in enumerate(row) if _TIME_NAMES.search(name))[:2]
        if times and len(row) > len(times):
            columns = tuple(_columns(row, times, unit))
            if columns:
                return at, times, columns
    raise InputError("file", 'has no header line like "Time, edge (F), top (F), air (F)".')


def _columns(row: Sequence[str], times: Sequence[int], unit: str) -> Iterator[_Column]:
    seen: set[str] = set()
    for index, cell in enumerate(row):
        name = " ".join(cell.split())
        if index in times or not name or name in "#" or name.lower() in ("no.", "record", "notes", "note"):
            continue
        named = _UNIT.search(name)
        sensor = (name[: named.start()] if named else name).strip(" ,([").lower()[:40] or f"sensor {index}"
        if not sensor.isprintable():
            raise InputError("file", f"column {index + 1} has a name that cannot be read.")
        if sensor in seen:
            raise InputError("file", f'has two columns called "{sensor}".')
        seen.add(sensor)
        is_air = re.search(r"\b(air|ambient)\b", sensor) is not None
        yield _Column(index, sensor, is_air, named[1].upper() if named else unit)


def _column_f(body: Sequence[tuple[int, Sequence[str]]], column: _Column) -> Numbers:
    """Temperatures of a column in F; NaN for a blank cell."""
    place = column.index
    cells = [row[place] if place < len(row) else "" for _, row in body]
    try:
        temps = np.array([float(cell) if cell.strip() else math.nan for cell in cells])
    except ValueError:
        temps = np.array([number_in(cell) for cell in cells])
    blank = np.isnan(temps)
    temps_f = temps if column.unit == "F" else fahrenheit(temps)
    wrong = ~blank & ~is_temperature(temps_f)
    if wrong.any() or any(cells[n].strip() for n in np.flatnonzero(blank)):
        raise _no_temperature(body, cells, column)
    return temps_f


def _no_temperature(
    body: Sequence[tuple[int, Sequence[str]]], cells: Sequence[str], column: _Column
) -> InputError:
    """The first cell of a column that is no temperature, as an error that names its line."""
    for (line, _), cell in zip(body, cells, strict=True):
        if not cell.strip():
            continue
        try:
            figure_in(cell, temperature(), **({} if column.unit == "F" else CELSIUS))
        except InputError as error:
            return InputError("file", f"line {line}, {column.sensor}: {error.message}")
    return InputError("file", f"{column.sensor} cannot be read.")


def _right_unit(middle_f: float) -> None:
    if middle_f < FROZEN_F:
        raise InputError(
            "unit",
            f"would make the concrete frozen ({middle_f:.0f} F in the middle of the log). Is the file in C? "
            "If it is right, say so below.",
        )
    if middle_f > SCALDING_F:
        raise InputError(
            "unit",
            f"would make the concrete {middle_f:.0f} F in the middle of the log. Is the file in F? "
            "If it is right, say so below.",
        )


# --- what was met on the way, in words ----------------------------------------------------------------


def _celsius(columns: Sequence[_Column]) -> tuple[str, ...]:
    names = [c.sensor for c in columns if c.unit == "C"]
    return (f"Read as C and turned into F: {', '.join(names)}.",) if names else ()


def _order(at_s: Numbers) -> tuple[str, ...]:
    back = int((np.diff(at_s) < 0).sum())
    if not back:
        return ()
    times = "once" if back == 1 else f"{back:,} times"
    return (f"The lines go back in time {times}; they are put in order.",)


def _blanks(columns: Sequence[_Column], columns_f: Sequence[Numbers]) -> tuple[str, ...]:
    counts = [(c.sensor, int(np.isnan(temps).sum())) for c, temps in zip(columns, columns_f, strict=True)]
    return tuple(f"{name}: {n:,} blank cells, silent there." for name, n in counts if n)


def _jumps(traces: Traces, zone: ZoneInfo) -> tuple[str, ...]:
    """A step in the middle of the file: its unit was changed, or the sensor came out or was set in."""
    words = []
    for trace in traces.values():
        steps = np.abs(np.diff(trace.temp_f))
        near = np.diff(trace.at_s) <= JUMP_WITHIN_H * 3600
        places = np.flatnonzero((steps > JUMP_F) & near)
        if len(places):
            n = int(places[0])
            words.append(
                f"{trace.sensor}: from {trace.temp_f[n]:.0f} to {trace.temp_f[n + 1]:.0f} F within the hour "
                f"after {said(instant(trace.at_s[n]), zone)}. Did the unit change, or was the sensor moved?"
            )
    return tuple(words)


def _silences(traces: Sequence[Trace], zone: ZoneInfo) -> tuple[str, ...]:
    """Silences of more than four readings of the logger's own interval and an hour, the longest named."""
    words = []
    for trace in traces:
        hours = np.diff(trace.at_s) / 3600
        if not len(hours):
            continue
        long = np.flatnonzero(hours > max(4 * float(np.median(hours)), 1.0))
        if len(long):
            worst = int(long[np.argmax(hours[long])])
            count = "one gap in the readings" if len(long) == 1 else f"{len(long)} gaps in the readings"
            begin = said(instant(trace.at_s[worst]), zone)
            words.append(f"{trace.sensor}: {count}, the longest {hours[worst]:.0f} h from {begin}.")
    return tuple(words)
