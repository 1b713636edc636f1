"""The utility's clock: what is due when, in business days of its own holidays."""

from __future__ import annotations

from datetime import date, timedelta

import holidays
import numpy as np
import pytest

from sitecalc.utility.clock import Due, Periods, days_off, dues
from sitecalc.utility.progress import Happened, State, impossible, unusual, waits_for_us

# FERC SGIP (Order 792) Attachment 5, the 10 kW inverter process, as published procedures restate it:
# acknowledge 3 business days, completeness 10, screens 15, witness test 10
SGIP = Periods(acknowledge=3, complete=10, screen=15, witness=10)
SENT = date(2026, 12, 18)


def owed(*lines: Happened, today: date = SENT, periods: Periods = SGIP, **more: str) -> list[Due]:
    extra = {
        date.fromisoformat(day.removeprefix("on_").replace("_", "-")): name for day, name in more.items()
    }
    return list(dues(periods, lines, today, days_off(lines, today, extra)))


def test_a_friday_before_christmas_gives_the_days_counted_by_hand_on_a_calendar() -> None:
    """Without Dec 25, Jan 1 and Jan 18 of 2027 (5 U.S.C. 6103): Dec 23, Jan 5, and 15 from there Jan 27."""
    found = owed(Happened(State.SENT, SENT))
    assert [due.on for due in found] == [date(2026, 12, 23), date(2027, 1, 5), date(2027, 1, 27)]
    assert [due.expected for due in found] == [False, False, True]
    told = Happened(State.COMPLETE, date(2027, 1, 5))
    complete = owed(Happened(State.SENT, SENT), told, today=told.on)
    assert complete[2].on == date(2027, 1, 27)
    assert not complete[2].expected


@pytest.mark.parametrize("offset", range(0, 400, 23))
def test_it_counts_as_numpys_business_day_calendar(offset: int) -> None:
    """numpy.busday_offset with the same holidays, for days of a year; a day off rolls forward."""
    sent = date(2026, 2, 2) + timedelta(days=offset)
    off = [np.datetime64(day) for day in holidays.country_holidays("US", years=[2026, 2027, 2028])]
    for due, days in zip(owed(Happened(State.SENT, sent), today=sent), (3, 10), strict=False):
        assert due.on == np.busday_offset(sent, days, roll="forward", holidays=off).astype(date)


def test_days_off_of_the_utility_itself_are_no_business_days() -> None:
    assert owed(Happened(State.SENT, SENT), on_2026_12_24="closed")[1].on == date(2027, 1, 6)


def test_what_is_overdue_counts_business_days_until_it_is_answered() -> None:
    late = owed(Happened(State.SENT, SENT), today=date(2026, 12, 28))[0]
    assert (late.overdue, late.late) == (True, 2)  # Dec 24 and 28
    answered = Happened(State.ACKNOWLEDGED, date(2026, 12, 28))
    done = owed(Happened(State.SENT, SENT), answered, today=date(2027, 1, 4))[0]
    assert (done.overdue, done.late, done.done_on) == (False, 2, date(2026, 12, 28))


def test_what_is_only_expected_is_never_overdue() -> None:
    found = owed(Happened(State.SENT, SENT), today=date(2027, 3, 1))
    assert found[1].overdue
    assert not found[2].overdue


def test_a_period_that_is_not_known_makes_nothing_due() -> None:
    unknown = Periods(acknowledge=None, complete=None, screen=15, witness=10)
    found = owed(Happened(State.SENT, SENT), today=date(2028, 1, 1), periods=unknown)
    assert [(due.on, due.overdue) for due in found] == [(None, False), (None, False)]


def test_incomplete_stops_the_clock_and_a_new_sending_begins_it_anew() -> None:
    incomplete = Happened(State.INCOMPLETE, date(2027, 1, 4))
    stopped = owed(Happened(State.SENT, SENT), incomplete, today=date(2027, 3, 1))
    assert not any(due.overdue for due in stopped)
    assert waits_for_us([Happened(State.SENT, SENT), incomplete])
    again = Happened(State.SENT, date(2027, 1, 11))
    anew = owed(Happened(State.SENT, SENT), incomplete, again, today=date(2027, 1, 11))
    assert anew[0].on == date(2027, 1, 14)
    assert anew[1].on == date(2027, 1, 26)
    assert not waits_for_us([Happened(State.SENT, SENT), incomplete, again])


def test_the_witness_test_is_due_from_the_day_it_was_asked() -> None:
    asked = Happened(State.WITNESS, date(2027, 2, 1))
    found = owed(Happened(State.SENT, SENT), Happened(State.APPROVED, date(2027, 1, 20)), asked,
                 today=date(2027, 2, 1))  # fmt: skip
    assert found[-1].on == date(2027, 2, 16)  # Presidents' Day is Feb 15


def test_nothing_is_due_before_anything_is_sent() -> None:
    assert owed() == []
    assert owed(Happened(State.DRAFTED, SENT)) == []


@pytest.mark.parametrize("state", list(State)[2:])
def test_no_answer_to_what_was_not_sent_or_before_it_was(state: State) -> None:
    assert impossible(state, SENT, [])
    assert impossible(state, SENT - timedelta(days=1), [Happened(State.SENT, SENT)])
    assert not impossible(state, SENT, [Happened(State.SENT, SENT)])


def test_an_order_that_is_unusual_is_asked_and_the_usual_one_is_not() -> None:
    """Common practice, no source: some utilities screen without a word, so it is asked and not refused."""
    lines = [Happened(State.SENT, SENT)]
    assert "complete" in unusual(State.SCREENED, SENT, lines).casefold()
    assert not unusual(State.COMPLETE, SENT, lines)
    lines.append(Happened(State.INCOMPLETE, SENT))
    assert "incomplete" in unusual(State.COMPLETE, SENT + timedelta(days=3), lines)
