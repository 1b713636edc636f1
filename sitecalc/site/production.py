"""What a machine may be expected to have produced between two days, by the site's estimate of a year."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from sitecalc.inputs import InputError
from sitecalc.site.energy import HOURS_PER_YEAR, MONTH_HOURS


@dataclass(frozen=True, kw_only=True)
class YearEnergy:
    """The estimate of a year, kWh: as worked out, and from ``low`` to ``high`` as measured machines gave.

    ``monthly_kwh`` are twelve shares of ``net_kwh``; without them the year is spread evenly.
    """

    net_kwh: float
    low_kwh: float
    high_kwh: float
    monthly_kwh: tuple[float, ...] = ()

    @property
    def by_month(self) -> bool:
        return len(self.monthly_kwh) == 12

    def a_day(self, month: int) -> float:
        """As worked out, kWh a day in that month (January is 1)."""
        if self.by_month:
            return 24 * self.monthly_kwh[month - 1] / MONTH_HOURS[month - 1]
        return 24 * self.net_kwh / HOURS_PER_YEAR

    def banded(self, net_kwh: float) -> tuple[float, float]:
        """Of a part of the year what measured machines gave: the year's own shares of it."""
        if self.net_kwh <= 0:
            return 0.0, 0.0
        return net_kwh * self.low_kwh / self.net_kwh, net_kwh * self.high_kwh / self.net_kwh


def stretches(first: date, last: date) -> Iterator[tuple[date, date]]:
    """Month by month from the first day to before the last. InputError where it ends before it begins."""
    if last < first:
        raise InputError("last", "is before the first day.")
    start = first
    while start < last:
        end = min(last, _next_month(start))
        yield start, end
        start = end


def expected_kwh(year: YearEnergy, first: date, last: date) -> float:
    """kWh as worked out, from the first day to before the last: days of each month times its kWh a day."""
    return sum((end - start).days * year.a_day(start.month) for start, end in stretches(first, last))


def _next_month(day: date) -> date:
    return (day.replace(day=28) + timedelta(days=4)).replace(day=1)
