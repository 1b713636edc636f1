"""What the utility owes by which day, in business days of its own holidays. Pure: today is given.

Counting: the day after the day it was sent is the first; what is sent on a day off counts as received on the
next business day (common practice, no source). Completeness counts from the day it was sent, screens from
the day it was found complete, the witness test from the day it was asked for. What is incomplete stops the
clock until it is sent again, and then it begins anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sitecalc.utility.progress import ANSWERS, Happened, State, in_order
from sitecalc.workdays import holidays_between, later_by, working_between

LOOK_BACK, LOOK_AHEAD = timedelta(days=31), timedelta(days=800)


@dataclass(frozen=True, kw_only=True)
class Periods:
    """Business days that the utility has; None: not known, and then nothing is due on a day."""

    acknowledge: int | None
    complete: int | None
    screen: int | None
    witness: int | None


@dataclass(frozen=True, kw_only=True)
class Due:
    """One thing the utility owes. ``expected``: counted from a day that is itself only due."""

    title: str
    since: date
    days: int | None
    on: date | None
    done_on: date | None = None
    expected: bool = False
    late: int = 0  # business days over, as of the answer or of today

    @property
    def overdue(self) -> bool:
        return self.late > 0 and self.done_on is None


def days_off(lines: Sequence[Happened], today: date, more: Mapping[date, str]) -> dict[date, str]:
    """Federal holidays round these days by the ``holidays`` package, and the utility's own."""
    first = min([today, *(line.on for line in lines)])
    return holidays_between("", first - LOOK_BACK, today + LOOK_AHEAD) | dict(more)


def dues(
    periods: Periods, lines: Sequence[Happened], today: date, off: Mapping[date, str]
) -> tuple[Due, ...]:
    """Of the newest sending; none before anything is sent."""
    ordered = in_order(line for line in lines if line.on <= today)
    last = max((n for n, line in enumerate(ordered) if line.state is State.SENT), default=None)
    if last is None:
        return ()
    sent, after = ordered[last].on, ordered[last + 1 :]

    def first(*states: State) -> date | None:
        return next((line.on for line in after if line.state in states), None)

    def due(title: str, since: date, days: int | None, done: date | None, expected: bool = False) -> Due:
        on = None if days is None else later_by(since, days, off)
        until = done or today
        late = 0 if on is None or expected else max(0, working_between(on, until, off))
        return Due(
            title=title,
            since=since,
            days=days,
            on=on,
            done_on=done,
            expected=expected and not done,
            late=late,
        )

    place = {state: n for n, state in enumerate(State)}
    beyond = [state for state in State if place[state] > place[State.COMPLETE]]
    complete = due(
        "Say whether it is complete",
        sent,
        periods.complete,
        first(State.COMPLETE, State.INCOMPLETE, *beyond),
    )
    found = [due("Acknowledge", sent, periods.acknowledge, first(*ANSWERS)), complete]
    screened = first(*(state for state in beyond))
    if found_complete := first(State.COMPLETE):
        found.append(due("Screen", found_complete, periods.screen, screened))
    elif complete.done_on is None and complete.on is not None:
        found.append(due("Screen", complete.on, periods.screen, screened, expected=True))
    if asked := first(State.WITNESS):
        found.append(due("Witness the test", asked, periods.witness, first(State.TESTED, State.OPERATE)))
    return tuple(found)
