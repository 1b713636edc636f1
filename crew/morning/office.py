"""What the office's morning pages know of every active job: loaded in a constant number of queries.

A job's state is kept in this process and worked out again when what it stands on has changed, for that
job alone. It stands on

- the job's own record: the ends of its chains of events and entries, and its crew days;
- the date at the site;
- what all jobs share (SHARED): people and their certificates, cranes, wrenches, slings and their records,
  crews, the limits of the firm.

Worked out anew each time is what hangs on the clock (a pad watched through the night), on other jobs (a
person on two of them) and on phones and absences, which come and go without the job.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any

from django.db.models import Count, Max, OuterRef, Subquery
from django.db.models.functions import Coalesce

from crew.plan.clashes import Clash, DayFact, PersonFact, alone, by_date, together
from crew.plan.facts import day_facts, people_facts
from crew.plan.models import CrewDay, Plan
from installs.checklists.models import Device
from installs.gates.facts import load_facts
from installs.gates.job_facts import JobFacts
from installs.gates.rules import GateState, gate_ahead
from installs.gates.states import Standing, phase_states
from installs.jobs.getters import open_deviations, phases_begun
from installs.jobs.kept import JobVersion, Kept, Stands, job_versions, version
from installs.jobs.models import Deviation, Job, Member, PhaseState
from installs.jobs.phases import GATES, PHASES
from installs.people.models import User
from installs.permits.models import Permit
from installs.permits.standing import standing_permits
from installs.pour.tonight import tonight_at
from installs.record.models import RecordCheck

# what the pages stand on beside installs.jobs.kept: crew days are counted, small tables count cell by cell
PLANNED = (
    ("crew.CrewDay", "COUNT(*)"),
    ("crew.CrewDay", "COUNT(struck_at)"),
    "crew.Crew",
    "crew.Plan",
    "crew.Absence",
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
    "crew.Crew",
)
STATES = Kept(most=5000)
CLASHES = Kept(most=5000)  # of each job's days alone
PEOPLE = Kept(most=4)
PHONES = Kept(most=4)


@dataclass
class JobMorning:
    """One active job as the morning pages see it."""

    job: Job
    facts: JobFacts
    today: date
    days: list[CrewDay] = field(default_factory=list)  # standing and struck, by date
    permits: list[Permit] = field(default_factory=list)
    phases: dict[str, PhaseState] = field(default_factory=dict)
    deviations: list[Deviation] = field(default_factory=list)  # open ones
    devices: list[Device] = field(default_factory=list)
    clashes: list[Clash] = field(default_factory=list)
    ahead: tuple[DayFact, ...] = ()  # standing days from today on
    members: frozenset[int] = frozenset()
    stands: tuple[Any, ...] = ()  # what this state was worked out from

    @property
    def standing(self) -> list[CrewDay]:
        return [d for d in self.days if d.struck_at is None]

    @property
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

    @property
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


def load_morning(at: datetime, user: User, stands: Stands | None = None) -> Morning:
    """Every active job the person may see. A constant number of queries whatever the number of jobs."""
    known_at = stands or version(at, *PLANNED)
    versions = job_versions(Job.objects.active().visible_to(user), [*_of_crew_days(), _record_checked()])
    shared = (known_at.database, *known_at.of(*SHARED))
    wanted = {pk: (found.ends, found.day(at), shared) for pk, found in versions.items()}
    kept = _states(wanted, versions, at)
    who = (known_at.database, *known_at.of("installs.User", "installs.Certificate", "crew.Absence"))
    people = PEOPLE.get(who, people_facts)
    phones = PHONES.get(
        (known_at.database, known_at.age, *known_at.of("installs.Device", "installs.User")), _phones
    )
    jobs = [_now(kept[pk], wanted[pk], phones, at) for pk in versions]
    settled = {pk: (stands, who) for pk, stands in wanted.items() if versions[pk].settled(at)}
    _add_clashes(jobs, people, settled)
    plans = list(Plan.objects.select_related("issued_by").order_by("-issued_at", "-pk")[:3])
    return Morning(jobs[0].today if jobs else at.date(), jobs, plans, people)


def _states(
    wanted: dict[int, tuple[Any, ...]], versions: dict[int, JobVersion], at: datetime
) -> dict[int, JobMorning]:
    """What was stamped after ``at``, by a clock ahead of ours or because ``at`` lies behind, is not kept."""
    settled = {pk: stands for pk, stands in wanted.items() if versions[pk].settled(at)}
    kept: dict[int, JobMorning] = STATES.each(settled, lambda keys: _worked_out(keys, at))
    ahead = [pk for pk in wanted if pk not in settled]
    return {**kept, **(_worked_out(ahead, at) if ahead else {})}


def _of_crew_days() -> list[Subquery | Coalesce]:
    """The job's crew days as they stand: made, struck, put in force."""
    days = CrewDay.objects.filter(job=OuterRef("pk")).order_by().values("job")
    counted = (Max("pk"), Count("struck_at"), Count("plan"))
    return [Coalesce(Subquery(days.annotate(n=what).values("n")), 0) for what in counted]


