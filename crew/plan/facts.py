"""Loads crew days, people, cranes and the order of each job's days: constant number of queries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from django.db.models import Count, Max, OuterRef, Subquery, TextField, Value
from django.db.models.functions import Cast, Concat

from crew.plan.clashes import DayFact, PersonFact
from crew.plan.crane_clashes import BookingFact, CraneFact, CraneFacts
from crew.plan.models import Absence, ClosedDays, CraneBooking, CrewDay
from crew.plan.order import CureTerms, JobPlan, out_of_order
from installs.equipment.models import Crane
from installs.gates.job_facts import CrewDates, JobFacts
from installs.gates.planned import Planned
from installs.gates.rules import gate
from installs.gates.states import Standing, phase_states
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.jobs.standing import footings
from installs.people.models import Certificate, User
from installs.pour.models import PourDesign
from installs.pour.terms import UNSAID, PourTerms, terms_of

UNKNOWN_CURE = CureTerms(required_days=UNSAID["curing_days"])


def people_facts() -> dict[int, PersonFact]:
    """Who works with us, and who did: days ahead may still name them."""
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
            left=user.archived_on is not None,
        )
        for user in User.objects.all()
    }


def crane_facts() -> CraneFacts:
    """Every crane, and every booking: one that was cancelled says why its lift has none."""
    cranes = {c.pk: CraneFact(c.pk, c.name, bool(c.owner_firm)) for c in Crane.objects.all()}
    bookings = tuple(
        BookingFact(b.pk, b.crane_id, b.first_on, b.last_on, b.confirmed_at is not None, b.cancelled_why)
        for b in CraneBooking.objects.all()
    )
    return CraneFacts(cranes, bookings)


def planned_days(jobs: Iterable[Job]) -> Planned:
    """Standing crew days of each phase, by job, for the gates. One query."""
    keys = [job.pk for job in jobs]
    days = CrewDay.objects.standing().filter(job__in=keys).order_by("on")
    found: Planned = {key: {} for key in keys}
    for job, phase, on, kind in days.values_list("job", "phase", "on", "kind"):
        _put(found[job], phase, on, kind)
    return found


def of_crew_days() -> Subquery:
    """The job's crew days as they stand, in a word: made, struck, put in force, told of."""
    days = CrewDay.objects.filter(job=OuterRef("pk")).order_by().values("job")
    counted = (Max("pk"), Count("struck_at"), Count("plan"), Count("worked_at"))
    words = (Cast(what, TextField()) for what in counted)
    gap = Value(" ", output_field=TextField())
    spaced = [part for word in words for part in (word, gap)]
    return Subquery(days.annotate(n=Concat(*spaced)).values("n"))


def dates_of(keys: Iterable[int], days: Iterable[CrewDay]) -> Planned:
    """The same of standing days that were read already, in the order of their dates."""
    found: Planned = {key: {} for key in keys}
    for day in days:
        _put(found[day.job_id], day.phase, day.on, day.kind)
    return found


def _put(found: dict[str, CrewDates], phase: str, on: date, kind: str) -> None:
    so_far = found.get(phase, CrewDates())
    if kind == CrewDay.Kind.WORK:
        found[phase] = CrewDates((*so_far.work, on), so_far.kept_free)
    else:
        found[phase] = CrewDates(so_far.work, (*so_far.kept_free, on))


def with_days(facts: JobFacts, days: Iterable[CrewDay]) -> JobFacts:
    """The facts of a job as they would be with these crew days standing."""
    found: dict[str, CrewDates] = {}
    for day in sorted(days, key=lambda d: d.on):
        _put(found, day.phase, day.on, day.kind)
    planned = {phase: dates.work[-1] for phase, dates in found.items() if dates.work}
    return replace(facts, crew_days=found, planned=planned)


def cure_terms(jobs: Iterable[Job]) -> dict[int, CureTerms]:
    """What the cure of each pad is forecast from: its pour's release, else the draft, else the default."""
    asked = list(jobs)
    released = {
        key: found.in_force["pour"].inputs
        for key, found in footings(asked).items()
        if "pour" in found.in_force
    }
    drafts = PourDesign.objects.filter(job__in=[job.pk for job in asked if job.pk not in released])
    values = {**released, **dict(drafts.values_list("job", "value"))}
    return {job.pk: _cure(terms_of(values[job.pk])) if job.pk in values else UNKNOWN_CURE for job in asked}


def _cure(terms: PourTerms) -> CureTerms:
    figures = terms.figures
    return CureTerms(
        required_days=terms.curing_days,
        normals_f=figures.normals[0].means if figures.normals else None,
        held_f=figures.held_f,
        protection_days=figures.protection_days,
    )


def job_plan(facts: JobFacts, today: date, cure: CureTerms = UNKNOWN_CURE) -> JobPlan:
    """The order of a job's days, from what the gates know of it."""
    done = {key for key, state in phase_states(facts).items() if state == Standing.DONE}
    return JobPlan(
        today=today,
        work={phase: dates.work for phase, dates in facts.crew_days.items()},
        begun=facts.started,
        done=frozenset(done),
        poured_on=facts.cure.poured_on if facts.cure and facts.cure.poured else None,
        cured=facts.cure is not None and facts.cure.ready,
        cured_expected=facts.cure.expected if facts.cure else None,
        cure=cure,
    )


def closed_days(jobs: Iterable[Job]) -> dict[int, list[ClosedDays]]:
    found: dict[int, list[ClosedDays]] = {job.pk: [] for job in jobs}
    for row in ClosedDays.objects.filter(job__in=list(found), withdrawn_at=None):
        found[row.job_id].append(row)
    return found


def day_facts(
    days: Iterable[CrewDay],
    facts: Mapping[int, JobFacts],
    today: date,
    cure: Mapping[int, CureTerms] | None = None,
    closed: Mapping[int, list[ClosedDays]] | None = None,
) -> list[DayFact]:
    """``days`` with job, crew and people prefetched; ``facts`` of their jobs as the gates load them."""
    found = []
    plans: dict[int, JobPlan] = {}
    for day in days:
        phase = BY_KEY[day.phase]
        known = facts.get(day.job_id, JobFacts())
        if day.job_id not in plans:
            plans[day.job_id] = job_plan(known, today, (cure or {}).get(day.job_id, UNKNOWN_CURE))
        state = gate(phase.gate, known, day.on, today=today) if phase.gate else None
        started = day.phase in known.started
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
                started=started,
                gate_open=state is None or state.open,
                gate_expected=state.expected if state else None,
                gate_waits_outside=state.waits_outside if state else False,
                crew=day.crew.name,
                gate_unfit=state.unfit if state else (),
                gate_says=state.sentence if state and not started else "",
                order=out_of_order(plans[day.job_id], day.phase, day.on),
                closed=_closed((closed or {}).get(day.job_id, ()), day.on),
                crane=day.crane_id,
            )
        )
    return found


def _closed(rows: Iterable[ClosedDays], on: date) -> str:
    return next((row.why for row in rows if row.first_on <= on <= row.last_on), "")
