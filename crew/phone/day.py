"""What a person sees on the phone for a day: their crew days, the lists of each phase, its gate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

from crew.plan.models import CrewDay
from installs.checklists.state import ListState, list_states
from installs.gates.facts import load_facts
from installs.gates.job_facts import JobFacts
from installs.gates.rules import GateState, gate, stops_of
from installs.gates.shown import phase_shown
from installs.gates.states import Standing, phase_states
from installs.jobs.models import Job, PhaseState
from installs.jobs.phases import BY_KEY, PHASES, Phase
from installs.people.models import User
from installs.picture.gathering import Picture, pictures_of
from installs.sent.seen import Seen
from sitecalc.pour.tonight import Tonight


@dataclass(frozen=True)
class DayWork:
    """One phase of one job on the day. ``day`` is None where the phase is under way without a crew day."""

    job: Job
    phase: Phase
    day: CrewDay | None
    state: PhaseState | None
    gate: GateState | None
    lists: tuple[ListState, ...]
    stopped: tuple[str, ...]  # why nobody goes on with it
    shown: Seen  # what who starts or finishes it has read
    tonight: Tonight | None = None  # of the job's pad, on the job's first phase only
    picture: Picture | None = None  # of the job, on its first phase only


def day_works(person: User, on: date, at: datetime) -> list[DayWork]:
    """Crew days of the person on the date, plus phases and cures under way on jobs they belong to."""
    days = list(
        CrewDay.objects.standing()
        .filter(on=on, people=person, job__archived_on=None)
        .select_related("job", "crew", "crane", "plan")
        .prefetch_related("people")
    )
    jobs = {d.job_id: d.job for d in days}
    jobs.update(
        {
            j.pk: j
            for j in Job.objects.active()
            .visible_to(person)
            .filter(members__person=person, members__until=None)
        }
    )
    facts = load_facts(jobs.values(), at)
    rows = PhaseState.objects.filter(job__in=jobs).select_related("started_by", "finished_by")
    states = {(s.job_id, s.key): s for s in rows}
    wanted: list[tuple[Job, str, CrewDay | None]] = [(d.job, d.phase, d) for d in days]
    planned = {(d.job_id, d.phase) for d in days}
    for job in jobs.values():
        ours = [key for key in _asking(facts[job.pk]) if (job.pk, key) not in planned]
        wanted += [(job, key, None) for key in ours]
    works = [
        _work(job, key, day, states.get((job.pk, key)), facts[job.pk], on, at) for job, key, day in wanted
    ]
    return _watched(works, facts, pictures_of([*jobs.values()], at, facts))


def _asking(facts: JobFacts) -> list[str]:
    """Phases under way that have lists: nobody starts a cure, it asks for readings from the pour until it is
    ready, and as long as the pad is in danger, for a released one can still freeze."""
    under_way = {key for key, state in phase_states(facts).items() if state == Standing.UNDER_WAY}
    if _endangered(facts):
        under_way.add("cure")
    return [phase.key for phase in PHASES if phase.key in under_way and phase.checklists]


def _watched(works: list[DayWork], facts: dict[int, JobFacts], pictures: dict[int, Picture]) -> list[DayWork]:
    """What to do tonight and the picture stand once a job; a pad in danger goes before everything else."""
    seen: set[int] = set()
    found = []
    for work in sorted(works, key=lambda w: not _endangered(facts[w.job.pk])):
        cure = facts[work.job.pk].cure
        first = work.job.pk not in seen
        seen.add(work.job.pk)
        tonight = cure.tonight if first and cure is not None else None
        found.append(replace(work, tonight=tonight, picture=pictures[work.job.pk] if first else None))
    return found


def _endangered(facts: JobFacts) -> bool:
    return facts.cure is not None and facts.cure.endangered


def _work(
    job: Job, key: str, day: CrewDay | None, state: PhaseState | None, facts: JobFacts, on: date, at: datetime
) -> DayWork:
    phase = BY_KEY[key]
    judged = gate(phase.gate, facts, on, today=job.local(at).date()) if phase.gate else None
    shown = phase_shown(job, key, facts, state, job.local(at).date())
    return DayWork(job, phase, day, state, judged, tuple(lists_of(job, phase)), stops_of(key, facts), shown)


def lists_of(job: Job, phase: Phase) -> Iterable[ListState]:
    """The lists of a phase in the order the phase names them."""
    order = {key: place for place, key in enumerate(phase.checklists)}
    found = list_states(job, job.lists.filter(key__in=phase.checklists))
    return sorted(found, key=lambda s: order[s.list.key])