def _record_checked() -> Subquery:
    """When the job's record was last gone over: a check leaves no line in the log that it checks."""
    return Subquery(RecordCheck.objects.filter(job=OuterRef("pk")).values("checked_at"))


def _worked_out(keys: list[int], at: datetime) -> dict[int, JobMorning]:
    """The states of these jobs from the record: about twenty queries, however many they are."""
    jobs = list(Job.objects.filter(pk__in=keys).select_related("engineer", "record_check"))
    days = list(
        CrewDay.objects.filter(job__in=keys)
        .select_related("job", "crew", "plan", "made_by", "struck_by", "moved_to__plan")
        .prefetch_related("people")
        .order_by("on", "pk")
    )
    facts = load_facts(jobs, at)
    found = {job.pk: JobMorning(job, facts[job.pk], job.local(at).date()) for job in jobs}
    _fill(found, days, jobs)
    for m in found.values():
        m.ahead = tuple(day_facts([d for d in m.standing if d.on >= m.today], facts, m.today))
    return found


def _fill(found: dict[int, JobMorning], days: list[CrewDay], jobs: list[Job]) -> None:
    for day in days:
        found[day.job_id].days.append(day)
    permits, phases, deviations = standing_permits(jobs), phases_begun(jobs), open_deviations(jobs)
    members: dict[int, set[int]] = defaultdict(set)
    for job, person in Member.objects.filter(job__in=list(found)).values_list("job", "person"):
        members[job].add(person)
    for key, morning in found.items():
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
    facts, devices = kept.facts, [d for person in kept.members for d in phones.get(person, ())]
    if facts.cure is not None and facts.cure.watch is not None:
        facts = replace(facts, cure=replace(facts.cure, tonight=tonight_at(facts.cure.watch, at)))
    devices.sort(key=lambda device: device.pk)
    return replace(kept, facts=facts, devices=devices, clashes=[], stands=stands)


def _add_clashes(
    jobs: Iterable[JobMorning], people: dict[int, PersonFact], settled: dict[int, tuple[Any, ...]]
) -> None:
    """What is wrong with a job's days alone is kept at the versions ``settled``; what two jobs have of one
    person is looked for each time."""
    by_key = {m.job.pk: m for m in jobs}
    kept = CLASHES.each(settled, lambda keys: {key: alone(by_key[key].ahead, people) for key in keys})
    found = [clash for each in kept.values() for clash in each]
    found += alone((day for key, m in by_key.items() if key not in kept for day in m.ahead), people)
    found += together((day for m in by_key.values() for day in m.ahead), people)
    by_number = {m.job.number: m for m in by_key.values()}
    for clash in by_date(found):
        for number in clash.jobs:
            by_number[number].clashes.append(clash)
