"""A phone whose access has ended: nothing is taken from it any more, what it holds stays on it."""

from __future__ import annotations

import logging
import uuid as uuids
from datetime import datetime

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.models import Device
from installs.people.firm_log import write_firm_event
from installs.people.models import User

log = logging.getLogger(__name__)


@transaction.atomic
def end_access(device: Device, why: str, *, by: User, at: datetime, sign_out: bool = False) -> Device:
    """End a phone's access once and for all; ``sign_out`` ends every session of its person as well."""
    held = Device.objects.select_for_update(of=("self",)).select_related("person").get(pk=device.pk)
    if held.ended_at:
        raise ValidationError("The access of this phone has ended already.")
    held.ended_at, held.ended_by, held.ended_why = at, by, why
    held.save(update_fields=["ended_at", "ended_by", "ended_why"])
    signed_out = sign_out_everywhere(held.person) if sign_out else 0
    write_firm_event(
        "phone ended",
        f"Access of {held.person.full_name}'s phone ended: {why}. Sessions signed out: {signed_out}.",
        by=by,
        at=at,
        data={"person": held.person_id, "phone": str(held.uuid), "sessions": signed_out},
    )
    log.warning(
        "access of phone %s of %s ended by %s (%s), %d sessions ended",
        held.uuid, held.person.username, by.username, why, signed_out,
    )  # fmt: skip
    return held


def sign_out_everywhere(person: User) -> int:
    """Delete every session of a person; how many there were. A session names its person only inside."""
    theirs = [s.pk for s in Session.objects.iterator() if s.get_decoded().get(SESSION_KEY) == str(person.pk)]
    Session.objects.filter(pk__in=theirs).delete()
    return len(theirs)


def access_ended(device: uuids.UUID) -> bool:
    """Whether this is the id of a phone whose access has ended."""
    return Device.objects.filter(uuid=device).exclude(ended_at=None).exists()
