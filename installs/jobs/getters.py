"""Access-checked getters: strangers get a 404, so that job numbers are not told to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import Http404

from installs.jobs.models import Deviation, Job, Member, PhaseState
from installs.jobs.phases import BY_KEY, ENERGIZING
from installs.jobs.reading import known, moment, read_once
from sitecalc.wording import clock_words, day_words


def job_for(user: Any, number: str) -> Job:
    """By its number, or by one that it had before: phones and papers go by that for years."""
    job = _under(number, Job.objects.visible_to(user).select_related("engineer"))
    if job is None:
        raise Http404("No such job.")
    return job


def _under(number: str, seen: QuerySet[Job]) -> Job | None:
    return seen.filter(number=number).first() or seen.filter(numbers__number=number).first()


class JobArchived(ValidationError):
    """Nothing of an archived job is changed. Where no form says it, the middleware does."""


def locked(job: Job, *, archived_too: bool = False) -> Job:
    """The job's row, locked until the transaction ends. First line of every service that changes a job.

    SQLite begins IMMEDIATE transactions, which lock the database the same way. JobArchived for an archived
    job, unless the service is one of the few that it still has (``archived_too``).
    """
    found = Job.objects.select_for_update().get(pk=job.pk)
    if found.archived_on and not archived_too:
        raise JobArchived(
            f"{archived_words(found)} Nothing was saved. The office can take it back from there."
        )
    return found


def archived_words(job: Job) -> str:
    """ "Job 2031-014 was archived Nov 3, 2026: read only." """
    on = job.archived_on
    return f"Job {job.number} was archived {day_words(on, year=True)}: read only." if on else ""


def closed_to(job: Job, happened_at: datetime) -> str:
    """Why what happened then is not recorded any more; "" where it is. A fact from before is always taken."""
    on = job.archived_on
    if on is None or job.local(happened_at).date() <= on:
        return ""
    when = day_words(on, year=True)
    return f"Job {job.number} was archived {when}, and this is of a later day. Call the office."


@dataclass(frozen=True)
class Standing:
    """How a person stands to a job in whose record they write: ``noted`` is put beside the entry,
    ``closed`` says why it is not taken."""

    job: Job
    noted: str = ""
    closed: str = ""


def job_to_record_in(user: Any, number: str, happened_at: datetime, at: datetime) -> Standing:
    """The job as one of its people, or one who was when it happened: a fact is recorded though it comes late.

    404 for a stranger.
    """
    job = _under(number, Job.objects.visible_to(user))
    if job is not None:
        archived = job.archived_on
        late = archived is not None and job.local(at).date() > archived
        noted = (
            f"received after the job was archived {day_words(archived, year=True)}"
            if archived and late
            else ""
        )
        return Standing(job, noted, closed_to(job, happened_at))
    ended = (
        Member.objects.filter(job__numbers__number=number, person=user)
        .exclude(until=None)
        .select_related("job")
        .first()
    )
    if ended is None or ended.until is None:
        raise Http404("No such job.")
    until = ended.job.local(ended.until)
    on = f"{day_words(until, year=True)}, {clock_words(until)}"
    if happened_at > ended.until:
        who = f"{user.full_name} has not worked on job {number} since {on}"
        return Standing(ended.job, closed=f"{who}, and this is from after that. Call the office.")
    noted = f"received after {user.full_name}'s work on the job ended, {on}"
    return Standing(ended.job, noted, closed_to(ended.job, happened_at))


@read_once
def phases_begun(jobs: Sequence[Job]) -> dict[int, list[PhaseState]]:
    """Phases and steps on record, by the job's key, with who began and ended them."""
    found: dict[int, list[PhaseState]] = {job.pk: [] for job in jobs}
    rows = PhaseState.objects.filter(job__in=list(found)).select_related("started_by", "finished_by")
    at = moment()
    for state in known(rows, "started_at"):
        if at is not None and state.finished_at is not None and state.finished_at > at:
            state.finished_at = state.finished_by = None
        found[state.job_id].append(state)
    return found


@read_once
def open_deviations(jobs: Sequence[Job]) -> dict[int, list[Deviation]]:
    """What waits for an answer, by the job's key, with the ``decision`` of its newest answer."""
    found: dict[int, list[Deviation]] = {job.pk: [] for job in jobs}
    rows = known(Deviation.objects.filter(job__in=list(found)).open(), "opened_at").order_by("number")
    for deviation in rows.select_related("entry__item__list"):  # under which phase it stands
        found[deviation.job_id].append(deviation)
    return found


def stands_under(deviation: Deviation) -> str:
    """The phase under which a deviation stands: of the list of its entry, else the one that it is about."""
    if deviation.entry and deviation.entry.item:
        phase: str = deviation.entry.item.list.phase
        return phase
    if deviation.gate in BY_KEY:
        return deviation.gate
    return "commissioning" if deviation.gate in ENERGIZING else "cure"


def letters_in_force(job: Job, before: datetime | None = None) -> dict[str, Any]:
    """The newest released revision of each part."""
    revisions = job.revisions.select_related("released_by")
    if before is not None:
        revisions = revisions.filter(released_at__lte=before)
    return {revision.part: revision for revision in revisions}
