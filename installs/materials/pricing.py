"""Which price of a good counts, and what a job's lists come to by it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from installs.jobs.material_lines import Good, Line
from installs.materials.models import Price

OLD_AFTER = timedelta(days=182)  # half a year: common practice, no source


def counting_prices() -> dict[Good, Price]:
    """The newest quote of every good; of two of one day the one recorded last.

    A price of None is one that was withdrawn.
    """
    place = Window(RowNumber(), [F("good"), F("unit")], [F("quoted_on").desc(), F("pk").desc()])
    newest = Price.objects.annotate(place=place).filter(place=1).select_related("recorded_by")
    return {Good(price.good, price.unit): price for price in newest}


def is_old(price: Price, today: date) -> bool:
    return price.quoted_on < today - OLD_AFTER


@dataclass(frozen=True)
class Priced:
    """A line with the quote it is priced by, if there is one."""

    line: Line
    price: Price | None

    @property
    def usd(self) -> float | None:
        if self.price is None or self.price.usd is None:
            return None
        return self.line.sold * self.price.usd


@dataclass(frozen=True, kw_only=True)
class Cost:
    """What lines come to: at least ``usd`` while any of them is without a price."""

    usd: float
    unpriced: int
    of: int
    old: int

    @property
    def is_whole(self) -> bool:
        return self.unpriced == 0 and self.of > 0


def priced(line: Line, prices: Mapping[Good, Price]) -> Priced:
    return Priced(line, prices.get(line.sold_as))


def cost_of(lines: Iterable[Priced], today: date) -> Cost:
    every = list(lines)
    known = [each for each in every if each.usd is not None]
    old = sum(1 for each in known if each.price and is_old(each.price, today))
    return Cost(
        usd=sum(each.usd or 0.0 for each in known),
        unpriced=len(every) - len(known),
        of=len(every),
        old=old,
    )
