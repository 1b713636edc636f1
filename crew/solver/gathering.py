"""A season from the database: one function, a constant number of queries but for what each job is asked."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import asin, cos, radians, sin, sqrt
from typing import Any

from crew.days.laying import people_for, usual_crews
from crew.days.moving import days_off
from crew.plan.chain import USUAL, to_lay
from crew.plan.facts import crane_facts, cure_terms, job_plan, people_facts, with_days
from crew.plan.models import Absence, ClosedDays, CraneBooking, Crew, CrewDay
from crew.plan.order import LIFTS, JobPlan
from crew.solver.models import PromisedDate
from crew.solver.season import SPARE, Gang, Season, SeasonJob, Task, Weights
from installs.equipment.models import Crane
from installs.gates.facts import load_facts
from installs.gates.job_facts import JobFacts
from installs.gates.rules import gate
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.lift.models import LiftDesign
from installs.people.models import Certificate, User
from installs.site.models import SiteDesign

NEAR_MI = 40.0  # sites that are visited together: common practice, no source
EARTH_MI = 3958.8  # mean radius
# a day that gets another date weighs as much as a fortnight late, so that a repair moves little
REPAIRING = Weights(moved=400, shifted=4, mobilization=100)
WINTER = (11, 12, 1, 2, 3)


@dataclass(frozen=True, kw_only=True)
class Terms:
    """What whoever asks for a plan says.

    first
        the first day that may be planned; today where it is earlier.
    free, winter_free
        days kept free behind each lift, and of a lift from November to March.
    slipped
        (job, phase, date): what cannot be before a date.
    """

    until: date
    first: date | None = None
    free: int = 1
    winter_free: int = 2
    repair: bool = False
    slipped: tuple[int, str, date] | None = None

    @property
    def by_month(self) -> tuple[int, ...]:
        return tuple(self.winter_free if month in WINTER else self.free for month in range(1, 13))


def to_plan(jobs: Iterable[Job], at: datetime) -> list[Job]:
    """Those that still have something to lay or to move."""
    asked = list(jobs)
    facts, days = load_facts(asked, at), _standing(asked)
    found = []
    for job in asked:
        today = job.local(at).date()
        if to_lay(_kept_plan(facts[job.pk], days[job.pk], today)[0]):
            found.append(job)
    return found


def gather(jobs: Sequence[Job], terms: Terms, at: datetime) -> Season:
    """The season of these jobs; every other day of the firm stays as it stands."""
    asked = sorted(jobs, key=lambda job: job.number)
    today = min((job.local(at).date() for job in asked), default=at.date())
    facts, cure, days = load_facts(asked, at), cure_terms(asked), _standing(asked)
    people, cranes = people_facts(), crane_facts()
    gangs = _gangs()
    named = {(d.job_id, d.which): d.crane_id for d in LiftDesign.objects.filter(job__in=asked) if d.crane_id}
    offered = tuple(Crane.objects.filter(archived_on=None).order_by("pk").values_list("pk", flat=True))
    promised = promised_dates(asked)
    areas = _areas(asked)
    found = []
    for job in asked:
        plan, movable = _kept_plan(facts[job.pk], days[job.pk], job.local(at).date())
        kept = with_days(facts[job.pk], [d for d in days[job.pk] if d not in movable])
        plan = job_plan(kept, plan.today, cure[job.pk])
        lifted = {which: named[job.pk, which] for which in LIFTS if (job.pk, which) in named}
        tasks = tuple(
            _task(
                phase,
                [d for d in movable if d.phase == phase],
                gangs,
                lifted,
                offered,
                kept,
                plan,
                terms,
                job,
            )
            for phase in to_lay(plan)
        )
        found.append(
            SeasonJob(
                key=job.pk,
                number=job.number,
                plan=plan,
                tasks=tasks,
                off=days_off(job, today, max(terms.until, today) + SPARE),
                promised=promised.get(job.pk),
                area=areas[job.pk],
            )
        )
    busy, crane_busy = _taken(
        {d.pk for job in asked for d in _movable(facts[job.pk], days[job.pk], today)}, today
    )
    return Season(
        today=today,
        first=max(terms.first or today, today + timedelta(days=1)),  # today is under way
        until=terms.until,
        jobs=tuple(job for job in found if job.tasks),
        people=people,
        cranes=cranes,
        busy=busy,
        crane_busy=crane_busy,
        weather_days=terms.by_month,
        weights=REPAIRING if terms.repair else Weights(),
    )


def _standing(jobs: Sequence[Job]) -> dict[int, list[CrewDay]]:
    found: dict[int, list[CrewDay]] = {job.pk: [] for job in jobs}
    rows = CrewDay.objects.standing().filter(job__in=jobs).select_related("crew").prefetch_related("people")
    for day in rows.order_by("on", "pk"):
        found[day.job_id].append(day)
    return found


def _movable(facts: JobFacts, days: Iterable[CrewDay], today: date) -> list[CrewDay]:
    """Days ahead of phases that were not begun, today's phases left out: those are facts, or nearly so."""
    ahead = [d for d in days if d.on >= today and d.phase in USUAL]
    over = facts.started | facts.finished | {d.phase for d in ahead if d.on == today}
    return [d for d in ahead if d.phase not in over]


