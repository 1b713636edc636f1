"""What is recorded beside the trucks: cylinders by set, the bolt template, and the day's own checks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from installs.checklists.models import Entry
from installs.checklists.received import received_words
from installs.checklists.standing import shortfall
from installs.jobs.models import Job
from installs.pour.facts import CureFacts
from installs.pour.field_log import EVAPORATION, TEMPLATE
from installs.pour.pad_age import kept_at_least
from installs.pour.review import air_of_day
from installs.pour.terms import PourTerms
from sitecalc.checks import Check
from sitecalc.inputs import InputError
from sitecalc.pour.placing import EvaporationCase, evaporation
from sitecalc.pour.sampling import SamplingCase, sampling


@dataclass(frozen=True, kw_only=True)
class CylinderSet:
    """Cylinders of one truck; ``lab`` and ``field`` are None where only their sum was written down."""

    where: str
    lab: int | None
    field: int | None
    count: float
    marks: str
    by: str
    at: datetime


@dataclass(frozen=True)
class TemplateLine:
    when: str
    leg: str
    value: str
    struck: str
    shortfall: str  # why it does not do, in words
    received: str = ""  # where that was well after it

    @property
    def told(self) -> str:
        """With what it lacks, where a value stands there and is not all that is asked; else empty."""
        return f"{self.value}, {self.shortfall}" if self.shortfall not in ("", self.value) else ""

    @property
    def words(self) -> str:
        return ", ".join(filter(None, (self.told or self.value, self.received)))


def cylinder_sets(job: Job, facts: CureFacts) -> tuple[CylinderSet, ...]:
    return tuple(
        CylinderSet(
            where=e.subject,
            lab=e.said.get("lab"),
            field=e.said.get("field"),
            count=e.reading or 0.0,
            marks=e.text,
            by=", ".join(filter(None, (e.person.full_name, received_words(e, job, year=True)))),
            at=e.happened_at,
        )
        for e in facts.log.cylinders
        if not (e.unreadable or e.said.get("cannot"))
    )


def template(job: Job, facts: CureFacts) -> tuple[TemplateLine, ...]:
    """Bolts against the drawing before, during and after the pour, and as built."""
    return tuple(
        TemplateLine(
            when,
            row.entry.subject,
            _off(row.entry) or shortfall(row.entry) or "not measured",
            _off(row.corrects),
            shortfall(row.entry),
            received_words(row.entry, job, year=True),
        )
        for code, when in TEMPLATE.items()
        for row in facts.log.told.get(code, ())
    )


def _off(entry: Entry | None) -> str:
    """ "+0.0625 in"; the drawing itself is plainly "0 in"."""
    if entry is None or entry.reading is None:
        return ""
    return f"{entry.reading:+.4g} {entry.unit}" if entry.reading else f"0 {entry.unit}"


def placing(facts: CureFacts, terms: PourTerms | None, at: datetime) -> tuple[Check, ...]:
    """Lab cylinders asked for and made, and the weather's own checks, once concrete has come."""
    trucks = [t for t in facts.log.trucks if t.discharged]
    if not trucks or facts.log.yards <= 0:
        return ()
    told = [e.said.get("lab") for e in facts.log.cylinders]
    made = sum(1 for lab in told if lab) if told and None not in told else None
    pad = terms.pad if terms else {}
    sides = pad.get("width_ft"), pad.get("across_ft")
    area = sides[0] * sides[1] if sides[0] and sides[1] else None
    air = air_of_day(facts.log, ZoneInfo(facts.zone), at)
    cold = terms.cold(air, facts.log.thawed_f, kept_at_least(facts)) if terms else None
    try:
        asked = sampling(
            SamplingCase(yards=facts.log.yards, trucks=len(trucks), area_ft2=area, made=made)
        ).checks
    except InputError:
        asked = ()
    return (*asked, *(cold.checks if cold else ()), *evaporations(facts))


def evaporations(facts: CureFacts) -> tuple[Check, ...]:
    """The newest record of the evaporation, worked out again from what was measured."""
    rows = facts.log.told.get(EVAPORATION, ())
    names = ("concrete_f", "air_f", "humidity_pct", "wind_mph")
    try:
        measured = {name: rows[-1].entry.said[name] for name in names} if rows else {}
        return evaporation(EvaporationCase(**measured)).checks if measured else ()
    except (InputError, KeyError):
        return ()
