"""How a day, an hour of the day and a quantity are written, on screen, on the phone and on paper."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, time


def day_words(
    on: date, *, weekday: bool = False, year: bool = False, long: bool = False, beside: Iterable[date] = ()
) -> str:
    """ "May 9", "Fri May 9", "May 9, 2031"; ``long`` "Friday, May 9, 2031" with the names in full.

    ``on`` is a date, or an instant already at the clock of its site. ``beside`` are the days that it is read
    beside, first of all the one that is asked about: with one of another year it has its own. What is kept
    for good has its ``year`` always.
    """
    with_year = year or any(other.year != on.year for other in beside)
    month = f"{on:%B}" if long else f"{on:%b}"
    name = (f"{on:%A}, " if long else f"{on:%a} ") if weekday else ""
    return f"{name}{month} {on.day}{f', {on.year}' if with_year else ''}"


def clock_words(at: datetime | time) -> str:
    """ "7:30 AM", on screen, on the phone and on paper."""
    return f"{at:%I:%M %p}".lstrip("0")


def clock_field(at: datetime | time) -> str:
    """ "07:30", as a browser's field of an hour takes and gives it; no page shows it as words."""
    return f"{at:%H:%M}"


def span_words(seconds: float) -> str:
    """ "3 d 4 h", "2 h 5 min", "12 min" """
    minutes = round(seconds / 60)
    days, hours, left = minutes // 1440, minutes % 1440 // 60, minutes % 60
    if days:
        return f"{days} d {hours} h"
    return f"{hours} h {left} min" if hours else f"{left} min"


def quantity_words(value: float, unit: str) -> str:
    """ "4.25 in" as it was read, to six figures at most; the bare number where there is no unit."""
    text = f"{value:g}"
    if "e+" in text and abs(value) < 1e12:
        text = f"{value:,.0f}"  # 3,000,000 lb, not 3e+06
    return f"{text} {unit_words(unit)}".strip()


def dollar_words(usd: float) -> str:
    """ "$12,410", below a thousand with its cents, below ten with a third decimal where there is one."""
    if usd >= 1000:
        return f"${usd:,.0f}"
    cents = f"{usd:.3f}" if usd < 10 else f"{usd:.2f}"
    return "$" + (cents[:-1] if len(cents.partition(".")[2]) == 3 and cents.endswith("0") else cents)


POWER = re.compile(r"\b(in|ft|yd|m)([23])\b|\bsq ft\b")


def unit_words(text: str) -> str:
    """ "yd³" of yd3, "ft²" of ft2 and sq ft, in a unit or a sentence; what is kept is without the sign."""
    return POWER.sub(lambda found: found[1] + "²³"[int(found[2]) - 2] if found[1] else "ft²", text)
