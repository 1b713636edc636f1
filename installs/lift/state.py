"""A lift plan as gates and pages see it: plain values, for any day that is asked."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from sitecalc.wording import day_words


@dataclass(frozen=True)
class LiftState:
    """Of the newest release. A plan is for the days that it names, and for no other.

    ``missing`` stands against its use on any day, in parts of sentences; ``days`` are the lift's day and the
    weather day, each with what the plan names that is not valid on it: crane, tags, cards.
    """

    letter: str
    signed: bool
    days: dict[date, tuple[str, ...]] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    void: tuple[str, ...] = ()  # of the missing, what voids plan and signatures

    def missing_on(self, day: date) -> tuple[str, ...]:
        """All that stands against its use on the day; empty when the plan is in force and for that day."""
        unfit = self.unfit_for(day)
        return (*self.missing, *([unfit] if unfit else self.days[day]))

    def unfit_for(self, day: date) -> str:
        """Why it is no plan of that day; empty when it is."""
        if not self.days:
            return f"lift plan {self.letter} names no day"
        if day in self.days:
            return ""
        every = (*self.days, day)
        *own, asked = (day_words(each, weekday=True, beside=every) for each in every)
        return f"lift plan {self.letter} is for {' and '.join(own)}, not for {asked}"

    def against(self, today: date) -> tuple[str, ...]:
        """What stands against its use on the next of its own days, and ahead of the others."""
        return (*self.missing_on(self.next_day(today) or today), *self.ahead(today))

    def ahead(self, today: date) -> tuple[str, ...]:
        """Of its days after the next, the weather day: what is valid today and will not be on that day."""
        first = self.next_day(today)
        if first is None:
            return ()
        return tuple(
            f"for {day_words(day, weekday=True, beside=(today,))}: {words}"
            for day, unfit in self.days.items()
            if day > first
            for words in unfit
            if words not in self.days[first]
        )

    def next_day(self, today: date) -> date | None:
        """The first of its days that is not behind."""
        return next((day for day in self.days if day >= today), None)