def _kept_plan(facts: JobFacts, days: list[CrewDay], today: date) -> tuple[JobPlan, list[CrewDay]]:
    movable = _movable(facts, days, today)
    return job_plan(with_days(facts, [d for d in days if d not in movable]), today), movable


def movable_days(job: Job, at: datetime) -> list[CrewDay]:
    """The standing days of the job that a plan may give another date."""
    facts = load_facts([job], at)[job.pk]
    return _movable(facts, _standing([job])[job.pk], job.local(at).date())


def _gangs() -> dict[str, list[Gang]]:
    """By kind of work the crews that did it, the one that did it last first."""
    crews = list(Crew.objects.filter(archived_on=None).select_related("foreman").prefetch_related("people"))
    if not crews:
        return {"pad": [], "tower": [], "electric": []}
    did: dict[str, set[int]] = defaultdict(set)
    for phase, crew in CrewDay.objects.order_by().values_list("phase", "crew").distinct():
        if phase in USUAL:
            did[USUAL[phase][1]].add(crew)
    found = {}
    for kind, usual in usual_crews(crews).items():
        others = [crew for crew in crews if crew != usual and crew.pk in did[kind]]
        found[kind] = [_gang(crew, kind) for crew in (usual, *others)]
    return found


def _gang(crew: Crew, kind: str) -> Gang:
    people = tuple(person.pk for person in people_for(crew, kind))
    return Gang(crew=crew.pk, name=crew.name, people=tuple(dict.fromkeys(people)))


def _task(
    phase: str,
    stood: list[CrewDay],
    gangs: Mapping[str, list[Gang]],
    lifted: Mapping[str, int],
    cranes: tuple[int, ...],
    facts: JobFacts,
    plan: JobPlan,
    terms: Terms,
    job: Job,
) -> Task:
    """The days of a phase as many as stand, else the usual; by the crew that stands first."""
    usual, kind = USUAL[phase]
    work = sorted(d.on for d in stood if d.kind == CrewDay.Kind.WORK)
    mine = list(gangs[kind])
    for day in stood[:1]:
        people = tuple(p.pk for p in day.people.all()) or _gang(day.crew, kind).people
        own = Gang(crew=day.crew_id, name=day.crew.name, people=people)
        mine = [own, *(g for g in mine if g.crew != day.crew_id)]
    lifts: tuple[int, ...] = ()
    state = facts.lifts.get(phase)
    if phase in LIFTS:
        on_day = next((d.crane_id for d in stood if d.crane_id), None)
        of_plan = lifted.get(phase)
        lifts = (
            (of_plan,) if of_plan else (*([on_day] if on_day else []), *(c for c in cranes if c != on_day))
        )
    not_before, why = _opens(phase, facts, plan)
    if terms.slipped and (job.pk, phase) == terms.slipped[:2]:
        not_before, why = max(not_before or terms.slipped[2], terms.slipped[2]), "it slipped"
    return Task(
        phase=phase,
        days=len(work) or usual,
        gangs=tuple(mine),
        skills=BY_KEY[phase].skills,
        cranes=lifts,
        not_before=not_before,
        not_before_why=why,
        stood=tuple(work),
        stood_free=tuple(sorted(d.on for d in stood if d.kind == CrewDay.Kind.WEATHER)),
        signed_for=tuple(sorted(state.days)) if state and state.signed and not state.missing else (),
    )


