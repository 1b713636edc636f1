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
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from statistics import median
from zoneinfo import ZoneInfo

from sitecalc.inputs import InputError
from sitecalc.pour.readings import AirReading, ConcreteReading, zone_of

MOST_LINES = 300_000
HEADER_WITHIN = 40
COLDEST_F, HOTTEST_F = -60.0, 212.0
FROZEN_F, SCALDING_F = 32.0, 150.0  # a whole log whose median lies outside is another unit, or a disaster
UNITS = ("F", "C")
CLOCKS = ("site", "standard")
_TIME_NAMES = re.compile(r"date|time|timestamp", re.I)
_UNIT = re.compile(r"(?:[(\[,]\s*(?:°|º|deg\.?)?|°|º|\bdeg\.?)\s*([FC])\b", re.I)
_PATTERNS = (
    "%m/%d/%Y %H:%M:%S",
    "%m/%d/%Y %H:%M",
    "%m/%d/%Y %I:%M:%S %p",
    "%m/%d/%Y %I:%M %p",
    "%m/%d/%y %H:%M:%S",
    "%m/%d/%y %H:%M",
    "%m/%d/%y %I:%M:%S %p",
    "%m/%d/%y %I:%M %p",
)


@dataclass(frozen=True)
class LoggerLog:
    concrete: tuple[ConcreteReading, ...]
    air: tuple[AirReading, ...]
    sensors: tuple[str, ...]
    first: datetime
    last: datetime


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


def parse_log(text: str, *, zone: str, unit: str = "F", clock: str = "site", sure: bool = False) -> LoggerLog:
    """Readings of a logger's file, temperatures in F.

    ``unit`` is that of columns which do not name theirs. ``sure`` takes a log whose temperatures look
    like another unit. InputError on field "file" names the line and what is wrong with it.
    """
    if unit not in UNITS:
        raise InputError("unit", "is neither F nor C.")
    if clock not in CLOCKS:
        raise InputError("clock", "is neither site nor standard.")
    rows = _rows(text)
    header_at, times, columns = _header(rows, unit)
    read_time = _Clock(zone_of(zone), standard=clock == "standard")
    concrete: list[ConcreteReading] = []
    air: list[AirReading] = []
    for line, row in enumerate(rows[header_at + 1 :], start=header_at + 2):
        if not any(cell.strip() for cell in row):
            continue
        at = read_time(" ".join(row[i].strip() for i in times if i < len(row)), line)
        for column in columns:
            value = _value(row, column, line)
            if value is None:
                continue
            if column.air:
                air.append(AirReading(column.sensor, at, value))
            else:
                concrete.append(ConcreteReading(column.sensor, at, value))
    if not concrete and not air:
        raise InputError("file", "has a header but no reading under it.")
    if concrete and not sure:
        _right_unit([r.temp_f for r in concrete])
    instants = [r.at for r in (*concrete, *air)]
    names = tuple(dict.fromkeys(r.sensor for r in (*concrete, *air)))
    return LoggerLog(tuple(concrete), tuple(air), names, min(instants), max(instants))


def _rows(text: str) -> list[list[str]]:
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        raise InputError("file", f"has {len(lines):,} lines; at most {MOST_LINES:,} are taken.")
    sample = "\n".join(lines[:HEADER_WITHIN])
    delimiter = max(",;\t", key=sample.count)
    try:
        return list(csv.reader(io.StringIO("\n".join(lines)), delimiter=delimiter))
    except csv.Error as error:
        raise InputError("file", f"is not CSV: {error}.") from error


def _header(rows: Sequence[Sequence[str]], unit: str) -> tuple[int, tuple[int, ...], tuple[_Column, ...]]:
    """Place of the header line, its time columns and its sensor columns."""
    for at, row in enumerate(rows[:HEADER_WITHIN]):
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


def _value(row: Sequence[str], column: _Column, line: int) -> float | None:
    """Temperature in F; None for a blank cell."""
    cell = row[column.index].strip() if column.index < len(row) else ""
    if not cell:
        return None
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError("file", f'line {line}, {column.sensor}: "{cell[:20]}" is not a temperature.')
    temp_f = value if column.unit == "F" else value * 9 / 5 + 32
    if not COLDEST_F <= temp_f <= HOTTEST_F:
        raise InputError(
            "file",
            f"line {line}, {column.sensor}: {value:g} {column.unit} is no temperature of concrete or air.",
        )
    return temp_f


def _right_unit(temps_f: Sequence[float]) -> None:
    middle = median(temps_f)
    if middle < FROZEN_F:
        raise InputError(
            "unit",
            f"would make the concrete frozen ({middle:.0f} F in the middle of the log). Is the file in C? "
            "If it is right, say so below.",
        )
    if middle > SCALDING_F:
        raise InputError(
            "unit",
            f"would make the concrete {middle:.0f} F in the middle of the log. Is the file in F? "
            "If it is right, say so below.",
        )


class _Clock:
    """Reads times line by line; where the site's clock is set back, the second of two equal hours is known
    by the order of the lines."""

    def __init__(self, zone: ZoneInfo, *, standard: bool) -> None:
        self.zone, self.standard = zone, standard
        self.last: datetime | None = None

    def __call__(self, text: str, line: int) -> datetime:
        local = _moment(text, line)
        if local.tzinfo is not None:
            return local.astimezone(UTC)
        if self.standard:
            january = datetime(local.year, 1, 1, tzinfo=self.zone)
            summer = january.dst() or timedelta(0)
            offset = (january.utcoffset() or timedelta(0)) - summer
            return local.replace(tzinfo=timezone(offset)).astimezone(UTC)
        instant = local.replace(tzinfo=self.zone).astimezone(UTC)
        if instant.astimezone(self.zone).replace(tzinfo=None) != local:
            raise InputError(
                "file",
                f"line {line}: {text} did not exist at the site, its clock was set forward. "
                "Does the logger keep standard time all year?",
            )
        if self.last is not None and instant < self.last:
            second = local.replace(tzinfo=self.zone, fold=1).astimezone(UTC)
            instant = second if second > self.last else instant
        self.last = instant
        return instant


def _moment(text: str, line: int) -> datetime:
    try:
        return datetime.fromisoformat(text.strip())
    except ValueError:
        pass
    for pattern in _PATTERNS:
        try:
            return datetime.strptime(text.strip(), pattern)
        except ValueError:
            continue
    raise InputError(
        "file", f'line {line}: "{text[:30]}" is not a time like 2031-05-09 19:00 or 05/09/2031 7:00 PM.'
    )
