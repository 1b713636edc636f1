"""Changes to a job. Each locks the job's row, takes ``by`` and ``at``, and writes one Event."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.files.models import StoredFile
from installs.jobs.deviations import OTHER, DeviationKind
from installs.jobs.getters import locked
from installs.jobs.models import (
    Acceptance,
    DesignRevision,
    Deviation,
    DeviationAnswer,
    DraftAcceptance,
    Event,
    Job,
    JobNumber,
    Member,
)
from installs.jobs.sealed import decided
from installs.jobs.sealing import START_OF_CHAIN, canonical, digest, event_hash, release_hash
from installs.jobs.standing import footing
from installs.measures import short_words
from installs.people.firm_log import write_firm_event
from installs.people.models import Role, User
from sitecalc.checks import Check, nothing_checked
from sitecalc.wording import day_words

LONGEST_REASON = 2000


def write_event(
    job: Job, verb: str, what: str, *, by: User, at: datetime, data: Mapping[str, Any] | None = None
) -> Event:
    """Append one line to the job's log. Call inside the transaction that holds the job's lock."""
    last = job.events.order_by("-sequence").first()
    event = Event(
        job=job,
        sequence=last.sequence + 1 if last else 1,
        verb=verb,
        what=what[:500],
        data=json.loads(canonical(dict(data or {}))),
        by=by,
        at=at,
        previous_hash=last.hash if last else START_OF_CHAIN,
    )
    event.hash = event_hash(event)
    event.save(force_insert=True)
    return event


@transaction.atomic
def open_job(fields: Mapping[str, Any], *, by: User, at: datetime) -> Job:
    _refuse_another_jobs(fields["number"], None)
    job = Job.objects.create(**fields, created_at=at)
    _give_number(job, job.number, at)
    write_event(job, "job opened", f"Job {job.number} opened for {job.owner}.", by=by, at=at)
    if job.engineer:
        _member(job, job.engineer, by=by, at=at)
    return job


@transaction.atomic
def change_job(job: Job, fields: Mapping[str, Any], *, by: User, at: datetime) -> Job:
    job = locked(job)
    before = {name: str(getattr(job, name)) for name in fields}
    if fields.get("number", job.number) != job.number:
        _give_number(job, job.number, at)  # one that was never written down
        _give_number(job, fields["number"], at)
    for name, value in fields.items():
        setattr(job, name, value)
    job.save(update_fields=list(fields))
    changed = [n for n in fields if before[n] != str(getattr(job, n))]
    write_event(
        job,
        "job changed",
        f"Changed: {', '.join(changed) or 'nothing'}.",
        by=by,
        at=at,
        data={n: [before[n], str(getattr(job, n))] for n in changed},
    )
    if job.engineer:
        _member(job, job.engineer, by=by, at=at)
    return job


def _give_number(job: Job, number: str, at: datetime) -> None:
    kept, _ = JobNumber.objects.get_or_create(number=number, defaults={"job": job, "since": at})
    _refuse_another_jobs(kept.number, job)


def _refuse_another_jobs(number: str, job: Job | None) -> None:
    """ValidationError at ``number`` where another job has it or had it."""
    if words := taken_by(number, job):
        raise ValidationError({"number": words})


def taken_by(number: str, job: Job | None) -> str:
    """Whose number it is or was, in words; "" for a number that is free, or the job's own."""
    kept = JobNumber.objects.filter(number=number).exclude(job=job).select_related("job").first()
    if kept is None:
        return ""
    now = "" if kept.job.number == number else f", which is {kept.job.number} now"
    was = "is" if kept.job.number == number else "was"
    return f"{number} {was} the number of {kept.job.owner}{now}. A number is never given to another job."


@transaction.atomic
def add_member(job: Job, person: User, *, by: User, at: datetime) -> Member:
    """Somebody works on the job, or does so again."""
    return _member(locked(job), person, by=by, at=at)


def _member(job: Job, person: User, *, by: User, at: datetime) -> Member:
    """What a person sees is the firm's matter too: it stands in both logs."""
    member, made = Member.objects.get_or_create(job=job, person=person, defaults={"since": at})
    again = _begin_again(member)
    if made or again:
        data = {"person": person.pk}
        words = f"{person.full_name} works on the job{' again' if again else ''}."
        write_event(job, "member added", words, by=by, at=at, data=data)
        words = f"{person.full_name} sees job {job.number}{' again' if again else ''}."
        write_firm_event("member added", words, by=by, at=at, data={**data, "job": job.number})
    return member


def _begin_again(member: Member) -> bool:
    """The log has when it ended and began anew; the row says how it stands."""
    if member.until is None:
        return False
    member.until = None
    member.save(update_fields=["until"])
    return True


