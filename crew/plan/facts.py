"""Loads crew days and people for the clashes and the strip: constant number of queries."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from crew.plan.clashes import DayFact, PersonFact
from crew.plan.models import Absence, CrewDay
from installs.gates.job_facts import CrewDates, JobFacts
from installs.gates.planned import Planned
from installs.gates.rules import gate
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.people.models import Certificate, User


def people_facts() -> dict[int, PersonFact]:
    away: dict[int, list[tuple[date, date, str]]] = {}
    for absence in Absence.objects.filter(withdrawn_on=None):
        away.setdefault(absence.person_id, []).append((absence.first_on, absence.last_on, absence.why))
    cards: dict[int, list[tuple[str, date | None]]] = {}
    lacking: dict[int, list[tuple[str, str]]] = {}
    for card in Certificate.objects.filter(archived_on=None):
        if card.lacks:
            lacking.setdefault(card.person_id, []).append((card.kind, card.lacks))
        else:
            cards.setdefault(card.person_id, []).append((card.kind, card.expires_on))
    return {
        user.pk: PersonFact(
            user.pk,
            user.full_name,
            tuple(away.get(user.pk, ())),
            tuple(cards.get(user.pk, ())),
            tuple(lacking.get(user.pk, ())),
        )
        for user in User.objects.current()
    }


def planned_days(jobs: Iterable[Job]) -> Planned:
    """Standing crew days of each phase, by job, for the gates. One query."""
    found: Planned = {job.pk: {} for job in jobs}
    days = CrewDay.objects.standing().filter(job__in=found).order_by("on")
    for job, phase, on, kind in days.values_list("job", "phase", "on", "kind"):
        so_far = found[job].get(phase, CrewDates())
        work, kept_free = so_far.work, so_far.kept_free
        if kind == CrewDay.Kind.WORK:
            work = (*work, on)
        else:
            kept_free = (*kept_free, on)
        found[job][phase] = CrewDates(work, kept_free)
    return found


def day_facts(days: Iterable[CrewDay], facts: dict[int, JobFacts], today: date) -> list[DayFact]:
    """``days`` with job, crew and people prefetched; ``facts`` of their jobs as the gates load them."""
    found = []
    for day in days:
        phase = BY_KEY[day.phase]
        known = facts.get(day.job_id, JobFacts())
        state = gate(phase.gate, known, day.on, today=today) if phase.gate else None
        found.append(
            DayFact(
                pk=day.pk,
                job=day.job.number,
                phase=day.phase,
                phase_title=phase.title,
                on=day.on,
                weather=day.kind == CrewDay.Kind.WEATHER,
                people=tuple(p.pk for p in day.people.all()),
                skills=phase.skills,
                started=day.phase in known.started,
                gate_open=state is None or state.open,
                gate_expected=state.expected if state else None,
                gate_waits_outside=state.waits_outside if state else False,
                crew=day.crew.name,
                gate_unfit=state.unfit if state else (),
            )
        )
    return found
