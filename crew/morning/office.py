"""What the office's morning pages know of every active job: loaded in a constant number of queries.

A job's state is kept in this process and worked out again when what it stands on has changed, for that
job alone. It stands on

- the job's own record: the ends of its chains of events and entries, and its crew days;
- the date at the site;
- what all jobs share (SHARED): people and their certificates, cranes, wrenches, slings and their records,
  crews, the limits of the firm.

What is said of several jobs together (a person on two of them, a crane) is kept by the days that it is
said of: most changes to a job leave its days as they were. Worked out anew each time is what hangs on the
clock (a pad watched through the night) and on phones, which come and go without the job.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any

from django.db.models import OuterRef, Subquery

from crew.morning.facts import Yard, yard_facts
from crew.plan.clashes import Clash, DayFact, PersonFact, alone, by_date, by_job, together
from crew.plan.crane_clashes import CraneFacts, crane_clashes
from crew.plan.facts import (
    closed_days,
    crane_facts,
    cure_terms,
    dates_of,
    day_facts,
    job_plan,
    of_crew_days,
    people_facts,
)
from crew.plan.issuing import issued_by_next
from crew.plan.models import Crew, CrewDay, Plan
from crew.plan.order import CureTerms, unsaid
from installs.checklists.models import Device
from installs.emergency.facts import unasked
from installs.gates.facts import load_facts
from installs.gates.job_facts import JobFacts
from installs.gates.rules import GateState, gate_ahead
from installs.gates.states import Standing, phase_states
from installs.jobs.getters import open_deviations, phases_begun
from installs.jobs.kept import JobVersion, Kept, Stands, job_versions, shared_at, version
from installs.jobs.models import Deviation, Job, Member, PhaseState
from installs.jobs.phases import GATES, PHASES
from installs.jobs.reading import forget, one_reading
from installs.people.access import may
from installs.people.models import User
from installs.permits.models import Permit
from installs.permits.standing import standing_permits
from installs.pour.tonight import tonight_at
from installs.record.models import RecordCheck
from installs.sent.seen import carried
from installs.utility.standing import Standing as UtilityStanding
from installs.utility.standing import utilities

# what the pages stand on beside installs.jobs.kept: crew days are counted, small tables count cell by cell
PLANNED = (
    ("crew.CrewDay", "COUNT(*)"),
    ("crew.CrewDay", "COUNT(struck_at)"),
    ("crew.CrewDay", "COUNT(worked_at)"),
    "crew.Crew",
    "crew.Crew_people",
    "crew.Plan",
    "crew.Absence",
    "crew.CraneBooking",
)
# what the state of every job stands on
SHARED = (
    "installs.Firm",
    "installs.User",
    "installs.Certificate",
    "installs.Crane",
    "installs.Wrench",
    "installs.Sling",
    "installs.EquipmentRecord",
    "installs.UtilityProfile",
    "crew.Crew",
)
STATES = Kept(most=5000)
ALONE = Kept(most=5000)  # conflicts of each job's days alone
CLASHES = Kept(most=5000)  # of each job, those with other jobs too
TOGETHER = Kept(most=16)  # conflicts between the jobs that somebody sees
EVERY_CLASH = Kept(most=16)
ISSUED = Kept(most=4)
PEOPLE = Kept(most=4)
CRANES = Kept(most=4)
CREWS = Kept(most=4)
YARD = Kept(most=4)
PLANS = Kept(most=4)
PHONES = Kept(most=4)


@dataclass
class JobMorning:
    """One active job as the morning pages see it.

    What is cached of it stands on its days and facts alone, so that a copy for this moment has it too.
    """

    job: Job
    facts: JobFacts
    today: date
    days: list[CrewDay] = field(default_factory=list)  # standing and struck, by date
    permits: list[Permit] = field(default_factory=list)
    utility: UtilityStanding | None = None
    phases: dict[str, PhaseState] = field(default_factory=dict)
    deviations: list[Deviation] = field(default_factory=list)  # open ones
    devices: list[Device] = field(default_factory=list)
    clashes: tuple[Clash, ...] = ()  # by date
    ahead: tuple[DayFact, ...] = ()  # standing days from today on
    members: frozenset[int] = frozenset()
    cure: CureTerms | None = None  # what the cure of a pad still to be poured is forecast from
    stands: tuple[Any, ...] = ()  # what this state was worked out from

    @cached_property
    def standing(self) -> list[CrewDay]:
        return [d for d in self.days if d.struck_at is None]

    @cached_property
    def unsaid(self) -> list[CrewDay]:
        """Work days behind of which nobody has said what became of them."""
        plan = job_plan(self.facts, self.today)
        return [
            day
            for day in self.standing
            if day.kind == CrewDay.Kind.WORK
            and unsaid(
                plan,
                day.phase,
                day.on,
                begun_on=self.facts.begun_on.get(day.phase),
                worked=day.worked_at is not None,
            )
        ]

    @cached_property
    def next_day(self) -> CrewDay | None:
        """The next standing work day whose phase is not finished."""
        ahead = (d for d in self.standing if d.on >= self.today and d.kind == CrewDay.Kind.WORK)
        return next((d for d in ahead if d.phase not in self.facts.finished), None)

    @property
    def current_phases(self) -> list[str]:
        """Phases under way; else the next one to start."""
        running = [p.title for p in PHASES if self.states[p.key] == Standing.UNDER_WAY]
        return running or [p.title for p in PHASES if self.states[p.key] == Standing.TO_COME][:1]

    @cached_property
    def states(self) -> dict[str, Standing]:
        return phase_states(self.facts)

    @cached_property
    def gate(self) -> GateState | None:
        """The next gate not yet passed, on the day that it is about."""
        for key in GATES:
            if key not in self.facts.started and key not in self.facts.finished:
                return gate_ahead(key, self.facts, self.today)
        return None


@dataclass(frozen=True)
class Morning:
    today: date
    jobs: list[JobMorning]
    plans: list[Plan]
    people: dict[int, PersonFact]
    cranes: CraneFacts
    yard: Yard
    of_no_job: tuple[Clash, ...] = ()  # a crane that is booked for nothing
    crews: tuple[date | None, ...] = ()  # of each crew the day it was archived on

    @property
    def seen(self) -> tuple[int, ...]:
        """Which jobs: what is kept of these together is kept by it."""
        return tuple(m.job.pk for m in self.jobs)

    @cached_property
    def unasked(self) -> dict[int, tuple[str, ...]]:
        """By job what its emergency card does not say."""
        return unasked()

    @cached_property
    def clashes(self) -> tuple[Clash, ...]:
        """Every conflict once, by date."""
        stands = (self.of_no_job, tuple(m.clashes for m in self.jobs))

        def made(keys: list[Any]) -> dict[Any, tuple[Clash, ...]]:
            every = dict.fromkeys((*(c for m in self.jobs for c in m.clashes), *self.of_no_job))
            return dict.fromkeys(keys, tuple(by_date(every)))

        seen = self.seen
        found: tuple[Clash, ...] = EVERY_CLASH.each({seen: stands}, made)[seen]
        return found

    @cached_property
    def issued(self) -> dict[str, str]:
        """What an issued plan would put in force, as a form carries it; for whoever sees every job."""
        days = [d for m in self.jobs for d in m.standing if d.plan_id is None]
        stands = tuple((d.pk, d.job.number, d.on, d.crew.name, d.phase) for d in days)

        def made(keys: list[Any]) -> dict[Any, dict[str, str]]:
            return dict.fromkeys(keys, carried(issued_by_next(sorted(days, key=lambda d: d.pk))))

        seen = self.seen
        found: dict[str, str] = ISSUED.each({seen: stands}, made)[seen]
        return found


def load_morning(at: datetime, user: User, stands: Stands | None = None) -> Morning:
    """Every active job the person may see. A constant number of queries whatever the number of jobs."""
    known_at = stands or version(at, *PLANNED)
    versions = job_versions(Job.objects.active().visible_to(user), (of_crew_days, _record_checked))
    shared = (known_at.database, *known_at.of(*SHARED))
    wanted = {pk: (found.ends, found.day(at), shared) for pk, found in versions.items()}
    with shared_at(shared):
        kept = _states(wanted, versions, at)
    who = (known_at.database, *known_at.of("installs.User", "installs.Certificate", "crew.Absence"))
    people = PEOPLE.get(who, people_facts)
    phones = PHONES.get(
        (known_at.database, known_at.age, *known_at.of("installs.Device", "installs.User")), _phones
    )
    jobs = [_now(kept[pk], wanted[pk], phones, at) for pk in versions]
    settled = {pk: (stands, who) for pk, stands in wanted.items() if versions[pk].settled(at)}
    today = jobs[0].today if jobs else at.date()
    of_cranes = (known_at.database, *known_at.of("installs.Crane", "crew.CraneBooking"))
    cranes = CRANES.get(of_cranes, crane_facts)
    in_yard = known_at.of("installs.Crane", "installs.Wrench", "installs.EquipmentRecord")
    yard = YARD.get((known_at.database, *in_yard), yard_facts)
    between = _between(jobs, people, cranes, today, stands=(who, of_cranes, today))
    _add_clashes(jobs, people, settled, between.by_job)
    plans = PLANS.get((known_at.database, *known_at.of("crew.Plan", "installs.User")), _plans)
    told = between.of_no_job if may(user, "plan crew days") else ()
    crews = CREWS.get((known_at.database, *known_at.of("crew.Crew")), _crews)
    return Morning(today, jobs, plans, people, cranes, yard, told, crews)


def _crews() -> tuple[date | None, ...]:
    return tuple(Crew.objects.values_list("archived_on", flat=True))


def _plans() -> list[Plan]:
    """The newest, as every page names them."""
    return list(Plan.objects.select_related("issued_by").order_by("-issued_at", "-pk")[:3])


def _states(
    wanted: dict[int, tuple[Any, ...]], versions: dict[int, JobVersion], at: datetime
) -> dict[int, JobMorning]:
    """What was stamped after ``at``, by a clock ahead of ours or because ``at`` lies behind, is not kept."""
    settled = {pk: stands for pk, stands in wanted.items() if versions[pk].settled(at)}
    kept: dict[int, JobMorning] = STATES.each(settled, lambda keys: _in_batches(keys, at))
    ahead = [pk for pk in wanted if pk not in settled]
    return {**kept, **_in_batches(ahead, at)}


# of a job a megabyte of releases and entries is read to work it out: as many as keep the process small
BATCH = 30


def _in_batches(keys: list[int], at: datetime) -> dict[int, JobMorning]:
    found: dict[int, JobMorning] = {}
    for n in range(0, len(keys), BATCH):
        with one_reading():
            found |= _worked_out(keys[n : n + BATCH], at)
            forget()
    return found


def _record_checked() -> Subquery:
    """When the job's record was last gone over: a check leaves no line in the log that it checks."""
    return Subquery(RecordCheck.objects.filter(job=OuterRef("pk")).values("checked_at"))


