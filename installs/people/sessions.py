"""Sessions that know their person, browser and phone, and how they end."""

from __future__ import annotations

import uuid as uuids
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.backends.db import SessionStore as DatabaseSession
from django.db import DatabaseError
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from installs.people.models import Role, SignedIn, User

# An office's and an engineer's session reaches every job and releases designs: it ends when nobody is at it,
# on a phone too, where what waits to be sent stays until they sign in again. Those of the field last as long
# as their cookie (30 days): a foreman out of signal holds entries that nobody else has, and must not need a
# password, which he may not know by heart, to hand them in.
DESK = (Role.OFFICE, Role.ENGINEER)
IDLE = timedelta(hours=12)
# how exactly it is known when a session was last seen: each write of it costs the database one
SEEN_EVERY = timedelta(minutes=5)
OF_COLUMNS = ("handle", "began_at", "seen_at", "address", "browser", "device", "ended_at")


class SessionStore(DatabaseSession):
    """Django's engine on our own table. ``row`` is what was read of it with the session."""

    row: SignedIn | None = None

    @classmethod
    def get_model_class(cls) -> type[SignedIn]:
        return SignedIn

    def load(self) -> dict[str, Any]:
        standing = SignedIn.objects.filter(session_key=self.session_key, expire_date__gt=timezone.now())
        self.row = standing.first()
        if self.row is None:
            self._session_key = None
            return {}
        return self.decode(self.row.session_data)

    def create_model_instance(self, data: dict[str, Any]) -> SignedIn:
        row: SignedIn = super().create_model_instance(data)  # type: ignore[assignment]  # of get_model_class
        person = data.get(SESSION_KEY)
        row.person_id = int(person) if person else None
        return row

    def cycle_key(self) -> None:
        """The same sign-in under another key (a changed password) stays on its phone."""
        before = SignedIn.objects.filter(session_key=self.session_key).first() if self.session_key else None
        super().cycle_key()
        if before and before.person_id:
            kept = {name: getattr(before, name) for name in OF_COLUMNS}
            SignedIn.objects.filter(session_key=self.session_key).update(**kept)


def row_of(session: SessionBase) -> SignedIn | None:
    """The session's row as it was read with it; None for one that is not in the database."""
    if not isinstance(session, SessionStore):
        return None
    if session.row is None and session.session_key:
        session.row = SignedIn.objects.filter(session_key=session.session_key).first()
    return session.row


def is_idle(row: SignedIn, person: User, at: datetime) -> bool:
    return person.role in DESK and at - row.seen_at > IDLE


def note_seen(request: HttpRequest, row: SignedIn, at: datetime) -> None:
    """When and from where the session was last seen, to a few minutes. A page is shown without it too."""
    new = row.address is None and not row.browser
    if not new and at - row.seen_at < SEEN_EVERY:
        return
    seen = {
        "seen_at": at,
        "address": request.META.get("REMOTE_ADDR") or None,
        "browser": request.META.get("HTTP_USER_AGENT", "")[:300].replace("\x00", ""),
    }
    try:
        SignedIn.objects.filter(pk=row.pk).update(**seen)
    except DatabaseError:
        return  # a full disk or a busy database: the page itself may need neither
    for name, value in seen.items():
        setattr(row, name, value)


def bound_to(session: SessionBase, device: uuids.UUID) -> uuids.UUID:
    """The phone that this session belongs to: the first one heard in it, from now on this one."""
    row = row_of(session)
    if row is None:
        return device
    if row.device is None:
        SignedIn.objects.filter(pk=row.pk, device=None).update(device=device)
        row.refresh_from_db(fields=["device"])  # of two at once the first stays
    return row.device or device


def sessions_of(person: User, at: datetime) -> QuerySet[SignedIn]:
    """Those by which somebody may still go on, the newest first."""
    standing = person.sessions.filter(expire_date__gt=at, ended_at=None)
    if person.role in DESK:
        standing = standing.filter(seen_at__gte=at - IDLE)
    return standing.order_by("-seen_at", "handle")


def end_sessions(person: User, *, but: str | None = None) -> int:
    """Ends every session of a person, but the one of this key; how many there were.

    One that was ended with its phone stays: the phone is told so, and clears the pages it holds.
    """
    theirs = SignedIn.objects.filter(person=person, ended_at=None)
    if but:
        theirs = theirs.exclude(session_key=but)
    return theirs.delete()[0]


def end_with_phone(device: uuids.UUID, at: datetime) -> int:
    """Every session of this phone takes nothing any more. It stays to be told so; how many there were."""
    return SignedIn.objects.filter(device=device, ended_at=None).update(ended_at=at)


# what a browser says of itself, and the words for it: the first that stands in it
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung browser"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
MACHINES = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("CrOS", "Chromebook"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)


def browser_words(said: str) -> str:
    """ "Chrome on Android", as far as a browser tells."""
    browser = next((words for mark, words in BROWSERS if mark in said), "")
    machine = next((words for mark, words in MACHINES if mark in said), "")
    return " on ".join(each for each in (browser or "A browser", machine) if each)
