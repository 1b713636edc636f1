"""When the curing days will be reached, from expected temperatures. A forecast, never evidence.

Expected daily means come from twelve monthly normals of the place, which are passed in. Each normal
stands for the middle of its month; between two middles the temperature runs straight. While the pad
is kept warm (blankets, heat), it is expected at least at the temperature held.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sitecalc.cases import ranged_as, same_as
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.pour.curing import worth_of
from sitecalc.pour.figures import MonthsRow, PourFigures
from sitecalc.pour.maturity import MixMaturity, age_rate

LABEL = "forecast from monthly normals; not evidence"
FURTHEST_DAYS = 550


@dataclass(frozen=True)
class Expected:
    """Expected temperatures of the place, and how the pad is kept."""

    normals_f: tuple[float, ...] = ranged_as(MonthsRow, "jan", "mean air of January to December")
    held_f: float = same_as(PourFigures, "held_f")
    held_through: date | None = quantity("", "last date on which it is kept so", default=None)


@dataclass(frozen=True)
class ForecastCase:
    expected: Expected = quantity("", "expected temperatures")
    counted_through: date = quantity("", "last date counted in the log")
    counted_days: float = quantity("days", "curing days counted by then", low=0, high=1000)
    # days are counted toward any number; that no tower waits for fewer than 28 is the form's
    required_days: float = same_as(PourFigures, "curing_days", low=1, high=365)


@dataclass(frozen=True)
class ForecastDay:
    day: date
    expected_f: float
    worth: float


@dataclass(frozen=True)
class Forecast:
    """``opens_on`` is the first date at whose beginning the days are complete; None if not foreseen."""

    days: tuple[ForecastDay, ...]
    reached_on: date | None
    opens_on: date | None
    label: str


def forecast_curing(case: ForecastCase) -> Forecast:
    """The days to come until the curing days are reached, with their expected means in F. Never evidence.

    Each day counts by :func:`sitecalc.pour.curing.worth_of` at the mean of :func:`expected_mean`; none is
    foreseen beyond the furthest day of this module. InputError unless there are twelve normals.
    """
    require_valid(case)
    require_twelve(case.expected.normals_f)
    total = case.counted_days
    days: list[ForecastDay] = []
    day = case.counted_through
    while total < case.required_days - 1e-9:
        day += timedelta(days=1)
        if (day - case.counted_through).days > FURTHEST_DAYS:
            return Forecast(tuple(days), None, None, LABEL)
        expected_f = expected_mean(case.expected, day)
        days.append(ForecastDay(day, expected_f, worth_of(expected_f)))
        total += days[-1].worth
    return Forecast(tuple(days), day, day + timedelta(days=1), LABEL)


def require_twelve(normals_f: Sequence[float]) -> None:
    """InputError unless there is a mean of every month, F."""
    if len(normals_f) != 12:
        raise InputError("normals_f", f"has {len(normals_f)} values; one for each of the twelve months.")


def expected_mean(expected: Expected, day: date) -> float:
    """Expected mean temperature of the pad on a date, F: air, or the temperature held if that is warmer.

    Air as of :func:`normal_on`. This project's own rule; a forecast.
    """
    air = normal_on(expected.normals_f, day)
    held = expected.held_through is not None and day <= expected.held_through
    return max(air, expected.held_f) if held else air


def normal_on(normals_f: Sequence[float], day: date) -> float:
    """The normal of a date, straight between the middles (the 15th) of two months."""
    before = day.replace(day=15) if day.day >= 15 else _middle(day.year, day.month - 1)
    after = _middle(before.year, before.month + 1)
    part = (day - before).days / (after - before).days
    first, second = normals_f[before.month - 1], normals_f[after.month - 1]
    return first + (second - first) * part


def _middle(year: int, month: int) -> date:
    if month < 1:
        return date(year - 1, 12, 15)
    return date(year + 1, 1, 15) if month > 12 else date(year, month, 15)


def age_reached_on(
    expected: Expected, mix: MixMaturity, counted_through: date, age_days: float, wanted_days: float
) -> date | None:
    """Date on which the equivalent age (days at the reference temperature) is expected to be reached.

    age_days, wanted_days
        reached at the end of ``counted_through``, and asked for.

    Each day adds :func:`sitecalc.pour.maturity.age_rate` at :func:`expected_mean`. For planning when to break
    cylinders, never evidence; None if it is not foreseen.
    """
    day, age = counted_through, age_days
    while age < wanted_days - 1e-9:
        day += timedelta(days=1)
        if (day - counted_through).days > FURTHEST_DAYS:
            return None
        age += age_rate(expected_mean(expected, day), mix)
    return day
