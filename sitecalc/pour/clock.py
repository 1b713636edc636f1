"""A logger's times as instants: the site's clock with its changes, or standard time all year."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from sitecalc.inputs import InputError
from sitecalc.pour.readings import Numbers, instant
from sitecalc.wording import day_words

EPOCH = datetime(1970, 1, 1)
_AMERICAN = re.compile(
    r"(\d{1,2})/(\d{1,2})/(\d{4}|\d\d)\s+(\d{1,2}):(\d\d)(?::(\d\d)(?:\.\d+)?)?(?:\s*([AP])\.?M\.?)?", re.I
)


@dataclass(frozen=True, kw_only=True)
class ClockChange:
    """The site's clock goes from one offset to another (s ahead of UTC) at an instant (s)."""

    at_s: float
    before_s: float
    after_s: float

    @property
    def local_s(self) -> tuple[float, float]:
        """Between these two local times lie the hour that is doubled, or the one that is left out."""
        ends = (self.at_s + self.before_s, self.at_s + self.after_s)
        return min(ends), max(ends)


def instants_of(
    texts: Sequence[str], lines: Sequence[int], zone: ZoneInfo, *, standard: bool
) -> tuple[Numbers, tuple[str, ...]]:
    """Instants (s) of times as written on the lines, and what the clock change asked for, in words.

    InputError on "file" for what is no time, or a time that the site's clock left out.
    """
    moments = [_moment(text, line) for text, line in zip(texts, lines, strict=True)]
    if any(m.tzinfo is not None for m in moments):
        return _with_offsets(moments, texts, lines), ()
    local_s = np.array([(m - EPOCH).total_seconds() for m in moments])
    if standard:
        years = {m.year for m in moments}
        ahead = {year: _standard_offset(year, zone) for year in years}
        return local_s - np.array([ahead[m.year] for m in moments]), ()
    return _by_site(local_s, texts, lines, zone)


def _moment(text: str, line: int) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        pass
    found = _AMERICAN.fullmatch(text)
    try:
        if found is None:
            raise ValueError
        month, day, year, hour, minute, second = (int(part or 0) for part in found.groups()[:6])
        half = (found[7] or "").upper()
        if half and not 1 <= hour <= 12:
            raise ValueError
        hour = hour % 12 + 12 * (half == "P") if half else hour
        return datetime(year if year > 99 else 2000 + year, month, day, hour, minute, second)
    except ValueError:
        raise InputError(
            "file",
            f'line {line}: "{text[:30]}" is not a time like 2031-05-09 19:00 or 05/09/2031 7:00 PM.',
        ) from None


def _with_offsets(moments: Sequence[datetime], texts: Sequence[str], lines: Sequence[int]) -> Numbers:
    for moment, text, line in zip(moments, texts, lines, strict=True):
        if moment.tzinfo is None:
            raise InputError("file", f'line {line}: "{text[:30]}" has no offset from UTC, other lines have.')
    return np.array([m.timestamp() for m in moments])


def _standard_offset(year: int, zone: ZoneInfo) -> float:
    january = datetime(year, 1, 1, tzinfo=zone)
    ahead = (january.utcoffset() or timedelta(0)) - (january.dst() or timedelta(0))
    return ahead.total_seconds()


def _by_site(
    local_s: Numbers, texts: Sequence[str], lines: Sequence[int], zone: ZoneInfo
) -> tuple[Numbers, tuple[str, ...]]:
    """By the site's clock. Of a doubled hour the second is known by the order of the lines."""
    changes = clock_changes(float(local_s.min()) - 86400, float(local_s.max()) + 86400, zone)
    offset = np.full(len(local_s), _offset(float(local_s.min()) - 86400, zone))
    words: list[str] = []
    doubled: list[tuple[ClockChange, int]] = []
    for change in changes:
        low, high = change.local_s
        offset[local_s >= high] = change.after_s
        inside = np.flatnonzero((local_s >= low) & (local_s < high))
        if not len(inside):
            continue
        if change.after_s > change.before_s:
            place = inside[0]
            raise InputError(
                "file",
                f"line {lines[place]}: {texts[place]} did not exist at the site, its clock was set forward. "
                "Does the logger keep standard time all year?",
            )
        offset[inside] = change.before_s
        doubled += [(change, int(place)) for place in inside]
        day = instant(change.at_s).astimezone(zone)
        words.append(
            f"The site's clock was set back on {day_words(day)}: {len(inside)} readings of the doubled "
            "hour are told apart by the order of the lines."
        )
    instants = local_s - offset
    for change, place in doubled:
        if place and instants[place] < instants[place - 1]:
            second = local_s[place] - change.after_s
            if second > instants[place - 1]:
                instants[place] = second
    return instants, tuple(words)


def clock_changes(first_s: float, last_s: float, zone: ZoneInfo) -> list[ClockChange]:
    """Changes of the site's clock between two instants, to the second."""
    found = []
    at, before = first_s, _offset(first_s, zone)
    while at < last_s:
        after = _offset(at + 86400, zone)
        if after != before:
            low, high = at, at + 86400
            while high - low > 1:
                middle = (low + high) / 2
                low, high = (middle, high) if _offset(middle, zone) == before else (low, middle)
            found.append(ClockChange(at_s=float(round(high)), before_s=before, after_s=after))
        at, before = at + 86400, after
    return found


def _offset(at_s: float, zone: ZoneInfo) -> float:
    ahead = datetime.fromtimestamp(at_s, UTC).astimezone(zone).utcoffset()
    return ahead.total_seconds() if ahead else 0.0
