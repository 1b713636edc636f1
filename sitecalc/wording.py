"""How a day, an hour of the day and a quantity are written, on screen, on the phone and on paper."""

from __future__ import annotations

import re
from datetime import date, datetime, time


def day_words(on: date, *, weekday: bool = False, year: bool = False, long: bool = False) -> str:
    """ "May 9", "Fri May 9", "May 9, 2031"; ``long`` "Friday, May 9, 2031" with the names in full.

    ``on`` is a date, or an instant already at the clock of its site.
    """
    month = f"{on:%B}" if long else f"{on:%b}"
    name = (f"{on:%A}, " if long else f"{on:%a} ") if weekday else ""
    return f"{name}{month} {on.day}{f', {on.year}' if year else ''}"


def clock_words(at: datetime | time, *, hours: int = 12) -> str:
    """ "7:30 AM" as the desk reads it; by 24 ``hours`` "07:30", as the field does."""
    return f"{at:%H:%M}" if hours == 24 else f"{at:%I:%M %p}".lstrip("0")


def quantity_words(value: float, unit: str) -> str:
    """ "4.25 in" as it was read, to six figures at most; the bare number where there is no unit."""
    text = f"{value:g}"
    if "e+" in text and abs(value) < 1e12:
        text = f"{value:,.0f}"  # 3,000,000 lb, not 3e+06
    return f"{text} {unit}".strip()


CLOCK_OF_THE_DESK = re.compile(r"\b(1[0-2]|[1-9]):([0-5]\d) ([AP])M\b")
POWER = re.compile(r"\b(in|ft|yd|m)([23])\b|\bsq ft\b")


def paper_words(text: str) -> str:
    """Words that the program wrote for screen and paper, as a paper says them: one clock, one way of units.

    "3:00 PM" is "15:00", "ft2" and "sq ft" are "ft²". A sentence that a release has frozen is read so too.
    """
    return POWER.sub(_raised, CLOCK_OF_THE_DESK.sub(_by_24_hours, text))


def _by_24_hours(found: re.Match[str]) -> str:
    hour = int(found[1]) % 12 + (12 if found[3] == "P" else 0)
    return f"{hour:02}:{found[2]}"


def _raised(found: re.Match[str]) -> str:
    return found[1] + "²³"[int(found[2]) - 2] if found[1] else "ft²"