@transaction.atomic
def end_member(job: Job, person: User, *, by: User, at: datetime) -> Member:
    """Somebody works on the job no more: they see it no longer, what they recorded before is still taken.

    ValidationError for the engineer of record, and for one who does not work on it. An archived job too: its
    people may be taken off it.
    """
    job = locked(job, archived_too=True)
    if person.pk == job.engineer_id:
        raise ValidationError(f"{person.full_name} is the engineer of record: name another one first.")
    member = job.members.filter(person=person, until=None).first()
    if member is None:
        raise ValidationError(f"{person.full_name} does not work on this job.")
    member.until = at
    member.save(update_fields=["until"])
    words, data = f"{person.full_name} works on the job no more.", {"person": person.pk}
    write_event(job, "member ended", words, by=by, at=at, data=data)
    words = f"{person.full_name} no longer sees job {job.number}."
    write_firm_event("member ended", words, by=by, at=at, data={**data, "job": job.number})
    return member


@transaction.atomic
def archive_job(job: Job, *, by: User, at: datetime) -> None:
    job = locked(job)
    Job.objects.filter(pk=job.pk).update(archived_on=job.local(at).date())
    write_event(job, "job archived", "Job archived; nothing is deleted.", by=by, at=at)


@transaction.atomic
def take_job_back(job: Job, *, by: User, at: datetime) -> None:
    """From among the archived: it is worked on again."""
    job = locked(job, archived_too=True)
    if job.archived_on is None:
        raise ValidationError("This job is not archived.")
    was = day_words(job.archived_on, year=True)
    Job.objects.filter(pk=job.pk).update(archived_on=None)
    write_event(job, "job taken back", f"Job taken back; it was archived {was}.", by=by, at=at)


def in_words(part: str) -> str:
    """ "ground_station" as a sentence begins."""
    return part.replace("_", " ").capitalize()


