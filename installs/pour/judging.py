"""Judges the entries of a pour as they arrive; it may open deviations, it never refuses an entry."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from installs.checklists.models import Entry
from installs.jobs.deviations import (
    COLD_JOINT,
    FROZEN_CONCRETE,
    FROZEN_GROUND,
    LOW_BREAK,
    POUR_STOPPED,
    THAW_UNKNOWN,
    TRUCK_OVER,
    TRUCK_UNDECIDED,
    DeviationKind,
)
from installs.jobs.models import Deviation, Job
from installs.jobs.services import open_deviation
from installs.people.models import User
from installs.pour.facts import CureFacts, NoticeFact
from installs.pour.field_log import CODES, STOPPED, TRUCK, read_log, truck_number
from installs.pour.review import air_of_day, judged_truck, pour_facts
from installs.pour.temperatures import CONCRETE, sensor_of
from installs.pour.terms import PourTerms
from sitecalc.checks import Verdict
from sitecalc.pour.curing import NOTHING_F
from sitecalc.pour.placing import Decision
from sitecalc.pour.readings import Reading, Trace
from sitecalc.pour.strength import ACCEPTANCE, LAW, each_at_least
from sitecalc.wording import clock_words, day_words

FROZEN_WITHIN_DAYS = 28
MOST_NIGHTS = 10


def judge(job: Job, entry: Entry, by: User, at: datetime) -> None:
    """A truck over its limit, a joint, frozen concrete or ground, a stopped pour: each leaves a deviation."""
    if entry.code in TRUCK:
        _judge_truck(job, entry, by, at)
    elif entry.code == STOPPED and not entry.said.get("cannot"):
        _judge_stop(job, entry, by, at)
    elif entry.code == CONCRETE and not entry.said.get("cannot"):
        _judge_frost(job, entry, by, at)


def _judge_truck(job: Job, entry: Entry, by: User, at: datetime) -> None:
    number = truck_number(entry.subject)
    facts = pour_facts(job, at)
    ticket = next((t for t in facts.log.trucks if t.number == number), None)
    if ticket is None or not ticket.discharged:
        return
    truck = judged_truck(ticket, facts.terms, air_of_day(facts.log, job.tz, at))
    failed = [c for c in truck.checks if c.verdict is Verdict.FAILS] if truck else []
    leave = _Leaver(job, by, at, entry)
    if failed:
        what = "; ".join(f"{c.title}: {c.note}" for c in failed)
        leave(TRUCK_OVER, f"{what}.", number=number)
    elif truck is not None and truck.decision is Decision.ENGINEER:
        leave(TRUCK_UNDECIDED, truck.words, number=number)
    _judge_joints(facts, leave)
    _judge_ground(facts, job, leave, at)


def _judge_joints(facts: CureFacts, leave: _Leaver) -> None:
    """Longer between two loads than the job allows: whether it is a joint is the engineer's decision."""
    most = facts.terms.figures.joint_minutes if facts.terms else None
    for first, second, minutes in facts.log.joints(most) if most else ():
        leave(
            COLD_JOINT,
            f"{minutes:.0f} min passed between their discharges, at most {most:g} min by this job. Whether "
            "the concrete has become one piece is the engineer's decision.",
            first=first,
            second=second,
        )


def _judge_ground(facts: CureFacts, job: Job, leave: _Leaver, at: datetime) -> None:
    """In cold weather nothing is placed on what is frozen, or on what nobody has read."""
    air = air_of_day(facts.log, job.tz, at)
    cold = facts.terms.cold(air, facts.log.thawed_f) if facts.terms else None
    if cold is None or not cold.cold:
        return
    open_checks = [c for c in cold.checks if c.key in ("ground", "form", "steel") and c.needs_answer]
    frozen = [c for c in open_checks if c.verdict is Verdict.FAILS]
    if frozen:
        what = "; ".join(f"{c.title} {c.note}" for c in frozen)
        leave(FROZEN_GROUND, f"{what}.")
    elif open_checks:
        names = ", ".join(c.title.lower() for c in open_checks)
        leave(THAW_UNKNOWN, f"Air {air:.0f} F; not read: {names}.")


