"""What the office's morning pages know of every active job: loaded in a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property

from crew.plan.clashes import Clash, PersonFact, clashes
from crew.plan.facts import day_facts, people_facts
from crew.plan.models import CrewDay, Plan
from installs.checklists.models import Device
from installs.gates.facts import load_facts
from installs.gates.rules import GateState, JobFacts, gate
from installs.gates.states import Standing, phase_states
from installs.jobs.models import Deviation, Job, PhaseState
from installs.jobs.phases import GATES, PHASES
from installs.people.models import User
from installs.permits.models import Permit


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
        """The next gate not yet passed."""
        for key in GATES:
            if key not in self.facts.started and key not in self.facts.finished:
                return gate(key, self.facts, self.today)
        return None


@dataclass(frozen=True)
class Morning:
    today: date
    jobs: list[JobMorning]
    plans: list[Plan]
    people: dict[int, PersonFact]


def load_morning(at: datetime, user: User) -> Morning:
    """Every active job the person may see. About twenty queries, whatever the number of jobs."""
    jobs = list(Job.objects.active().visible_to(user).select_related("engineer", "record_check"))
    keys = [job.pk for job in jobs]
    days = list(
        CrewDay.objects.filter(job__in=keys)
        .select_related("job", "crew", "plan", "made_by", "struck_by", "moved_to__plan")
        .prefetch_related("people")
        .order_by("on", "pk")
    )
    planned = _planned(days)
    facts = load_facts(jobs, at, planned)
    today = jobs[0].local(at).date() if jobs else at.date()
    found = {job.pk: JobMorning(job, facts[job.pk], job.local(at).date()) for job in jobs}
    _fill(found, days, keys)
    people = people_facts()
    standing = [d for d in days if d.struck_at is None and d.on >= today]
    by_number = {m.job.number: m for m in found.values()}
    for clash in clashes(day_facts(standing, facts, today), people):
        for number in clash.jobs:
            by_number[number].clashes.append(clash)
    plans = list(Plan.objects.select_related("issued_by").order_by("-issued_at", "-pk")[:3])
    return Morning(today, list(found.values()), plans, people)


def _planned(days: list[CrewDay]) -> dict[int, dict[str, date]]:
    last: dict[int, dict[str, date]] = defaultdict(dict)
    for day in days:
        if day.struck_at is None and day.kind == CrewDay.Kind.WORK:
            last[day.job_id][day.phase] = day.on
    return last


def _fill(found: dict[int, JobMorning], days: list[CrewDay], keys: list[int]) -> None:
    for day in days:
        found[day.job_id].days.append(day)
    for permit in Permit.objects.filter(job__in=keys, withdrawn_on=None).order_by("asked_on", "pk"):
        found[permit.job_id].permits.append(permit)
    for state in PhaseState.objects.filter(job__in=keys).select_related("started_by"):
        found[state.job_id].phases[state.key] = state
    for deviation in Deviation.objects.filter(job__in=keys, answers=None).order_by("number"):
        found[deviation.job_id].deviations.append(deviation)
    devices = Device.objects.filter(person__memberships__job__in=keys, ended_at=None).select_related("person")
    members: dict[int, set[int]] = defaultdict(set)
    for job, person in User.objects.filter(memberships__job__in=keys).values_list("memberships__job", "pk"):
        if job in found:
            members[job].add(person)
    for device in {d.pk: d for d in devices}.values():
        for key, people in members.items():
            if device.person_id in people:
                found[key].devices.append(device)