def _worked_out(keys: list[int], at: datetime) -> dict[int, JobMorning]:
    """The states of these jobs from the record: about twenty queries, however many they are."""
    jobs = list(Job.objects.filter(pk__in=keys).select_related("engineer", "record_check"))
    days = list(
        CrewDay.objects.filter(job__in=keys)
        .select_related("job", "crew", "crane", "plan", "made_by", "struck_by", "worked_by", "moved_to__plan")
        .prefetch_related("people")
        .order_by("on", "pk")
    )
    standing = [day for day in days if day.struck_at is None]
    facts = load_facts(jobs, at, planned=dates_of(keys, standing))
    found = {job.pk: JobMorning(job, facts[job.pk], job.local(at).date()) for job in jobs}
    _fill(found, days, jobs, at)
    cure, closed = cure_terms(jobs), closed_days(jobs)
    for key, m in found.items():
        m.cure = cure[key]
        ahead = [d for d in m.standing if d.on >= m.today]
        m.ahead = tuple(day_facts(ahead, facts, m.today, cure, closed))
        _ = m.states, m.unsaid, m.next_day, m.gate  # cached before anybody copies it
    return found


def _fill(found: dict[int, JobMorning], days: list[CrewDay], jobs: list[Job], at: datetime) -> None:
    for day in days:
        found[day.job_id].days.append(day)
    permits, phases, deviations = standing_permits(jobs), phases_begun(jobs), open_deviations(jobs)
    members: dict[int, set[int]] = defaultdict(set)
    for job, person in Member.objects.filter(job__in=list(found)).values_list("job", "person"):
        members[job].add(person)
    applications = utilities(jobs, at)
    for key, morning in found.items():
        morning.utility = applications[key]
        morning.permits = sorted(permits[key], key=lambda p: (p.asked_on or date.min, p.pk))
        morning.phases = {state.key: state for state in phases[key]}
        morning.deviations = deviations[key]
        morning.members = frozenset(members[key])


