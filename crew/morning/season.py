"""From jobs, crew days and permits to the rows of the season schedule."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from crew.morning.office import JobMorning
from crew.morning.strip import GateMark, Span, StripRow
from crew.plan.models import CrewDay
from installs.jobs.phases import BY_KEY
from installs.pour.terms import UNSAID
from sitecalc.wording import day_words

KINDS = {
    "survey": ("survey", "survey", 8),
    "excavation": ("excavation", "dig and rebar", 3),
    "pour": ("pour", "", 2),
    "tower assembly": ("lattice", "assemble", 4),
    "ground station": ("wiring", "wiring", 6),
    "tower lift": ("hook", "tower lift", 1),
    "turbine lift": ("hook", "turbine lift", 2),
    "commissioning": ("commissioning", "commission", 5),
}
WEEKS_BEHIND = 3
# how long the schedule is, in days; the first is shown where nothing is asked
USUAL = "10 weeks"
OVER = {USUAL: 70, "a season": 182, "9 months": 273}
UNSAID_DAYS: float = UNSAID["curing_days"]  # of a pour that is drawn before its figures say


@dataclass(frozen=True)
class Window:
    """The days that the schedule shows."""

    first: date
    days: int


def window(today: date, first: date | None = None, over: str = "") -> Window:
    """From the Monday of the week of ``first``, else of three weeks ago."""
    begins = first or today - timedelta(weeks=WEEKS_BEHIND)
    return Window(begins - timedelta(days=begins.weekday()), days=OVER.get(over, OVER[USUAL]))


def row(m: JobMorning) -> StripRow:
    return StripRow(
        number=m.job.number,
        owner=m.job.owner,
        spans=(*_papers(m), *_work(m), *_pour_and_cure(m)),
        gates=tuple(_gates(m)),
        moved=tuple(_moved(m)),
    )


def _papers(m: JobMorning) -> list[Span]:
    """What was asked, from the day it was asked to the day promised or answered."""
    found = []
    for permit in m.permits:
        if permit.asked_on is None or permit.refused_on:
            continue
        last = permit.granted_on or permit.promised_on or m.today
        label = permit.get_kind_display() if permit.kind != "locate" else ""
        in_hand = permit.granted_on is not None
        found.append(
            Span("paper", permit.asked_on, max(last, permit.asked_on), label, in_hand=in_hand, rank=7)
        )
    return found


def _goes_on(run: list[CrewDay], day: CrewDay) -> bool:
    """The day belongs to the run before it: the same work, no day between, both planned or neither."""
    same = day.phase == run[0].phase and day.kind == run[0].kind
    return same and day.on - run[-1].on <= timedelta(days=1) and bool(day.plan_id) == bool(run[0].plan_id)


def _work(m: JobMorning) -> list[Span]:
    """Crew days in runs of the same phase; struck ones where they were; phases done without a crew day."""
    found = []
    run: list[CrewDay] = []
    for day in m.standing:
        if run and not _goes_on(run, day):
            found += _run(run)
            run = []
        run.append(day)
    if run:
        found += _run(run)
    found += [Span("struck", d.on, d.on) for d in m.days if d.struck_at and not _rewritten(d)]
    planned = {d.phase for d in m.standing}
    for key, state in m.phases.items():
        if key in KINDS and key not in planned and key != "pour":
            kind, label, rank = KINDS[key]
            first = m.job.local(state.started_at).date()
            last = m.job.local(state.finished_at).date() if state.finished_at else first
            found.append(Span(kind, first, last, label, rank=rank))
    return found


def _rewritten(day: CrewDay) -> bool:
    """It stands on the same date with other people, crew or note."""
    return hasattr(day, "moved_to") and day.moved_to.on == day.on


def _run(run: list[CrewDay]) -> list[Span]:
    first = run[0]
    if first.kind == CrewDay.Kind.WEATHER:
        return [Span("weather", d.on, d.on) for d in run]
    if first.phase not in KINDS:
        return []
    kind, label, rank = KINDS[first.phase]
    loose = first.plan_id is None
    if kind in ("hook", "commissioning"):
        return [Span(kind, d.on, d.on, label if d is first else "", loose, rank=rank) for d in run]
    return [
        Span(
            kind, first.on, run[-1].on, f"{label}, tentative" if loose and label else label, loose, rank=rank
        )
    ]


def _pour_and_cure(m: JobMorning) -> list[Span]:
    """The pour's day and the cure from it to the day the curing days are reached or forecast."""
    cure = m.facts.cure
    # a day behind without a pour on record is asked for, and no pour
    planned = next((d for d in m.standing if d.phase == "pour" and d.on >= m.today), None)
    required = (cure.days_required if cure else None) or UNSAID_DAYS
    if cure and cure.poured_on:
        start, loose = cure.poured_on, False
        grown = min(cure.curing_days / required, 1.0)
    elif planned:
        start, loose, grown = planned.on, planned.plan_id is None, 0.0
        cure = None
    else:
        return []
    end = start + timedelta(days=math.ceil(required))
    if cure and cure.expected:
        end = cure.expected
    elif cure is None and m.cure is not None:
        end = m.cure.cured_on(start) or end
    lift = m.phases.get("tower lift")
    if lift:
        end = min(end, m.job.local(lift.started_at).date())
    if cure and cure.ready:
        end = min(end, m.today)
    spans = [Span("pour", start, start, "", loose, rank=2)]
    if end > start:
        first = start + timedelta(days=1)
        label = (
            f"cure, {cure.curing_days:.1f} of {required:g} curing days"
            if cure
            else f"pour, cure {required:g} curing days"
        )
        share = 1.0 if grown >= 1 or not cure else max(grown, 0.05)
        spans.append(Span("cure", first, end, label, loose, maturity=(0.0, max(share, 1.0)), rank=3))
    return spans


def _gates(m: JobMorning) -> list[GateMark]:
    """A gate stands before the first day of its phase: signed where the phase was started."""
    found = []
    for key in ("excavation", "tower lift", "commissioning"):
        state = m.phases.get(key)
        if state:
            day = m.job.local(state.started_at).date()
            found.append(GateMark(day, f"{state.started_by.initials} {day_words(day)}"))
        else:
            planned = next((d for d in m.standing if d.phase == key), None)
            if planned:
                found.append(GateMark(planned.on))
    return found


def _moved(m: JobMorning) -> list[tuple[str, str]]:
    """The newest change: plan's letter, what moved where, or what is otherwise on its day, why, who."""
    moved = [(d.struck_at, d) for d in m.days if d.struck_at and hasattr(d, "moved_to")]
    if not moved:
        return []
    at, old = max(moved, key=lambda each: each[0])
    new = old.moved_to
    letter = new.plan.letter if new.plan else ""
    who = f"{old.struck_by.initials} " if old.struck_by else ""
    to = "" if _rewritten(old) else f" to {day_words(new.on)}"
    words = (
        f"{BY_KEY[old.phase].title} {day_words(old.on)}{to}, {old.struck_why}. "
        f"{who}{day_words(m.job.local(at))}"
    )
    return [(letter, words)]