def _judge_stop(job: Job, entry: Entry, by: User, at: datetime) -> None:
    yards = f" at {entry.number:g} yd³" if entry.number is not None else ""
    said = f" {entry.text}" if entry.text else ""
    _Leaver(job, by, at, entry)(
        POUR_STOPPED,
        f"The form is not full.{said} How and whether the pour goes on, and what becomes of the joint, is "
        "the engineer's decision.",
        at=yards,
    )


@dataclass(frozen=True)
class _Leaver:
    """Opens a deviation that the engineer answers, once for each title."""

    job: Job
    by: User
    at: datetime
    entry: Entry

    def __call__(self, kind: DeviationKind, what: str, **blanks: object) -> None:
        title = kind.title.format(**blanks)[:80]
        if not self.job.deviations.filter(title=title).exists():
            open_deviation(
                self.job, title, what[:2000], by=self.by, at=self.at, entry=self.entry, kind=kind
            )  # fmt: skip


def _judge_frost(job: Job, entry: Entry, by: User, at: datetime) -> None:
    """Readings of this entry after the pour and within the curing time.

    The deviation is dated ``at``, when we came to know; its words say which night the concrete froze.
    """
    entries = list(job.entries.filter(code__in=CODES).select_related("item").order_by("sequence"))
    log = read_log(entries, job.zone)
    if log.poured_on is None or log.poured_at is None:
        return
    if entry.said.get("file"):
        mine: Iterable[Trace] = read_log([entry], job.zone).temperatures.concrete.values()
    else:
        trace = log.temperatures.concrete.get(sensor_of(entry))
        read_at = entry.happened_at
        mine = [trace.since(read_at).until(read_at)] if trace is not None else []
    nights: dict[date, Reading] = {}
    end = log.poured_at + timedelta(days=FROZEN_WITHIN_DAYS)
    for trace in mine:
        young = trace.since(log.poured_at).until(end)
        frozen = young.temp_f <= NOTHING_F
        for reading in Trace(trace.sensor, young.at_s[frozen], young.temp_f[frozen]).readings():
            day = reading.at.astimezone(job.tz).date()
            nights[day] = min(nights.get(day, reading), reading, key=lambda r: r.temp_f)
    leave = _Leaver(job, by, at, entry)
    for day, coldest in sorted(nights.items())[:MOST_NIGHTS]:
        when = f"{clock_words(job.local(coldest.at))} on {day_words(day, year=True)}"
        what = (
            f"Concrete at {coldest.sensor} was {coldest.temp_f:.1f} F at {when}. "
            "Concrete that freezes before about 500 psi can lose half its strength for good: the engineer "
            "says what to do."
        )
        leave(FROZEN_CONCRETE, what, sensor=coldest.sensor[:40], day=day_words(day))


def judge_notice(job: Job, notice: NoticeFact, by: User, at: datetime) -> Deviation | None:
    """Cylinders that broke low: the engineer says what becomes of the concrete. ``job`` is locked."""
    low = low_break(notice, pour_facts(job, at).terms)
    if not low:
        return None
    title = LOW_BREAK.title.format(day=day_words(notice.written_on), cure=notice.cure)
    # another test of that day that broke low is another answer that the engineer owes
    if job.deviations.filter(title=title, what=low).exists():
        return None
    return open_deviation(job, title, low, by=by, at=at, kind=LOW_BREAK)


def low_break(notice: NoticeFact, terms: PourTerms | None) -> str:
    """Why a strength test is a low break, in a sentence; empty if it is none, or not old enough to be."""
    fc = terms.figures.fc_psi if terms else None
    if terms is None or fc is None or notice.age_days < terms.figures.acceptance_days - 0.5:
        return ""
    psi, days = notice.average_psi, notice.age_days
    if notice.cure == "lab":
        floor = each_at_least(fc)
        if psi >= floor:
            return ""
        least = f"no test may be under {floor:,.0f} psi ({ACCEPTANCE})"
        return f"Lab-cured {psi:,.0f} psi at {days:g} days, {least}."
    needed = fc if terms.required_psi is None else terms.required_psi
    if psi >= needed:
        return ""
    return f"Field-cured {psi:,.0f} psi at {days:g} days, {needed:,.0f} psi required for the tower ({LAW})."
