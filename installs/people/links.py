"""One-time links by which people set their own password: the office never learns it."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.people.firm_log import write_firm_event
from installs.people.known import forget_browsers
from installs.people.models import SignInLink, User
from installs.people.sessions import end_sessions

LASTS = timedelta(days=3)
GONE = (
    "This link was used already, is older than three days, or a newer one was made. "
    "Ask the office for another."
)


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def make_link(person: User, *, by: User, at: datetime) -> str:
    """The token of a new link; only its hash is kept, and links made before are ended by it."""
    held = User.objects.select_for_update().get(pk=person.pk)
    if held.archived_on:
        raise ValidationError(f"{held.full_name} is archived and does not sign in.")
    SignInLink.objects.filter(person=held, used_at=None, ended_at=None).update(ended_at=at)
    token = secrets.token_urlsafe(32)
    SignInLink.objects.create(person=held, sha256=_hash(token), made_at=at, made_by=by, expires_at=at + LASTS)
    what = f"Sign-in link for {held.full_name} made."
    write_firm_event("sign-in link made", what, by=by, at=at, data={"person": held.pk})
    return token


def link_for(token: str, at: datetime) -> SignInLink | None:
    """The link of this token, while it opens something."""
    link = SignInLink.objects.select_related("person").filter(sha256=_hash(token)).first()
    return link if link and link.open_at(at) and not link.person.archived_on else None


@transaction.atomic
def set_by_link(token: str, password: str, at: datetime) -> User:
    """The person's own password from now on, and no session or browser from before it."""
    used = SignInLink.objects.filter(
        sha256=_hash(token), used_at=None, ended_at=None, expires_at__gt=at, person__archived_on=None
    ).update(used_at=at)
    if used != 1:
        raise ValidationError(GONE)
    person = User.objects.select_for_update().get(links__sha256=_hash(token))
    person.set_password(password)
    person.is_active, person.must_change_password = True, False
    person.save(update_fields=["password", "is_active", "must_change_password"])
    forget_browsers(person, at)
    ended = end_sessions(person)
    what = f"{person.full_name}'s password was set by the sign-in link. Sessions ended: {ended}."
    write_firm_event("password set", what, by=person, at=at, data={"person": person.pk, "sessions": ended})
    return person
