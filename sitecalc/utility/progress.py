"""The states of an application to the utility and the order in which they can be. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from sitecalc.wording import day_words


class State(StrEnum):
    DRAFTED = "drafted"
    SENT = "sent"
    ACKNOWLEDGED = "acknowledged"
    INCOMPLETE = "incomplete"
    COMPLETE = "complete"
    SCREENED = "screened"
    APPROVED = "approved"
    AGREEMENT = "agreement signed"
    WITNESS = "witness asked"
    TEST = "permission to test"
    TESTED = "tested"
    OPERATE = "letter to operate"


# what is usually there before (common practice, no source): without it a person is asked, and may be right
USUALLY_AFTER: dict[State, State] = {
    State.COMPLETE: State.SENT,
    State.SCREENED: State.COMPLETE,
    State.APPROVED: State.SCREENED,
    State.AGREEMENT: State.APPROVED,
    State.WITNESS: State.APPROVED,
    State.TEST: State.APPROVED,
    State.TESTED: State.TEST,
    State.OPERATE: State.TESTED,
}
# an answer of the utility to what it has
ANSWERS = tuple(State)[2:]


@dataclass(frozen=True)
class Happened:
    """One state on the day it came to be; a line that is struck is none."""

    state: State
    on: date


def in_order(lines: Iterable[Happened]) -> list[Happened]:
    """By day; what is of one day in the order in which it was written down."""
    return sorted(lines, key=lambda line: line.on)


def impossible(state: State, on: date, lines: Sequence[Happened]) -> str:
    """Why this state cannot be on that day; "" where it can. Nobody answers what was not sent."""
    if state in (State.DRAFTED, State.SENT):
        return ""
    sent = [line.on for line in lines if line.state is State.SENT]
    if not sent:
        return "Nothing is recorded as sent: record the day it was sent first."
    if on < min(sent):
        return f"It was sent {day_words(min(sent), year=True)}: this day is before that."
    return ""


def unusual(state: State, on: date, lines: Sequence[Happened]) -> str:
    """What is asked again before it is kept; "" where nothing is."""
    before = [line for line in in_order(lines) if line.on <= on]
    if state in (State.COMPLETE, State.SCREENED, State.APPROVED) and waits_for_us(before):
        return "It was found incomplete and nothing is recorded as sent since."
    after = USUALLY_AFTER.get(state)
    if after is None or any(line.state is after for line in before):
        return ""
    return f"“{after.capitalize()}” is not recorded on or before that day."


def waits_for_us(lines: Iterable[Happened]) -> bool:
    """Found incomplete and not sent again since: no clock of the utility runs."""
    round_ = [
        x for x in in_order(lines) if x.state is not State.DRAFTED and x.state is not State.ACKNOWLEDGED
    ]
    return bool(round_) and round_[-1].state is State.INCOMPLETE
