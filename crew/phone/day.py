"""What a person sees on the phone for a day: their crew days, the lists of each phase, its gate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from crew.plan.models import CrewDay
from installs.checklists.state import ListState, list_states
from installs.gates.facts import load_facts
from installs.gates.rules import GateState, JobFacts, gate
from installs.jobs.models import Job, PhaseState
from installs.jobs.phases import BY_KEY, Phase
from installs.people.models import User


@dataclass(frozen=True)
class DayWork:
    """One phase of one job on the day. ``day`` is None where the phase is under way without a crew day."""

    job: Job
    phase: Phase
    day: CrewDay | None
    state: PhaseState | None
    gate: GateState | None
    lists: tuple[ListState, ...]


def day_works(person: User, on: date, at: datetime) -> list[DayWork]:
    """Crew days of the person on the date, plus phases and cures under way on jobs they belong to."""
    days = list(
        CrewDay.objects.standing()
        .filter(on=on, people=person, job__archived_on=None)
        .select_related("job", "crew", "plan")
        .prefetch_related("people")
    )
    jobs = {d.job_id: d.job for d in days}
    jobs.update({j.pk: j for j in Job.objects.active().visible_to(person).filter(members__person=person)})
    facts = load_facts(jobs.values(), at)
    states = {(s.job_id, s.key): s for s in PhaseState.objects.filter(job__in=jobs)}
    wanted = [(d.job, d.phase, d) for d in days]
    planned = {(d.job_id, d.phase) for d in days}
    for (job_pk, key), state in states.items():
        if (
            key in BY_KEY
            and state.finished_at is None
            and (job_pk, key) not in planned
            and BY_KEY[key].checklists
        ):
            wanted.append((jobs[job_pk], key, None))
    # nobody starts a cure: it is under way from the pour until it is ready, and asks for readings every day
    wanted += [(job, "cure", None) for job in jobs.values() if _cures(facts[job.pk])]
    return [_work(job, key, day, states.get((job.pk, key)), facts[job.pk], on) for job, key, day in wanted]


def _cures(facts: JobFacts) -> bool:
    return facts.cure is not None and facts.cure.poured and not facts.cure.ready


def _work(
    job: Job, key: str, day: CrewDay | None, state: PhaseState | None, facts: object, on: date
) -> DayWork:
    phase = BY_KEY[key]
    judged = gate(phase.gate, facts, on) if phase.gate else None
    return DayWork(job, phase, day, state, judged, tuple(lists_of(job, phase)))


def lists_of(job: Job, phase: Phase) -> Iterable[ListState]:
    """The lists of a phase in the order the phase names them."""
    order = {key: place for place, key in enumerate(phase.checklists)}
    found = list_states(job, job.lists.filter(key__in=phase.checklists))
    return sorted(found, key=lambda s: order[s.list.key])
