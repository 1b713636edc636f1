"""What a reading is held against: its item's own range, or what a release in force gives for it.

A part says as ``limits`` of its row what its releases give. Such a reading counts for the release that it was
taken under, by its letter: under another one, or while none is in force, it is kept and completes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from installs.checklists.models import Entry, Item
from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.jobs.reading import read_once
from sitecalc.wording import unit_words

BELOW_NOTHING = ("F", "deg")  # units whose nought is not nothing


@dataclass(frozen=True, kw_only=True)
class Limit:
    """Accepted from ``low`` to ``high``; where neither is given every number passes, unless ``lacks`` says
    why none does.

    ``plan`` is what gives it in words ("lift plan A"), ``letter`` its letter; ``same`` are the letters that
    are the same plan, ``letters`` all there were with the time from which each was in force. ``named``
    is what a document must say: the number on the plate of the one thing that the plan is for.
    """

    low: float | None = None
    high: float | None = None
    unit: str = ""
    plan: str = ""
    letter: str = ""
    same: frozenset[str] = frozenset()
    letters: tuple[tuple[datetime, str], ...] = ()
    lacks: str = ""
    how: str = ""  # how it is measured, where the item does not say
    named: str = ""

    @property
    def given(self) -> bool:
        return self.low is not None or self.high is not None or bool(self.named)

    def outside(self, number: float) -> bool:
        return self.above(number) or self.below(number)

    def above(self, number: float) -> bool:
        return self.high is not None and number > self.high

    def below(self, number: float) -> bool:
        return self.low is not None and number < self.low

    def another(self, words: str) -> bool:
        """Whether what was written names another than the plan does; as plates are read, PH-7 is "ph 7"."""
        return bool(self.named and words) and on_the_plate(words) != on_the_plate(self.named)

    def stops(self, entry: Entry) -> str:
        """Why what was read stops the work; empty where it does not."""
        if entry.said.get("cannot") or entry.unreadable:
            return ""
        if self.named:
            return self.stop_named if self.another(entry.text) else ""
        return self.stop(entry.reading) if entry.reading is not None and self.outside(entry.reading) else ""

    @property
    def stop_named(self) -> str:
        return f"not {self.named}, which the plan is for: stop"

    def letter_of(self, entry: Entry) -> str:
        """Of the release by which a reading was judged: on the page it was typed on, else by its time."""
        told, known = entry.said.get("plan"), [letter for _, letter in self.letters]
        if told in known:
            return str(told)
        return next((a for since, a in reversed(self.letters) if since <= entry.happened_at), "")

    def fault(self, entry: Entry) -> str:
        """Why the reading does not complete its item; empty when it does."""
        if self.lacks:
            return self.lacks
        under = self.letter_of(entry) if self.plan else ""
        if self.plan and under not in self.same:
            return (
                f"read under plan {under}, {self.plan} is in force" if under else f"read before {self.plan}"
            )
        if not self.given:
            return ""
        if self.named:
            return self.stops(entry) if entry.text else "no number written"
        if entry.reading is None:
            return "cannot be read" if entry.unreadable else "no number"
        return self.stop(entry.reading) if self.outside(entry.reading) else ""

    def stop(self, number: float) -> str:
        """What is said of a reading outside: of a plan's limit that the work stops."""
        if not self.plan:
            return "out of tolerance"
        return f"{'over' if self.above(number) else 'under'} the card: stop"

    @property
    def least(self) -> float | None:
        """Of ``low`` what holds a reading to anything: no length, weight or pressure is less than nothing."""
        return None if self.low == 0 and self.unit not in BELOW_NOTHING else self.low

    @property
    def words(self) -> str:
        """ "Accepted 3 to 5 in." """
        unit = f" {unit_words(self.unit)}" if self.unit else ""
        by = f", by {self.plan}" if self.plan else ""
        how = f" {self.how}" if self.how and self.given else ""
        if self.lacks:
            return f"No limit: {self.lacks}. The reading is kept, and it stays open."
        if self.named:
            return f"{self.plan[:1].upper()}{self.plan[1:]} is for {self.named}, and for no other.{how}"
        if self.least is not None and self.high is not None:
            if self.least == -self.high:
                return f"Accepted within {self.high:g}{unit}, more or less{by}.{how}"
            return f"Accepted {_said(self.least)} to {_said(self.high)}{unit}{by}.{how}"
        if self.least is not None:
            return f"Accepted {_said(self.least)}{unit} or more{by}.{how}"
        return f"Accepted {_said(self.high)}{unit} or less{by}.{how}" if self.high is not None else ""


def on_the_plate(words: str) -> str:
    """A number as it is compared: letters and digits alone (the phone's: ``another`` of entries.js)."""
    return "".join(filter(str.isalnum, words.lower()))


def _said(value: float) -> str:
    return f"{value:,.10g}"


# by the phase of the list and the item's code
Limits = Mapping[tuple[str, str], Limit]
NONE: Limits = {}


@read_once
def limits_of(jobs: list[Job]) -> dict[int, Limits]:
    """By the key of the job, what its releases give."""
    found: dict[int, dict[tuple[str, str], Limit]] = {job.pk: {} for job in jobs}
    for part in TABLE.values():
        for key, rows in part.limits(jobs).items() if part.limits else ():
            found[key].update(rows)
    return {**found}


def own(item: Item) -> Limit:
    return Limit(low=item.low, high=item.high, unit=item.unit)


def limit_of(item: Item, limits: Limits) -> Limit:
    """What the release gives; of what it leaves open the item's own range, and without one nothing passes."""
    found = limits.get((item.list.phase, item.code))
    if found is None:
        return own(item)
    if found.given or found.lacks:
        return replace(found, unit=item.unit)
    if own(item).least is None and item.high is None:  # a range that holds a reading to nothing
        return replace(found, lacks=f"{found.plan} gives none", unit=item.unit)
    return replace(found, low=item.low, high=item.high, unit=item.unit)