def next_letter(letters: Iterable[str]) -> str:
    """A, B, ... H, J ... (I and O are not used on drawings), then AA, AB ..."""
    alphabet = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    count = len(set(letters))
    if count < len(alphabet):
        return alphabet[count]
    return alphabet[count // len(alphabet) - 1] + alphabet[count % len(alphabet)]


@transaction.atomic
def accept_draft_check(
    job: Job, part: str, inputs: Mapping[str, Any], check: Check, reason: str, *, by: User, at: datetime
) -> DraftAcceptance:
    """The engineer's written acceptance of one open check of the draft with exactly these inputs."""
    job = locked(job)
    if by.role != Role.ENGINEER:
        raise ValidationError("Only a named engineer can accept a check.")
    if not check.needs_answer:
        raise ValidationError(f"This check {check.verdict}; there is nothing to accept.")
    why = short_words(reason, LONGEST_REASON)
    if not why:
        raise ValidationError("Say why it is accepted.")
    return keep_acceptance(job, part, inputs, check, {"engineer": by, "reason": why}, by=by, at=at)


def keep_acceptance(
    job: Job,
    part: str,
    inputs: Mapping[str, Any],
    check: Check,
    word: Mapping[str, Any],
    *,
    by: User,
    at: datetime,
    told: Mapping[str, Any] | None = None,
    how: str = "",
) -> DraftAcceptance:
    """One check of the locked job's draft is accepted by a word; ``told`` says more of it in the log."""
    key, sha256 = check.key, digest(inputs)
    kept, made = DraftAcceptance.objects.get_or_create(
        job=job, part=part, inputs_sha256=sha256, check_key=key, defaults={**word, "accepted_at": at}
    )
    if made:
        what = f"{in_words(part)}: {check.title} ({check.verdict}){how} accepted: {kept.reason}"
        data = {"check": key, "inputs": sha256, **(told or {})}
        write_event(job, "check accepted", what, by=by, at=at, data=data)
    return kept


# what a room above this one still asks of a draft, in sentences; registered at start (installs/apps.py)
BEFORE_RELEASE: list[Callable[[Job, str, Mapping[str, Any]], list[str]]] = []


def asked_before_release(job: Job, part: str, inputs: Mapping[str, Any]) -> list[str]:
    return [words for ask in BEFORE_RELEASE for words in ask(job, part, inputs)]


@transaction.atomic
def release_design(
    job: Job,
    part: str,
    inputs: Mapping[str, Any],
    results: Any,
    checks: Iterable[Check],
    *,
    by: User,
    at: datetime,
) -> DesignRevision:
    """Freeze a part under the next letter.

    ValidationError names every check that fails or is not checked without a named engineer's acceptance
    for exactly these inputs, and refuses what the release in force says already.
    """
    from sitecalc.__main__ import plain

    job = locked(job)
    judged = list(checks)
    if asked := asked_before_release(job, part, inputs):
        raise ValidationError(asked)
    newest = job.revisions.newest(part)
    if newest is not None and digest(newest.inputs) == digest(inputs) and not footing(job).void(newest):
        raise ValidationError(f"The same as release {newest.letter}, which is in force: nothing to release.")
    given, log = job.draft_acceptances.filter(part=part, inputs_sha256=digest(inputs)), decided([job])[job.pk]
    accepted = {a.check_key: a for a in given if log.accepted_of_draft(a)}
    unanswered = [c for c in judged if c.needs_answer and c.key not in accepted]
    if unanswered:
        raise ValidationError(
            [
                f"{c.title}: {c.verdict}. An engineer's written acceptance is required before release."
                for c in unanswered
            ]
        )
    if nothing_checked(c.verdict for c in judged):
        raise ValidationError("Nothing was checked, so nothing can be released.")
    letters = job.revisions.filter(part=part).values_list("letter", flat=True)
    revision = DesignRevision(
        job=job,
        part=part,
        letter=next_letter(letters),
        inputs=json.loads(canonical(inputs)),
        results=plain(results),
        checks=plain(judged),
        released_by=by,
        released_at=at,
    )
    standing = footing(job)
    links = standing.links(revision)
    for link in links:
        below = standing.in_force.get(link.taking.part)
        if below is not None and standing.altered.get(below.pk):
            said = standing.void(below)
            raise ValidationError(f"{said[:1].upper()}{said[1:]}. Release that part again first.")
    revision.stands_on = {link.taking.part: link.on.letter if link.on else "" for link in links}
    revision.sha256 = release_hash(revision)
    revision.save(force_insert=True)
    for check in judged:
        if check.needs_answer:
            word = accepted[check.key].word
            Acceptance.objects.create(revision=revision, check_key=check.key, **word)
    write_event(
        job,
        "design released",
        f"{in_words(part)} released as {revision.letter}.",
        by=by,
        at=at,
        data={
            "part": part,
            "letter": revision.letter,
            "sha256": revision.sha256,
            "stands on": revision.stands_on,
        },
    )
    return revision


def open_deviation(
    job: Job,
    title: str,
    what: str,
    *,
    by: User,
    at: datetime,
    gate: str = "",
    entry: Any = None,
    kind: DeviationKind = OTHER,
) -> Deviation:
    """Call inside the transaction that records the fact, with the job locked."""
    number = job.deviations.count() + 1
    deviation = Deviation.objects.create(
        job=job, number=number, title=title, what=what, gate=gate, entry=entry, opened_at=at, opened_by=by,
        kind=kind.key, engineer_decides=kind.by_engineer,
    )  # fmt: skip
    write_event(
        job,
        "deviation opened",
        f"Deviation {number} opened: {title}. {what}",
        by=by,
        at=at,
        data={"gate": gate},
    )
    return deviation


@transaction.atomic
def answer_deviation(
    deviation: Deviation,
    decision: str,
    reason: str,
    *,
    by: User,
    at: datetime,
    engineer: User | None = None,
    letter: StoredFile | None = None,
) -> DeviationAnswer:
    """Where the engineer decides: answered by the engineer, or by the office with the engineer's letter."""
    job = locked(deviation.job, archived_too=True)
    named = by if by.role == Role.ENGINEER else engineer
    if deviation.engineer_decides:
        engineer_answers(named, letter, by)
    if decision not in DeviationAnswer.Decision.values:
        raise ValidationError({"decision": "Accept, repair or remove."})
    why = short_words(reason, LONGEST_REASON, "reason")
    if not why:
        raise ValidationError({"reason": "Say why."})
    answer = DeviationAnswer.objects.create(
        deviation=deviation, decision=decision, reason=why, answered_by=by, answered_at=at,
        engineer=named, letter=letter,
    )  # fmt: skip
    of = f" by {named.named}" if named else ""
    write_event(
        job,
        "deviation answered",
        f"Deviation {deviation.number} answered{of}: {decision}. {why}",
        by=by,
        at=at,
        data={"number": deviation.number, "decision": decision},
    )
    return answer


def engineer_answers(engineer: User | None, letter: StoredFile | None, by: User) -> User:
    """The engineer whose word it is. ValidationError where none is named, or the letter is missing."""
    if engineer is None:
        raise ValidationError({"engineer": "The engineer decides this one: name the engineer."})
    if engineer.role != Role.ENGINEER:
        raise ValidationError({"engineer": f"{engineer.full_name} is no engineer."})
    if engineer != by and letter is None:
        raise ValidationError({"letter": f"{engineer.full_name}'s letter is needed."})
    return engineer
