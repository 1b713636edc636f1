"""Recording inspections and meter readings: rows are added, never changed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.files.services import store_paper
from installs.inspection.models import Correction, Inspection, InspectionKind, MeterReading
from installs.jobs.deviations import NO_FOOTING
from installs.jobs.getters import locked
from installs.jobs.models import DeviationAnswer, Job
from installs.jobs.phases import ON_THE_CARD
from installs.jobs.services import answer_deviation, open_deviation, write_event
from installs.measures import short_words
from installs.people.models import Role, User
from sitecalc.wording import day_words


@transaction.atomic
def record_inspection(
    job: Job,
    visit: Inspection,
    paper: Any = None,
    *,
    by: User,
    at: datetime,
    corrections: Iterable[str] = (),
) -> Inspection:
    """A visit with its card, and what is to be put right.

    The concrete's acceptance is an engineer's: ValidationError at what it lacks.
    """
    if visit.kind == InspectionKind.CONCRETE and visit.passed:
        _written_by_an_engineer(visit, paper, by)
    visit.file = store_paper(paper, by=by, at=at) if paper else None
    job = locked(job)
    visit.job, visit.recorded_by, visit.recorded_at = job, by, at
    visit.save(force_insert=True)
    wanted = Correction.objects.bulk_create(Correction(inspection=visit, words=w) for w in corrections)
    answer = "passed" if visit.passed else "did not pass"
    write_event(
        job,
        "inspection recorded",
        " ".join(
            [f"{visit.get_kind_display().capitalize()} {answer}: {visit.inspector}.", *map(_numbered, wanted)]
        ),
        by=by,
        at=at,
        data={"kind": visit.kind, "passed": visit.passed, "on": visit.inspected_on},
    )
    if visit.kind == InspectionKind.FOOTING:
        _answer_the_card(visit, by=by, at=at)
    return visit


def _numbered(correction: Correction) -> str:
    return f"To be corrected: {correction.words}."


def locked_correction(correction: Correction) -> Correction:
    """Its row until the transaction ends, behind its job's."""
    locked(correction.inspection.job)
    return Correction.objects.select_for_update().get(pk=correction.pk)


@transaction.atomic
def answer_correction(correction: Correction, answer: str, *, by: User, at: datetime) -> Correction:
    """What was done about it, once. ValidationError for nothing said, and for one that is answered."""
    job = locked(correction.inspection.job)
    kept = Correction.objects.get(pk=correction.pk)
    said = short_words(answer, 300, "answer")
    if not said:
        raise ValidationError({"answer": "Say what was done."})
    if kept.answered_at:
        raise ValidationError({"answer": f"It was answered: {kept.answer}."})
    kept.answer, kept.answered_at, kept.answered_by = said, at, by
    kept.save(update_fields=["answer", "answered_at", "answered_by"])
    write_event(
        job, "correction answered", f"{kept.words}: {said}.", by=by, at=at, data={"correction": kept.pk}
    )
    return kept


def _answer_the_card(visit: Inspection, *, by: User, at: datetime) -> None:
    """What was poured on the inspector's signed card was in order, or it was not and the engineer decides."""
    job = visit.job
    standing = job.deviations.filter(title=ON_THE_CARD, answers=None).select_related("entry").first()
    if standing is None or standing.entry is None:
        return
    poured_on = job.local(standing.entry.happened_at).date()
    on = day_words(visit.inspected_on, year=True)
    if visit.passed and visit.inspected_on <= poured_on:
        reason = f"Footing inspection of {on} recorded: {visit.inspector}, passed."
        answer_deviation(standing, DeviationAnswer.Decision.ACCEPT, reason, by=by, at=at)
        return
    what = f"was on {on}, after the pour" if visit.passed else "did not pass"
    open_deviation(
        job,
        NO_FOOTING.title,
        f"The pour was begun on a signed card (deviation {standing.number}); "
        f"the inspection recorded now {what}.",
        by=by,
        at=at,
        gate="pour",
        entry=standing.entry,
        kind=NO_FOOTING,
    )


def _written_by_an_engineer(visit: Inspection, paper: Any, by: User) -> None:
    """Signed in as the engineer, or named by the office with the signed letter."""
    if visit.engineer is None and by.role == Role.ENGINEER:
        visit.engineer = by
    if visit.engineer is None:
        raise ValidationError({"engineer": "Name the engineer who accepts the concrete."})
    if visit.engineer.role != Role.ENGINEER:
        raise ValidationError({"engineer": "Only an engineer accepts the concrete."})
    if by != visit.engineer and not paper:
        name = visit.engineer.full_name
        raise ValidationError({"card": f"{name}'s signed letter is needed, or {name} signs in."})


@transaction.atomic
def record_reading(job: Job, reading: MeterReading, *, by: User, at: datetime) -> MeterReading:
    job = locked(job)
    reading.job, reading.recorded_by, reading.recorded_at = job, by, at
    reading.save(force_insert=True)
    write_event(
        job,
        "meters read",
        f"Meters read on {reading.read_on}: production {reading.production_kwh:,.0f} kWh.",
        by=by,
        at=at,
    )
    return reading
