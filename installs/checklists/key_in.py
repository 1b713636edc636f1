"""Recording a paper sheet: every line or none, and the same sheet never twice."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.services import Conflict, Taken
from installs.checklists.taking import take_entry
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.people.models import User

PAPER = uuids.uuid5(uuids.NAMESPACE_OID, "a line of a paper copy")


@dataclass(frozen=True)
class Written:
    """One entry as the paper has it: when, by whom, what; a fault of it is said at its form's time."""

    form: forms.Form
    taken_at: datetime
    who: User
    fields: dict[str, Any]


def key_in(job: Job, sheet: str, lines: Iterable[Written], *, by: User, at: datetime) -> list[Taken]:
    """Take every line of a valid sheet in the order of their times; [] with the faults at their forms.

    An entry is by who keys it in; its words name who wrote the line, if somebody else did.
    """
    taken, faulty = [], False
    with transaction.atomic():
        locked(job, archived_too=True)  # each line is taken or refused by its own day
        for line in sorted(lines, key=lambda line: line.taken_at):
            try:
                taken.append(_take(job, sheet, line, by, at))
            except Conflict:
                faulty = True
                line.form.add_error(
                    "clock", "On record already for this time, with other content. Look at the list."
                )
            except ValidationError as error:
                faulty = True
                line.form.add_error(None, error.messages)
        if faulty:
            transaction.set_rollback(True)
            return []
    return taken


def _take(job: Job, sheet: str, line: Written, by: User, at: datetime) -> Taken:
    fields = {"text": "", **line.fields}
    if line.who != by:
        fields["text"] = f"{fields['text']} Written by {line.who.full_name}.".strip()
    name = "|".join([job.number, sheet, fields["code"], fields["subject"], f"{line.taken_at:%Y-%m-%d %H:%M}"])
    uuid = uuids.uuid5(PAPER, name)
    return take_entry(job, by=by, received_at=at, taken_at=line.taken_at, uuid=uuid, **fields)
