"""What an entry can say beside its words: each key of each code, with its type and range, declared once.

The room that reads a code declares its keys (``<room>/said.py``) and names them in installs/apps.py. The
phone's API, forms at a desk and the lines of a paper ask the same declaration before an entry is taken, and
readers take ``entry.said`` and ``entry.reading``, where each value is what its kind says: an instant, a
number, a list of names. What is outside its declaration cannot be read: the entry is kept as it came, says
why, and counts for nothing until it is corrected. A key that nobody declared is kept and marked: no fault.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sitecalc.cells import outside

YEARS = range(2000, 2101)
# clocks of the world are at most 14 h from UTC; PostgreSQL keeps offsets up to 15:59
FARTHEST_OFFSET = timedelta(hours=15, minutes=59)
LARGEST_READING = 1e12  # an insulation tester's ohms end below it; what is larger is a slip of the keys
AS_SENT = "as_sent"  # what no database keeps in its place, as the text that came
# a paper keyed in, a logger's file, our own note of what cannot be kept: never by a phone
OF_DESK = frozenset({"from_paper", "by", "file", "read", AS_SENT})
MOST_KEY = 2**31 - 1  # what no database refuses to look for
SHOWN = 60  # of a value that cannot be read
INSTANT = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d{1,6})?)?(Z|[+-]\d\d:?\d\d)?", re.ASCII)


class Unreadable(ValueError):
    """A value outside its declaration; its message says what it can be."""


class Kind:
    """One kind of value: ``read`` gives it as the readers take it, or raises Unreadable."""

    def read(self, value: Any) -> Any:
        raise NotImplementedError


@dataclass(frozen=True)
class Flag(Kind):
    def read(self, value: Any) -> bool:
        if isinstance(value, bool):
            return value
        raise Unreadable("it can be yes or no")


@dataclass(frozen=True)
class Number(Kind):
    low: float
    high: float
    unit: str = ""

    def read(self, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
            raise Unreadable("it can only be a number")
        if words := outside(value, self.low, self.high, self.unit):
            raise Unreadable(words.rstrip("."))
        return float(value)


@dataclass(frozen=True)
class Whole(Kind):
    low: int
    high: int

    def read(self, value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not self.low <= value <= self.high:
            raise Unreadable(f"it can be a whole number from {self.low:,} to {self.high:,}")
        return value


@dataclass(frozen=True)
class Words(Kind):
    most: int

    def read(self, value: Any) -> str:
        if not isinstance(value, str) or len(value) > self.most:
            raise Unreadable(f"it can be words, up to {self.most} characters")
        return value


@dataclass(frozen=True)
class Choice(Kind):
    choices: tuple[str, ...]

    def read(self, value: Any) -> str:
        if not isinstance(value, str) or value not in self.choices:
            raise Unreadable(f"it can be {' or '.join(self.choices)}")
        return value


@dataclass(frozen=True)
class Instant(Kind):
    """ISO text with its offset from UTC; with ``site`` it may have none, and is by the clock at the site."""

    site: bool = False

    def read(self, value: Any) -> datetime:
        try:
            at = (
                datetime.fromisoformat(value) if isinstance(value, str) and INSTANT.fullmatch(value) else None
            )
        except ValueError:
            at = None
        if at is None:
            raise Unreadable("it can only be a day and a time")
        offset = at.utcoffset()
        if offset is None and not self.site:
            raise Unreadable("its offset from UTC is missing")
        if offset is not None and abs(offset) > FARTHEST_OFFSET:
            raise Unreadable("no clock is so far from UTC")
        if at.year not in YEARS:
            raise Unreadable(f"it can be in the years {YEARS[0]} to {YEARS[-1]}")
        return at


@dataclass(frozen=True)
class Several(Kind):
    """A list of one kind."""

    kind: Kind
    most: int

    def read(self, value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or len(value) > self.most:
            raise Unreadable(f"it can be a list of up to {self.most}")
        return tuple(self.kind.read(each) for each in value)


@dataclass(frozen=True)
class OneOf(Kind):
    """Of several kinds the first that reads it."""

    kinds: tuple[Kind, ...]

    def read(self, value: Any) -> Any:
        faults = []
        for kind in self.kinds:
            try:
                return kind.read(value)
            except Unreadable as error:
                faults.append(str(error))
        raise Unreadable(", or ".join(faults))


@dataclass(frozen=True)
class Parts(Kind):
    """An object of declared keys; another key in it cannot be read."""

    keys: Mapping[str, Kind]

    def read(self, value: Any) -> dict[str, Any]:
        if not isinstance(value, dict) or set(value) - set(self.keys):
            raise Unreadable(f"it can have {', '.join(_named(key) for key in self.keys)}")
        return {key: self.keys[key].read(each) for key, each in value.items() if each is not None}


@dataclass(frozen=True)
class Within:
    """The reading itself, in the unit of its item."""

    low: float
    high: float

    def fault(self, value: float, unit: str) -> str:
        return outside(value, self.low, self.high, unit)


@dataclass(frozen=True)
class Schema:
    """What entries of some codes can say: ``number`` holds the reading, ``keys`` what is beside it."""

    codes: tuple[str, ...]
    keys: Mapping[str, Kind]
    number: Within | None = None


ANY = Within(-LARGEST_READING, LARGEST_READING)
# of every code. What a camera wrote into its picture is shown beside it, and rules over nothing
EVERY: dict[str, Kind] = {
    "cannot": Flag(),
    "failed": Flag(),
    "struck": Flag(),  # what it corrects was not so, and nothing is put in its place
    "signed": Words(80),
    "out_of_tolerance": Flag(),
    "confirmed": Several(Words(500), 20),
    "plan": Words(12),
    "from_paper": Flag(),
    "by": Whole(1, MOST_KEY),
}
BESIDE: dict[str, Kind] = {
    "photo_taken_at": Instant(site=True),
    "photo_lat": Number(-90, 90),
    "photo_lon": Number(-180, 180),
}
_keys: dict[str, dict[str, Kind]] = {}
_numbers: dict[str, Within] = {}


def declared(schemas: Iterable[Schema]) -> None:
    """Take what a room declares; once for each key of a code."""
    for schema in schemas:
        for code in schema.codes:
            _keys.setdefault(code, {}).update(schema.keys)
            if schema.number is not None:
                _numbers[code] = schema.number


def declaration(code: str) -> dict[str, Kind]:
    """Every key that an entry of this code can have."""
    return {**EVERY, **BESIDE, **_keys.get(code, {})}


def codes() -> tuple[str, ...]:
    """Those of which a room has said more than what holds of every entry."""
    return tuple(sorted({*_keys, *_numbers}))


@dataclass(frozen=True)
class Reading:
    """What can be read of an entry, by key, and what cannot, in words. ``strange`` are keys unknown."""

    values: Mapping[str, Any]
    faults: tuple[str, ...] = ()
    strange: tuple[str, ...] = ()


def number_fault(code: str, number: float | None, unit: str = "") -> str:
    """Why a reading of this code cannot be one; "" where it can."""
    if number is None:
        return ""
    if not math.isfinite(number) or abs(number) > LARGEST_READING:
        return f"{number:g} cannot be read off anything."
    return _numbers.get(code, ANY).fault(number, unit)


def read_said(code: str, number: float | None, unit: str, data: Any) -> Reading:
    """An entry's figures by their declaration."""
    faults = []
    if wrong := number_fault(code, number, unit):
        faults.append(wrong.rstrip("."))
    if not isinstance(data, dict):
        return Reading({}, (*faults, "what is beside it is no set of words and numbers"))
    kinds, values = declaration(code), {}
    for key, value in data.items():
        if key == AS_SENT:
            faults += _as_sent(value)
        elif key in kinds and value is not None:
            try:
                values[key] = kinds[key].read(value)
            except Unreadable as error:
                if key not in BESIDE:
                    faults.append(f"{_named(key)} {_shown(value)}: {error}")
    strange = tuple(key for key in data if key not in kinds and key != AS_SENT)
    return Reading(values, tuple(faults), strange)


def _as_sent(value: Any) -> list[str]:
    """What came in place of a number, of words, of further figures."""
    given = value if isinstance(value, dict) else {"entry": value}
    return [f"{_named(str(name))} came as {_shown(text)}" for name, text in given.items()]


def _named(key: str) -> str:
    return key.replace("_", " ")[:40]


def _shown(value: Any) -> str:
    text = value if isinstance(value, str) else json.dumps(value)
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 1]}…"
