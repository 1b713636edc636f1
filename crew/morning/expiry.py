"""What ends before the day it is needed, and from which day on a person is called to it.

A thing bites when it takes as long to renew as is left until the day that needs it: RENEWED. Before that it
stands among what expires and calls nobody, for a ticket renewed too early is dead again on the day.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from crew.morning.office import JobMorning, Morning
from crew.plan.clashes import DayFact, PersonFact, short
from crew.plan.order import LIFTS
from installs.emergency.facts import EVERYTHING
from installs.jobs.phases import BY_KEY
from installs.permits.models import Permit, PermitKind
from sitecalc.wording import day_words
from sitecalc.workdays import day_off, holidays_of

DAY = timedelta(days=1)
# Working days from asking to having: common practice, no source. Of a locate ticket the state's law decides
# (two or three, without the day of the call) and a day for the office stands before it. The notice of an
# aeronautical obstruction goes in 45 days before work begins (14 CFR 77.7(b)): 33 working days
# with a holiday.
RENEWED: dict[str, int] = {
    PermitKind.LOCATE: 4,
    PermitKind.BUILDING: 10,
    PermitKind.ELECTRICAL: 10,
    PermitKind.ZONING: 20,
    PermitKind.AIRSPACE: 33,
    "calibration": 10,
    "annual inspection": 10,
    "lift plan": 10,
    "card": 20,
    "emergency card": 3,
}
# a yearly inspection: common practice, no source; called a month before it is due
YEARLY, YEARLY_LEAD = timedelta(days=365), timedelta(days=30)


@dataclass(frozen=True)
class Expiry:
    """``call_on``: from this day on a person is called. ``pending``: it was asked for, and is waited for."""

    what: str
    ends: date | None
    needed: date
    call_on: date
    do: str
    pending: bool = False

    @property
    def words(self) -> str:
        """ "Locate ticket L-4, Thu Dec 3; needed Tue Dec 8" """
        return f"{self.what}{f', {short(self.ends)}' if self.ends else ''}; needed {short(self.needed)}"

    def calls(self, today: date) -> bool:
        return today >= self.call_on and not self.pending

    @property
    def call(self) -> str:
        """ "Renew the locate ticket today: good to Thu Dec 3, needed Tue Dec 8." """
        ends = f" good to {short(self.ends)}," if self.ends else ""
        return f"{self.do} today:{ends} needed {short(self.needed)}."


def expiries(m: JobMorning, morning: Morning) -> list[Expiry]:
    """Of one job, the soonest needed first."""
    ahead = [d for d in m.ahead if d.phase not in m.facts.finished]
    found = [
        *_permits(m, ahead),
        *_cards(m, ahead, morning.people),
        *_wrenches(m, ahead, morning),
        *_cranes(m, ahead, morning),
        *_lift_plans(m, ahead),
        *_emergency(m, ahead, morning),
        *_yearly(m, ahead),
    ]
    return sorted(dict.fromkeys(found), key=lambda each: (each.needed, each.call_on, each.what))


def working_days_before(needed: date, days: int, state: str) -> date:
    """The working day that lies so many working days before."""
    found, left = needed, days
    while left:
        found -= DAY
        left -= not day_off(found, holidays_of(state, found.year))
    return found


def _permits(m: JobMorning, ahead: list[DayFact]) -> Iterator[Expiry]:
    asked: dict[str, tuple[str, ...]] = {
        "excavation": (PermitKind.BUILDING, PermitKind.ZONING, PermitKind.AIRSPACE, PermitKind.LOCATE),
        "ground station": (
            *((PermitKind.ELECTRICAL,) if m.facts.authority_asks_electrical_permit else ()),
            *((PermitKind.LOCATE,) if m.facts.station_digs else ()),
        ),
    }
    told = set()
    for day in ahead:
        for kind in asked.get(day.phase, ()):
            rows = [p for p in m.permits if p.kind == kind and not p.withdrawn_on]
            held = [p for p in rows if p.granted_on and p.granted_on <= m.today]
            if kind in told or not held or any(p.in_hand(max(day.on, m.today)) for p in rows):
                continue
            told.add(kind)
            yield _renewal(m, held, rows, day)


def _renewal(m: JobMorning, held: list[Permit], rows: list[Permit], day: DayFact) -> Expiry:
    """Of the permit that lasts longest. What is asked and not answered is waited for."""
    last = max(held, key=lambda p: (p.expires_on or date.min, p.pk))
    call_on = working_days_before(day.on, RENEWED[last.kind], m.job.state)
    if last.kind == PermitKind.LOCATE and last.expires_on and last.granted_on:
        # the next one lives as long as this one did
        call_on = max(call_on, day.on - (last.expires_on - (last.valid_from or last.granted_on)))
    name = last.get_kind_display()
    what = f"{name.capitalize()}{f' {last.number}' if last.number else ''}"
    pending = any(
        p.asked_on and p.asked_on >= (last.asked_on or date.min) and not p.granted_on and not p.refused_on
        for p in rows
    )
    return Expiry(what, last.expires_on, day.on, call_on, f"Renew the {name}", pending)


def _cards(m: JobMorning, ahead: list[DayFact], people: dict[int, PersonFact]) -> Iterator[Expiry]:
    """Of a skill that the day needs and nobody who is planned for it holds on it: whose card ends."""
    told = set()
    for day in ahead:
        crew = [people[pk] for pk in day.people if pk in people]
        for skill in day.skills:
            if any(p.holds(skill, day.on) and not p.left for p in crew):
                continue
            for person, ends in _ending(crew, skill):
                if (skill, person) in told:
                    continue
                told.add((skill, person))
                call_on = working_days_before(day.on, RENEWED["card"], m.job.state)
                do = f"Renew {person}'s card as {skill}, or put another holder on"
                yield Expiry(f"{person}, {skill}", ends, day.on, call_on, do)


def _ending(crew: Iterable[PersonFact], skill: str) -> Iterator[tuple[str, date]]:
    for person in crew:
        ends = [expires for kind, expires in person.certificates if kind == skill and expires]
        if ends and not person.left:
            yield person.name, max(ends)


def _wrenches(m: JobMorning, ahead: list[DayFact], morning: Morning) -> Iterator[Expiry]:
    """A wrench out of calibration on an assembly day, where none that is in it reaches as far."""
    wrenches = morning.yard.wrenches
    days = [day for day in ahead if day.phase == "tower assembly" and not day.weather]
    for wrench in wrenches:
        for day in days:
            if any(w.good_on(day.on) and w.does_for(wrench) for w in wrenches):
                continue
            call_on = working_days_before(day.on, RENEWED[wrench.proof], m.job.state)
            do = f"Send wrench {wrench.name} to be calibrated"
            yield Expiry(f"Wrench {wrench.name}, calibration", wrench.until, day.on, call_on, do)
            break


def _cranes(m: JobMorning, ahead: list[DayFact], morning: Morning) -> Iterator[Expiry]:
    """The crane that a lift's day names; of a day that is the lift plan's own the plan says it."""
    told = set()
    for day in ahead:
        plan = m.facts.lifts.get(day.phase)
        crane = morning.yard.cranes.get(day.crane) if day.crane is not None else None
        if crane is None or day.phase not in LIFTS or (plan and day.on in plan.days):
            continue
        if not crane.good_on(day.on) and crane.name not in told:
            told.add(crane.name)
            call_on = working_days_before(day.on, RENEWED[crane.proof], m.job.state)
            do = f"Have {crane.name} inspected, or name another crane"
            yield Expiry(f"{crane.name}, annual inspection", crane.until, day.on, call_on, do)


def _lift_plans(m: JobMorning, ahead: list[DayFact]) -> Iterator[Expiry]:
    """Crane, slings and cards that a lift plan names and that are not valid on its days."""
    for which, plan in m.facts.lifts.items():
        if which in m.facts.started:
            continue
        told = set()
        for day in (on for on in sorted(plan.days) if on >= m.today):
            for words in plan.days[day]:
                if words in told:
                    continue
                told.add(words)
                call_on = working_days_before(day, RENEWED["lift plan"], m.job.state)
                title = BY_KEY[which].title
                do = f"Settle for the {title.lower()} ({words})"
                yield Expiry(f"{title}: {words}", None, day, call_on, do)


def _emergency(m: JobMorning, ahead: list[DayFact], morning: Morning) -> Iterator[Expiry]:
    """What a crew must know when somebody is hurt is settled before it digs, pours or lifts."""
    day = next((day.on for day in ahead if day.phase != "survey"), None)
    missing = morning.unasked.get(m.job.pk, EVERYTHING)
    if day is not None and missing:
        call_on = working_days_before(day, RENEWED["emergency card"], m.job.state)
        words = "nothing told yet" if missing == EVERYTHING else ", ".join(missing)
        do = f"Complete the emergency card ({words})"
        yield Expiry("Emergency card, not complete", None, day, call_on, do)


def _yearly(m: JobMorning, ahead: list[DayFact]) -> Iterator[Expiry]:
    due = yearly_due(m)
    if due is None:
        return
    planned = any(day.phase == "maintenance" for day in ahead)
    words = "Yearly inspection"
    if m.today >= due - YEARLY_LEAD:
        yield Expiry(words, None, due, due - YEARLY_LEAD, "Plan the yearly inspection", planned)


def yearly_due(m: JobMorning) -> date | None:
    """A year after the newest that passed, else after the turbine went into operation; None before that."""
    begun = m.facts.begun_on.get("operation")
    if begun is None:
        return None
    last = m.facts.inspections.get("annual")
    return max(begun, last.on if last and last.passed else begun) + YEARLY


def due_words(due: date, today: date) -> str:
    return f"due {day_words(due, weekday=True, beside=(today,))}"
