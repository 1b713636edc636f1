"""Working days: Monday to Friday but holidays and closed days. Pure.

Crews and a utility's business days count by the same rule. Which weekdays are worked is common practice, no
source; a crew may be put on any day by hand.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from functools import lru_cache

DAY = timedelta(days=1)
SATURDAY, SUNDAY = 5, 6
FURTHEST = 800  # days looked ahead for a working day


@lru_cache(maxsize=256)
def holidays_of(state: str, year: int) -> Mapping[date, str]:
    """Public holidays of a US state, by the ``holidays`` package; federal ones of "" or a state it does not
    know."""
    import holidays

    try:
        return dict(holidays.country_holidays("US", subdiv=state or None, years=year))
    except NotImplementedError:
        return dict(holidays.country_holidays("US", years=year))


def holidays_between(state: str, first: date, last: date) -> dict[date, str]:
    return {
        on: name
        for year in range(first.year, last.year + 1)
        for on, name in holidays_of(state, year).items()
        if first <= on <= last
    }


def day_off(on: date, off: Mapping[date, str]) -> str:
    """Why nobody works on the day; "" for a working day. ``off`` are holidays and closed days by date."""
    if on in off:
        return off[on]
    return {SATURDAY: "Saturday", SUNDAY: "Sunday"}.get(on.weekday(), "")


def next_working(on: date, off: Mapping[date, str]) -> date:
    """The day itself where it is a working day, else the next that is. ValueError if none comes."""
    for n in range(FURTHEST):
        if not day_off(day := on + n * DAY, off):
            return day
    raise ValueError("no working day is left")


def working_between(first: date, second: date, off: Mapping[date, str]) -> int:
    """How many working days lie from ``first``, not counted, to ``second``; less than nothing backward."""
    if second < first:
        return -working_between(second, first, off)
    return sum(not day_off(first + n * DAY, off) for n in range(1, (second - first).days + 1))


def later_by(on: date, days: int, off: Mapping[date, str]) -> date:
    """The working day that lies so many working days after ``on``; with 0 the day or the next working day."""
    found = next_working(on, off)
    for _ in range(days):
        found = next_working(found + DAY, off)
    return found
