"""A phone whose access has ended: nothing is taken from it any more, what it holds stays on it."""

from __future__ import annotations

import logging
import uuid as uuids
from datetime import datetime

from django.contrib.sessions.backends.base import SessionBase
from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.models import Device
from installs.people.firm_log import write_firm_event
from installs.people.known import forget_browsers
from installs.people.middleware import ENDED
from installs.people.models import User
from installs.people.services import sign_out_everywhere
from installs.people.sessions import bound_to, end_with_phone

log = logging.getLogger(__name__)

ANOTHER = "This sign-in belongs to another phone. Sign out here, then sign in again."


@transaction.atomic
def end_access(device: Device, why: str, *, by: User, at: datetime, sign_out: bool = False) -> Device:
    """End a phone's access once and for all, and the sessions on it; ``sign_out`` ends all others as well."""
    held = Device.objects.select_for_update(of=("self",)).select_related("person").get(pk=device.pk)
    if held.ended_at:
        raise ValidationError("The access of this phone has ended already.")
    held.ended_at, held.ended_by, held.ended_why = at, by, why
    held.save(update_fields=["ended_at", "ended_by", "ended_why"])
    ended = end_with_phone(held.uuid, at)
    if sign_out:
        ended += sign_out_everywhere(held.person, by=by, at=at)
    forget_browsers(held.person, at)  # the phone's own browser is one that knows them
    write_firm_event(
        "phone ended",
        f"Access of {held.person.full_name}'s phone ended: {why}. Sessions ended: {ended}.",
        by=by,
        at=at,
        data={"person": held.person_id, "phone": str(held.uuid), "sessions": ended},
    )
    log.warning(
        "access of phone %s of %s ended by %s (%s), %d sessions ended",
        held.uuid, held.person.username, by.username, why, ended,
    )  # fmt: skip
    return held


def refusal(session: SessionBase, device: uuids.UUID, at: datetime) -> str:
    """Why nothing is taken from this phone in this session; empty where it may send.

    A session belongs to the phone that first speaks in it. One in which an ended phone speaks is ended too.
    """
    if bound_to(session, device) != device:
        return ANOTHER
    if Device.objects.filter(uuid=device).exclude(ended_at=None).exists():
        end_with_phone(device, at)
        return ENDED
    return ""
