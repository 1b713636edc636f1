"""Browsers that a person signed in on before, by a signed cookie: no others' wrong tries keep them out."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse

from installs.people.models import User

SALT = "browser that a person is known on"
KEPT = timedelta(days=400)  # the longest that browsers keep a cookie
MOST_PEOPLE = 20


@dataclass
class Browser:
    """``people``: when each signed in here last, as seconds of the epoch, by the person's key."""

    id: str = ""
    people: dict[str, float] = field(default_factory=dict)

    def knows(self, person: User | None) -> bool:
        """Unless they were signed out everywhere since, or their password or authenticator changed."""
        since = self.people.get(str(person.pk)) if person else None
        if person is None or since is None:
            return False
        return person.known_from is None or since >= person.known_from.timestamp()


def cookie_name() -> str:
    return "__Host-known" if settings.PRODUCTION else "known"


def browser_of(request: HttpRequest) -> Browser:
    """The browser as its cookie says; an empty one where there is none of ours."""
    try:
        said: Any = signing.loads(request.COOKIES.get(cookie_name(), ""), salt=SALT, max_age=KEPT)
        return Browser(str(said["id"]), {str(pk): float(at) for pk, at in said["people"].items()})
    except (signing.BadSignature, KeyError, TypeError, ValueError, AttributeError):
        return Browser()


def remember(request: HttpRequest, response: HttpResponse, person: User, at: datetime) -> None:
    """From now on this person is known on this browser."""
    browser = browser_of(request)
    people = {**browser.people, str(person.pk): at.timestamp()}
    newest = dict(sorted(people.items(), key=lambda each: each[1])[-MOST_PEOPLE:])
    kept = {"id": browser.id or secrets.token_hex(8), "people": newest}
    response.set_cookie(
        cookie_name(),
        signing.dumps(kept, salt=SALT, compress=True),
        max_age=KEPT,
        secure=settings.PRODUCTION,
        httponly=True,
        samesite="Lax",
    )


def forget_browsers(person: User, at: datetime) -> None:
    """Every browser is unknown to them again."""
    person.known_from = at
    User.objects.filter(pk=person.pk).update(known_from=at)
