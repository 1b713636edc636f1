"""Recording a paper sheet: every line or none, and the same sheet never twice."""

from __future__ import annotations

import uuid as uuids
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.models import JobList
from installs.checklists.services import Conflict, Taken
from installs.checklists.sheet import LineForm, Sheet
from installs.gates.services import take_entry
from installs.jobs.getters import locked
from installs.people.models import User

PAPER = uuids.uuid5(uuids.NAMESPACE_OID, "a line of a paper twin")


def key_in(sheet: Sheet, kept: JobList, *, by: User, at: datetime) -> list[Taken]:
    """Take every filled line of a valid sheet in the order of its times; [] with the faults at their lines.

    An entry is by who keys it in; its words name who wrote the line, if somebody else did.
    """
    taken = []
    with transaction.atomic():
        locked(sheet.job)
        for line, who in sorted(sheet.written(), key=lambda pair: pair[0].cleaned_data["clock"]):
            try:
                taken.append(_take(sheet, kept, line, who, by, at))
            except Conflict:
                line.add_error(
                    "clock", "On record already for this time, with other content. Look at the list."
                )
            except ValidationError as error:
                line.add_error(None, error.messages)
        if sheet.faulty:
            transaction.set_rollback(True)
            return []
    return taken


def _take(sheet: Sheet, kept: JobList, line: LineForm, who: User, by: User, at: datetime) -> Taken:
    fields = line.entry()
    taken_at = sheet.at(line.cleaned_data["clock"])
    if who != by:
        fields["text"] = f"{fields['text']} Written by {who.full_name}.".strip()
    name = "|".join(
        [sheet.job.number, kept.key, fields["code"], fields["subject"], f"{taken_at:%Y-%m-%d %H:%M}"]
    )
    uuid = uuids.uuid5(PAPER, name)
    return take_entry(sheet.job, by=by, received_at=at, taken_at=taken_at, uuid=uuid, **fields)
