"""Judges the entries of a pour as they arrive; it may open deviations, it never refuses an entry."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from installs.checklists.models import Entry
from installs.gates.services import JUDGES
from installs.jobs.models import Job
from installs.jobs.services import open_deviation
from installs.people.models import User
from installs.pour.log import CODES, TRUCK, read_log, truck_number
from installs.pour.review import coldest_air, judged_truck, pour_facts
from installs.pour.temperatures import CONCRETE, instant_of, sensor_of
from sitecalc.checks import Verdict
from sitecalc.pour.curing import NOTHING_F
from sitecalc.pour.readings import Reading, Trace

FROZEN_WITHIN_DAYS = 28
MOST_NIGHTS = 10


def judge(job: Job, entry: Entry, by: User, at: datetime) -> None:
    """A truck discharged over its limit, or concrete at 32 F and under, leaves a deviation."""
    if entry.code in TRUCK:
        _judge_truck(job, entry, by, at)
    elif entry.code == CONCRETE and not entry.data.get("cannot"):
        _judge_frost(job, entry, by, at)


def _judge_truck(job: Job, entry: Entry, by: User, at: datetime) -> None:
    number = truck_number(entry.subject)
    facts = pour_facts(job, at)
    ticket = next((t for t in facts.log.trucks if t.number == number), None)
    if ticket is None or not ticket.discharged:
        return
    truck = judged_truck(ticket, facts.figures, coldest_air(facts.log, facts.log.poured_on, job.tz))
    failed = [c for c in truck.checks if c.verdict is Verdict.FAILS] if truck else []
    title = f"truck {number} discharged over a limit"
    if failed and not _stands(job, title):
        what = "; ".join(f"{c.title}: {c.note}" for c in failed)
        open_deviation(job, title, f"{what}.", by=by, at=at, entry=entry)


def _judge_frost(job: Job, entry: Entry, by: User, at: datetime) -> None:
    """Readings of this entry after the pour and within the curing time."""
    entries = list(job.entries.filter(code__in=CODES).select_related("item").order_by("sequence"))
    log = read_log(entries, job.zone)
    if log.poured_on is None or log.poured_at is None:
        return
    if entry.data.get("file"):
        mine: Iterable[Trace] = read_log([entry], job.zone).temperatures.concrete.values()
    else:
        trace = log.temperatures.concrete.get(sensor_of(entry))
        at = instant_of(entry)
        mine = [trace.since(at).until(at)] if trace is not None else []
    nights: dict[date, Reading] = {}
    end = log.poured_at + timedelta(days=FROZEN_WITHIN_DAYS)
    for trace in mine:
        young = trace.since(log.poured_at).until(end)
        frozen = young.temp_f <= NOTHING_F
        for reading in Trace(trace.sensor, young.at_s[frozen], young.temp_f[frozen]).readings():
            day = reading.at.astimezone(job.tz).date()
            nights[day] = min(nights.get(day, reading), reading, key=lambda r: r.temp_f)
    for day, coldest in sorted(nights.items())[:MOST_NIGHTS]:
        title = f"{coldest.sensor[:40]} frozen on {day:%b} {day.day}"
        if _stands(job, title):
            continue
        what = (
            f"Concrete at {coldest.sensor} was {coldest.temp_f:.1f} F at {job.local(coldest.at):%H:%M} on "
            f"{day:%b} {day.day}. Concrete that freezes before about 500 psi can lose half its strength for "
            "good: the engineer says what to do."
        )
        open_deviation(job, title, what, by=by, at=at, entry=entry)


def _stands(job: Job, title: str) -> bool:
    return job.deviations.filter(title=title).exists()


def register() -> None:
    if judge not in JUDGES:
        JUDGES.append(judge)
