"""Recording the application: its figures, its states, and the permits that the gates read."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.files.services import store_paper
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.own_row import save_own
from installs.jobs.sealing import digest
from installs.jobs.services import write_event
from installs.measures import short_words
from installs.people.models import User
from installs.permits.models import Permit
from installs.permits.services import record_permit
from installs.typed import RowForm
from installs.utility.facts import applied, told_of
from installs.utility.models import ApplicationLine, UtilityApplication
from installs.utility.standing import APPLICATION, ASKS, GRANTS, utility_of
from sitecalc.utility.progress import State, impossible
from sitecalc.wording import day_words

VERB = "utility application"
# of a permit, what a line writes into it
WRITTEN = ("asked_on", "granted_on", "number", "file_id")


@transaction.atomic
def save_application(
    form: RowForm[UtilityApplication], job: Job, letter: Any = None, *, by: User, at: datetime
) -> UtilityApplication:
    """From its valid form, with the agent's ``letter`` where one came with it."""
    if letter:
        form.instance.agent_letter = store_paper(letter, by=by, at=at)
    return save_own(form, job, VERB, called="Application", noun="application", by=by, at=at)


@transaction.atomic
def record_line(
    job: Job, line: ApplicationLine, paper: Any = None, *, by: User, at: datetime
) -> ApplicationLine:
    """One state, with the permit that it asks for or grants. ValidationError at its field where it cannot be.

    What is sent is kept as it was sent, with its hash.
    """
    job = locked(job)
    today = job.local(at).date()
    if line.on > today:
        raise ValidationError({"on": "That day has not come: what is recorded has happened."})
    if fault := impossible(State(line.state), line.on, utility_of(job, at).happened):
        raise ValidationError({"on": fault})
    if paper:
        try:
            line.file = store_paper(paper, by=by, at=at)
        except ValidationError as error:
            raise ValidationError({"paper": error.messages}) from error
    if line.state in GRANTS and not (line.number.strip() or line.file):
        raise ValidationError({"number": "By what paper? Its number, or the paper itself below."})
    line.job, line.recorded_by, line.recorded_at = job, by, at
    if line.state == State.SENT:
        line.told = told_of(applied(job))
        line.told_sha256 = digest(line.told)
    _write_permit(job, line, by=by, at=at)
    line.save(force_insert=True)
    words = f"{APPLICATION}, {line.state} {day_words(line.on, year=True)}: {line.by_whom}."
    data = {"line": line.pk, "state": line.state, "on": line.on, "told": line.told_sha256}
    write_event(job, VERB, words, by=by, at=at, data=data)
    return line


def _write_permit(job: Job, line: ApplicationLine, *, by: User, at: datetime) -> None:
    """The permit that the gates read: the one that was asked for, else a new one."""
    state = State(line.state)
    kind = GRANTS.get(state) or ASKS.get(state)
    if kind is None:
        return
    rows = job.permits.select_for_update().filter(
        kind=kind, withdrawn_on=None, granted_on=None, refused_on=None
    )
    permit = rows.order_by("pk").last()
    if state in ASKS and permit is not None and permit.asked_on:
        return  # sent again: it was asked for on the day it was sent first
    new = permit is None
    permit = permit or Permit(kind=kind, asked_of=job.utility or line.by_whom)
    line.permit_before = None if new else {name: _plain(getattr(permit, name)) for name in WRITTEN}
    changed = ["granted_on"] if state in GRANTS else ["asked_on"]
    setattr(permit, changed[0], line.on)
    if state in GRANTS:
        if line.number:
            permit.number, changed = line.number, [*changed, "number"]
        permit.file = line.file or permit.file
    line.permit = record_permit(job, permit, changed, by=by, at=at)


def _plain(value: Any) -> Any:
    return value.isoformat() if hasattr(value, "isoformat") else value


def locked_line(job: Job, pk: int) -> ApplicationLine:
    locked(job)
    return ApplicationLine.objects.select_for_update().get(job=job, pk=pk)


@transaction.atomic
def strike_line(line: ApplicationLine, reason: str, *, by: User, at: datetime) -> ApplicationLine:
    """It was not so. It stays on record with the reason; the permit that it wrote says again what it said.

    A permit that somebody changed by hand since then is theirs and stays.
    """
    job = locked(line.job)
    said = short_words(reason, 300, "reason")
    if not said:
        raise ValidationError({"reason": "Say why it is struck."})
    kept = ApplicationLine.objects.select_for_update().get(pk=line.pk)
    if kept.struck_at:
        raise ValidationError({"reason": "It is struck already."})
    kept.struck_at, kept.struck_by, kept.struck_because = at, by, said
    kept.save(update_fields=["struck_at", "struck_by", "struck_because"])
    words = f"Struck: {kept.state} {day_words(kept.on, year=True)}: {said}."
    write_event(job, VERB, words, by=by, at=at, data={"line": kept.pk, "struck": True})
    _take_back(job, kept, by=by, at=at)
    return kept


def _take_back(job: Job, line: ApplicationLine, *, by: User, at: datetime) -> None:
    permit = line.permit
    if permit is None:
        return
    mine = "granted_on" if State(line.state) in GRANTS else "asked_on"
    if getattr(permit, mine) != line.on or permit.withdrawn_on:
        return
    if line.permit_before is None:
        permit.withdrawn_on = job.local(at).date()
        record_permit(job, permit, ["withdrawn_on"], by=by, at=at)
        return
    for name in (mine, "number", "file_id"):
        value = line.permit_before[name]
        setattr(permit, name, date.fromisoformat(value) if name == mine and value else value)
    record_permit(job, permit, [mine, "number"], by=by, at=at)
