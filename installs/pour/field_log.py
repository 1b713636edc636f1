"""The field record of a pour read as tickets, temperatures and what has been recorded of the cure.

How entries are read:

- ``D01`` to ``D07``, subject "truck 3" (or just "3"). D01: ticket number in ``text``, yards in ``number``;
  ``data`` may hold ``batched_at``, ``discharged_at`` (ISO), ``water_allowed_gal``, and ``refused`` (true, the
  reason in ``text``): a refused truck pours nothing. D02 minutes from batching to discharge, whose record is
  what says that the truck was discharged (``discharged_at`` too), D03 slump, D04 air, D05 concrete
  temperature, D07 water added.
- ``D06`` and ``E03`` with subject "air": air temperature. ``E03``: concrete temperature of the sensor that
  the subject names. With ``data["file"]`` (sha256) and ``data["read"]`` the entry stands for a logger's
  file; with ``data["removed"]`` the sensor was taken out.
- ``E10`` backfill, ``E11`` bolt survey: recorded when for every subject the newest standing entry is in
  tolerance.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import combinations, pairwise
from typing import Any
from zoneinfo import ZoneInfo

from installs.checklists.models import Entry
from installs.checklists.standing import not_done, satisfies, standing
from installs.pour.temperatures import AIR, CONCRETE, Temperatures, temperatures_of
from sitecalc.pour.placing import AIR as AIR_CONTENT
from sitecalc.pour.placing import CONCRETE as CONCRETE_F
from sitecalc.pour.placing import MINUTES, SLUMP, WATER
from sitecalc.wording import quantity_words

TRUCK = ("D01", "D02", "D03", "D04", "D05", "D07")
# the rule (sitecalc/pour/placing.py) by which each figure of a ticket is judged
RULE_OF = {"D02": MINUTES, "D03": SLUMP, "D04": AIR_CONTENT, "D05": CONCRETE_F, "D07": WATER}
BACKFILL, SURVEY = "E10", "E11"
DISCHARGED, CYLINDERS, STOPPED, GROUT = "D02", "D08", "D21", "E12"
TEMPLATE = {"C10": "before", "C12": "before, projection", "D13": "during", "D14": "after", "E11": "as built"}
THAWED, CALLED, EVAPORATION = "D19", "D20", "D22"
# a batching time is by the plant's clock, which may be ahead of ours: common practice, no source
CLOCKS_APART = timedelta(minutes=15)
# what the state of the cure follows from, and what is shown beside it
CODES = (*TRUCK, CYLINDERS, AIR, CONCRETE, BACKFILL, SURVEY, STOPPED, GROUT)
SHOWN = ("C10", "C12", "D09", "D11", "D13", "D14", "D15", "D16", "D17", "D18", THAWED, CALLED, EVAPORATION)


@dataclass(frozen=True)
class Told:
    """One figure of a ticket with the entry it stands on, and what that entry corrects."""

    entry: Entry
    corrects: Entry | None


@dataclass(frozen=True)
class Hand:
    """What one person wrote on one phone of one truck, the newest of each code."""

    entries: Mapping[str, Entry]

    @property
    def key(self) -> str:
        """Of the first that was received: by it a form says whose it means."""
        return str(min(self.entries.values(), key=lambda e: e.sequence).uuid)

    @property
    def words(self) -> str:
        """ "BO: ticket 48821, 9.5 yd³, D03 4 in" """
        first = next(iter(self.entries.values()))
        return f"{first.person.initials}: {', '.join(_wrote(e) for e in self.entries.values())}"

    def differs(self, other: Hand) -> bool:
        return any(
            _terms(self.entries[code]) != _terms(other.entries[code])
            for code in self.entries.keys() & other.entries.keys()
        )


def _terms(entry: Entry) -> tuple[Any, ...]:
    return entry.reading, entry.said.get("ticket"), bool(entry.said.get("refused")), entry.said.get("cannot")


def _wrote(entry: Entry) -> str:
    unit = "yd3" if entry.code == "D01" else entry.unit
    read = "cannot be measured" if entry.reading is None else quantity_words(entry.reading, unit)
    if entry.code == "D01":
        return f"ticket {entry.said.get('ticket') or entry.text or 'without number'}, {read}"
    return f"{entry.code} {read}"


@dataclass(frozen=True)
class TruckTicket:
    number: int
    told: Mapping[str, Told]
    first_at: datetime
    hands: tuple[Hand, ...] = ()  # where two wrote of it differently, and neither corrects the other

    @property
    def disputed(self) -> str:
        """Two phones may give one number to two trucks: both stand, and a person says which is which."""
        if not self.hands:
            return ""
        wrote = "; ".join(hand.words for hand in self.hands)
        return (
            f"Two wrote of truck {self.number} differently, and what came last counts: {wrote}. Where it is "
            "another truck, give it its own number; where one is wrong, correct it."
        )

    def figure(self, code: str) -> float | None:
        told = self.told.get(code)
        return told.entry.reading if told else None

    def more(self, name: str) -> Any:
        """What its ticket says beside the yards."""
        told = self.told.get("D01")
        return told.entry.said.get(name) if told else None

    @property
    def ticket(self) -> str:
        told = self.told.get("D01")
        return self.more("ticket") or ("" if self.refused else told.entry.text) if told else ""

    @property
    def yards(self) -> float | None:
        """As the ticket says; no negative or absurd load is drawn."""
        value = self.figure("D01")
        value = self.more("yards") if value is None else value
        return value or None

    @property
    def refused(self) -> bool:
        return bool(self.more("refused"))

    @property
    def why_refused(self) -> str:
        return self.told["D01"].entry.text if self.refused else ""

    @property
    def batched_at(self) -> datetime | None:
        at: datetime | None = self.more("batched_at")
        return at

    @property
    def discharged_at(self) -> datetime | None:
        """As recorded, else by its minutes from batching, else when the minutes were written down."""
        if not self.discharged:
            return None
        entry = self.told[DISCHARGED].entry
        known: datetime | None = entry.said.get("discharged_at") or self.more("discharged_at")
        batched, minutes = self.batched_at, self.figure(DISCHARGED)
        if known is None and batched is not None and minutes is not None:
            known = batched + timedelta(minutes=minutes)
        return known or entry.happened_at

    @property
    def discharged(self) -> bool:
        """It poured: also where nobody knows after how many minutes."""
        told = self.told.get(DISCHARGED)
        return told is not None and not told.entry.unreadable and not self.refused

    @property
    def on_site(self) -> bool:
        """It has come, and neither poured nor been sent back."""
        return not self.refused and not self.discharged

    @property
    def cannot(self) -> frozenset[str]:
        """Codes of what was said not to be measurable."""
        return frozenset(code for code, told in self.told.items() if told.entry.said.get("cannot"))

    def minutes(self, now: datetime | None = None) -> float | None:
        """From batching to discharge; of a truck on site, whole ones to ``now``. None where nobody knows."""
        if self.discharged or now is None or self.batched_at is None:
            return self.figure(DISCHARGED)
        return float(max((now - self.batched_at) // timedelta(minutes=1), 0))


@dataclass(frozen=True)
class PourLog:
    """Everything the entries say. ``faults`` are readings that could not be used, in words."""

    trucks: tuple[TruckTicket, ...]
    poured_on: date | None
    temperatures: Temperatures
    backfilled: Entry | None
    surveyed: Entry | None
    hand: tuple[Told, ...] = ()
    files: tuple[Entry, ...] = ()
    cylinders: tuple[Entry, ...] = ()
    told: Mapping[str, tuple[Told, ...]] = field(default_factory=dict)
    faults: tuple[str, ...] = field(default=())

    @property
    def poured_at(self) -> datetime | None:
        """When the last truck was placed: what a sensor read before is not concrete."""
        return max((t.first_at for t in self.trucks if t.discharged), default=None)

    @property
    def stopped(self) -> Entry | None:
        """The record that the pour was stopped before the form was full."""
        rows = self.told.get(STOPPED, ())
        return rows[-1].entry if rows and not not_done(rows[-1].entry) else None

    @property
    def disputed(self) -> tuple[str, ...]:
        """Of each truck that two wrote of differently, what they wrote."""
        return tuple(filter(None, (t.disputed for t in self.trucks)))

    @property
    def thawed_f(self) -> dict[str, float]:
        """Ground, form and steel as read before the first truck."""
        found = {}
        for row in self.told.get(THAWED, ()):
            name, value = row.entry.subject.strip().lower().rstrip("s"), row.entry.reading
            if value is not None:
                found[name] = value
        return found

    @property
    def air_f(self) -> float | None:
        """The newest air written down by hand."""
        rows = [r.entry.reading for r in self.told.get(AIR, ()) if not not_done(r.entry)]
        return rows[-1] if rows else None

    @property
    def forecast_low_f(self) -> float | None:
        """Of the newest record of the air: the lowest forecast of the coming nights."""
        for row in reversed(self.told.get(AIR, ())):
            low: float | None = row.entry.said.get("low_f")
            if low is not None:
                return low
        return None

    def joints(self, most_minutes: float) -> tuple[tuple[int, int, float], ...]:
        """Trucks between whose discharges more than ``most_minutes`` passed, with the minutes."""
        known = sorted((t.discharged_at, t.number) for t in self.trucks if t.discharged_at is not None)
        return tuple(
            (a, b, minutes)
            for (first, a), (second, b) in pairwise(known)
            if (minutes := (second - first).total_seconds() / 60) > most_minutes + 1e-6
        )

    @property
    def yards(self) -> float:
        """Placed: of the trucks that were discharged, and of no other."""
        return sum(t.yards or 0.0 for t in self.trucks if t.discharged)

    @property
    def yards_on_site(self) -> float:
        return sum(t.yards or 0.0 for t in self.trucks if t.on_site)


def read_log(entries: Iterable[Entry], zone: str) -> PourLog:
    """One query for all logger files beside the entries, which are those of one job with ``CODES``."""
    rows_taken = list(entries)
    by_pk = {e.pk: e for e in rows_taken}
    rows: dict[str, list[Told]] = defaultdict(list)
    for entry in standing(rows_taken):
        rows[entry.code].append(Told(entry, by_pk.get(entry.corrects_id or 0)))
    trucks = _trucks(rows, by_pk)
    temperatures = temperatures_of([t.entry for t in (*rows[CONCRETE], *rows[AIR])], by_pk, zone)
    readings = [t for t in rows[CONCRETE] if t.entry.reading is not None]
    return PourLog(
        trucks=trucks,
        poured_on=_poured_on(trucks, ZoneInfo(zone)),
        temperatures=temperatures,
        backfilled=_recorded(rows[BACKFILL]),
        surveyed=_recorded(rows[SURVEY]),
        hand=tuple(readings),
        files=tuple(t.entry for t in rows[CONCRETE] if t.entry.said.get("file")),
        cylinders=tuple(t.entry for t in rows[CYLINDERS]),
        told={code: tuple(found) for code, found in rows.items()},
        faults=(*temperatures.faults, *_unread(told for found in rows.values() for told in found)),
    )


def _unread(rows: Iterable[Told]) -> list[str]:
    """What stands on record and counts nothing, with its reason, in the order of its receipt."""
    found = sorted((row.entry for row in rows if row.entry.unreadable), key=lambda e: e.sequence)
    return [f"{entry} cannot be read: {entry.unreadable}. It counts nothing." for entry in found]


def truck_number(subject: str) -> int | None:
    found = re.search(r"\d{1,3}", subject)
    return int(found[0]) if found else None


def _trucks(rows: Mapping[str, list[Told]], by_pk: Mapping[int, Entry]) -> tuple[TruckTicket, ...]:
    told: dict[int, dict[str, Told]] = defaultdict(dict)
    first: dict[int, datetime] = {}
    for code in TRUCK:
        for row in rows.get(code, []):
            number = truck_number(row.entry.subject)
            if number is None:
                continue
            if code not in told[number] or not row.entry.unreadable:
                told[number][code] = row  # the newest of several, of those that can be read
            at = _first_at(row.entry, by_pk)
            first[number] = min(first.get(number, at), at)
    return tuple(TruckTicket(n, told[n], first[n], _hands(rows, n)) for n in sorted(told))


def _hands(rows: Mapping[str, list[Told]], number: int) -> tuple[Hand, ...]:
    """Who wrote of a truck, where two of them differ under one code; who wrote it first stands first."""
    found: dict[tuple[int, int | None], dict[str, Entry]] = defaultdict(dict)
    for code in TRUCK:
        for row in rows.get(code, []):
            entry = row.entry
            if truck_number(entry.subject) == number and not entry.unreadable:
                found[entry.person_id, entry.device_id][code] = entry
    hands = [Hand(entries) for entries in found.values()]
    differ = any(a.differs(b) for a, b in combinations(hands, 2))
    return tuple(sorted(hands, key=lambda hand: hand.entries[min(hand.entries)].sequence)) if differ else ()


def _first_at(entry: Entry, by_pk: Mapping[int, Entry]) -> datetime:
    """When it was first written down: a correction made days later does not move the pour."""
    first = entry
    while first.corrects_id is not None and first.corrects_id in by_pk and by_pk[first.corrects_id].timed:
        first = by_pk[first.corrects_id]
    return first.happened_at if first.timed else first.received_at


def _poured_on(trucks: Iterable[TruckTicket], zone: ZoneInfo) -> date | None:
    """The date of the last truck that was discharged."""
    return max((t.first_at.astimezone(zone).date() for t in trucks if t.discharged), default=None)


def _recorded(rows: Iterable[Told]) -> Entry | None:
    """The newest entry, if for every subject the newest one is in tolerance of its item."""
    newest = {row.entry.subject.strip().lower(): row.entry for row in rows}
    whole = newest and all(e.item is not None and satisfies(e) for e in newest.values())
    return max(newest.values(), key=lambda e: e.sequence) if whole else None
