"""What does not fit between lifts and the bookings of cranes, in words. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from crew.plan.clashes import Clash, DayFact, listed, short
from crew.plan.order import LIFTS


@dataclass(frozen=True)
class CraneFact:
    """``rented``: it comes only when it is booked."""

    pk: int
    name: str
    rented: bool


@dataclass(frozen=True)
class BookingFact:
    """``cancelled`` is the reason of one that was taken back."""

    pk: int
    crane: int
    first: date
    last: date
    confirmed: bool
    cancelled: str = ""

    def covers(self, crane: int | None, on: date) -> bool:
        return crane == self.crane and self.first <= on <= self.last


@dataclass(frozen=True)
class CraneFacts:
    cranes: Mapping[int, CraneFact]
    bookings: tuple[BookingFact, ...]


def crane_clashes(days: Iterable[DayFact], known: CraneFacts, today: date) -> Iterable[Clash]:
    """A lift without a crane or a confirmed booking, one crane on two jobs, a booking without a lift."""
    lifts = [day for day in days if day.phase in LIFTS and not day.started]
    yield from _two_jobs(lifts, known)
    for day in lifts:
        words = _of_lift(day, known)
        if words:
            yield Clash((day.pk,), (day.job,), day.on, words)
    standing = [b for b in known.bookings if not b.cancelled and b.last >= today]
    for booking in standing:
        if not any(booking.covers(day.crane, day.on) for day in lifts):
            name, until = known.cranes[booking.crane].name, f" to {short(booking.last)}"
            span = short(booking.first) + (until if booking.last > booking.first else "")
            yield Clash(
                (), (), booking.first, f"{name} is booked {span}, and no lift is planned with it then"
            )
    yield from _twice(standing, known)


def _of_lift(day: DayFact, known: CraneFacts) -> str:
    crane = known.cranes.get(day.crane) if day.crane is not None else None
    if crane is None:
        return "no crane is named for this lift"
    if not crane.rented:
        return ""
    covering = [b for b in known.bookings if b.covers(crane.pk, day.on)]
    if any(b.confirmed and not b.cancelled for b in covering):
        return ""
    if any(not b.cancelled for b in covering):
        return f"{crane.name} is requested and not confirmed"
    if covering:
        why = covering[-1].cancelled.rstrip(".")
        return f"{crane.name} was cancelled ({why}) and is not booked again"
    return f"{crane.name} is not booked"


def _two_jobs(lifts: Iterable[DayFact], known: CraneFacts) -> Iterable[Clash]:
    held: dict[tuple[int, date], list[DayFact]] = defaultdict(list)
    for day in sorted(lifts, key=lambda d: (d.on, d.job, d.pk)):
        if day.crane is not None and day.crane in known.cranes:
            held[day.crane, day.on].append(day)
    for (crane, on), both in held.items():
        jobs = tuple(sorted({day.job for day in both}))
        if len(jobs) > 1:
            words = f"{known.cranes[crane].name} is on {listed(list(jobs))} the same day"
            yield Clash(tuple(day.pk for day in both), jobs, on, words)


def _twice(standing: list[BookingFact], known: CraneFacts) -> Iterable[Clash]:
    for place, one in enumerate(standing):
        for other in standing[place + 1 :]:
            if one.crane == other.crane and one.first <= other.last and other.first <= one.last:
                on = max(one.first, other.first)
                yield Clash((), (), on, f"{known.cranes[one.crane].name} is booked twice on {short(on)}")