def _phones() -> dict[int, list[Device]]:
    """Phones in use by whose they are."""
    found: dict[int, list[Device]] = defaultdict(list)
    for device in Device.objects.filter(ended_at=None).select_related("person").order_by("pk"):
        found[device.person_id].append(device)
    return dict(found)


def _now(
    kept: JobMorning, stands: tuple[Any, ...], phones: dict[int, list[Device]], at: datetime
) -> JobMorning:
    """A kept state as it is at this moment; the kept one is shared by threads and never changed."""
    found = copy(kept)
    found.stands, found.clashes = stands, ()
    found.devices = sorted((d for person in kept.members for d in phones.get(person, ())), key=lambda d: d.pk)
    cure = kept.facts.cure
    if cure is not None and cure.watch is not None:
        found.facts = replace(kept.facts, cure=replace(cure, tonight=tonight_at(cure.watch, at)))
    return found


@dataclass(frozen=True)
class Between:
    """What jobs have of one another: by the number of each job, and what is of none."""

    by_job: Mapping[str, tuple[Clash, ...]]
    of_no_job: tuple[Clash, ...]


def _between(
    jobs: Sequence[JobMorning],
    people: dict[int, PersonFact],
    cranes: CraneFacts,
    today: date,
    stands: tuple[Any, ...],
) -> Between:
    """Whom and what two jobs have on one date, and what is booked for nothing: kept while the days ahead of
    all of them say the same. ``stands`` is what else it is worked out from."""

    def made(keys: list[Any]) -> dict[Any, Between]:
        every = [day for m in jobs for day in m.ahead]
        found = by_date([*together(every, people), *crane_clashes(every, cranes, today)])
        return dict.fromkeys(keys, Between(by_job(found), tuple(clash for clash in found if not clash.jobs)))

    seen = tuple(m.job.pk for m in jobs)
    found: Between = TOGETHER.each({seen: (stands, tuple(m.ahead for m in jobs))}, made)[seen]
    return found


def _add_clashes(
    jobs: Sequence[JobMorning],
    people: dict[int, PersonFact],
    settled: dict[int, tuple[Any, ...]],
    between: Mapping[str, tuple[Clash, ...]],
) -> None:
    """What is wrong with a job's days alone is kept at the versions ``settled``."""
    by_key = {m.job.pk: m for m in jobs}
    own = ALONE.each(settled, lambda keys: {key: alone(by_key[key].ahead, people) for key in keys})
    own |= {key: alone(m.ahead, people) for key, m in by_key.items() if key not in own}
    parts = {key: (own[key], between.get(m.job.number, ())) for key, m in by_key.items()}
    found = CLASHES.each(
        parts, lambda keys: {key: tuple(by_date([*parts[key][0], *parts[key][1]])) for key in keys}
    )
    for key, m in by_key.items():
        m.clashes = found[key]
