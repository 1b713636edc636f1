"""What the sensors read from the placing on, and the age of the pad that follows from it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from installs.pour.facts import CureFacts
from sitecalc.pour.cold import least_as_placed
from sitecalc.pour.maturity import AgeDay, governing_age
from sitecalc.pour.readings import Trace, Traces, midnight
from sitecalc.pour.thermal import Kept, kept_over


def protected_until(facts: CureFacts) -> datetime | None:
    """End of the days of protection, at the hour of the pour; None before it."""
    begin, terms = facts.log.poured_at, facts.terms
    return begin + timedelta(days=terms.figures.protection_days) if begin and terms else None


def after_pour(facts: CureFacts, traces: Traces | None = None) -> dict[str, Trace]:
    """What each sensor read from when the concrete was placed: before, it read air."""
    if facts.log.poured_on is None:
        return {}
    begin = facts.log.poured_at or midnight(facts.log.poured_on, ZoneInfo(facts.zone))
    told = facts.log.temperatures.concrete if traces is None else traces
    return {name: since for name, trace in told.items() if len(since := trace.since(begin))}


def ever_read(facts: CureFacts) -> list[Trace]:
    """What stands, and what was taken back with nothing in its place: nothing is made warm by that."""
    written = facts.log.temperatures.written
    return [*after_pour(facts).values(), *(after_pour(facts, written).values() if written else ())]


def kept_at_least(facts: CureFacts) -> Kept | None:
    """How long the pad was read at what its section must be kept at; None before the pour, and unread."""
    terms, begin = facts.terms, facts.log.poured_at
    if terms is None or begin is None or terms.least_dimension_in is None:
        return None
    least = least_as_placed(terms.least_dimension_in)
    return kept_over(ever_read(facts), least, begin, terms.figures.longest_gap_h)


def pad_ages(facts: CureFacts) -> tuple[AgeDay, ...]:
    """Age of the pad by date; where readings were taken back, by whichever record makes it younger."""
    if facts.terms is None:
        return ()
    mix, gap, zone = facts.terms.mix, facts.terms.figures.longest_gap_h, ZoneInfo(facts.zone)
    ages = governing_age(after_pour(facts), mix, gap, zone)
    written = facts.log.temperatures.written
    if not written:
        return ages
    first = {a.day: a for a in governing_age(after_pour(facts, written), mix, gap, zone)}
    return tuple(min(a, first.get(a.day, a), key=lambda one: one.age_days) for a in ages)


def governing_sensor(ages: Sequence[AgeDay]) -> str:
    """The sensor that gains least on most days."""
    by = Counter(a.sensor for a in ages if a.sensor)
    return by.most_common(1)[0][0] if by else ""