def _opens(phase: str, facts: JobFacts, plan: JobPlan) -> tuple[date | None, str]:
    """When the gate of the phase is forecast to open, by what it waits for outside."""
    key = BY_KEY[phase].gate
    state = gate(key, facts, plan.today) if key else None
    if state is None or state.open or state.expected is None:
        return None, ""
    return state.expected, f"the gate of {BY_KEY[phase].title.lower()} is not expected open before"


def _taken(movable: set[int], today: date) -> tuple[dict[tuple[int, date], str], dict[tuple[int, date], str]]:
    """Who and which crane is on a day that stays."""
    people: dict[tuple[int, date], str] = {}
    cranes: dict[tuple[int, date], str] = {}
    days = CrewDay.objects.standing().filter(on__gte=today, job__archived_on=None).exclude(pk__in=movable)
    for day in days.select_related("job").prefetch_related("people"):
        for person in day.people.all():
            people[person.pk, day.on] = day.job.number
        if day.crane_id:
            cranes[day.crane_id, day.on] = day.job.number
    return people, cranes


def promised_dates(jobs: Iterable[Job]) -> dict[int, date]:
    """By job the newest that was promised; none where it was taken back."""
    rows = PromisedDate.objects.filter(job__in=list(jobs)).order_by("pk").values_list("job", "on")
    return {job: on for job, on in dict(rows).items() if on}


def _areas(jobs: Sequence[Job]) -> dict[int, int]:
    """Sites that are near to one another get one number; one that nobody has placed has its own."""
    placed: dict[int, tuple[float, float]] = {}
    for site in SiteDesign.objects.filter(job__in=jobs):
        figures = site.figures
        if figures.latitude_deg is not None and figures.longitude_deg is not None:
            placed[site.job_id] = (figures.latitude_deg, figures.longitude_deg)
    found: dict[int, int] = {}
    for n, job in enumerate(jobs):
        near = (
            found[other]
            for other in found
            if job.pk in placed and other in placed and miles(placed[job.pk], placed[other]) <= NEAR_MI
        )
        found[job.pk] = next(near, n)
    return found


def miles(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Great circle between (latitude, longitude) in degrees, by the haversine formula."""
    (a, b), (c, d) = (tuple(map(radians, each)) for each in (one, other))
    h = sin((c - a) / 2) ** 2 + cos(a) * cos(c) * sin((d - b) / 2) ** 2
    return 2 * EARTH_MI * asin(sqrt(h))


# --- what a plan stands on ------------------------------------------------------------------------------

WATCHED: tuple[tuple[str, Any, tuple[str, ...]], ...] = (
    ("crew days", CrewDay, ("pk", "struck_at", "plan")),
    ("crews", Crew, ("pk", "name", "foreman", "people", "archived_on")),
    ("people", User, ("pk", "archived_on")),
    ("cards", Certificate, ("pk", "kind", "expires_on", "archived_on")),
    ("absences", Absence, ("pk", "first_on", "last_on", "withdrawn_on")),
    ("cranes", Crane, ("pk", "archived_on")),
    ("crane bookings", CraneBooking, ("pk", "confirmed_at", "cancelled_at")),
    ("closed days", ClosedDays, ("pk", "withdrawn_at")),
    ("promised dates", PromisedDate, ("pk",)),
    ("lift plans", LiftDesign, ("pk", "crane")),
)


def watched() -> dict[str, str]:
    """The hashes of what all jobs share."""
    return {
        name: _digest(sorted(map(str, model.objects.order_by().values_list(*fields))))
        for name, model, fields in WATCHED
    }


def stands_on(season: Season) -> dict[str, str]:
    """By what it is of the hash of what a plan is made from: two that are equal give the same season.

    Gates and durations are of the season itself, but for the day it is asked on.
    """
    known = [
        (
            j.key,
            sorted(j.plan.begun),
            sorted(j.plan.done),
            j.plan.poured_on,
            j.plan.cured,
            j.plan.cure,
            j.area,
        )
        for j in season.jobs
    ]
    return {**watched(), "what is on record of the jobs": _digest(known)}


def _digest(what: object) -> str:
    return hashlib.sha256(repr(what).encode()).hexdigest()[:16]


def changed_since(then: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    return [name for name in now if then.get(name) != now[name]]
