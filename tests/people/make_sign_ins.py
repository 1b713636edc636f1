"""People with a password or an authenticator, browsers, and tries to sign in."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pyotp
from django.test import Client

from installs.people import factor
from installs.people.models import SignInAttempt, User
from tests.make import make_person

PASSWORD = "hay-rake-41-fence"
NEW = "brass gate over snow"
URL = "/sign-in/"


def with_password(name: str = "Ben Osgood", role: str = "foreman", **fields: Any) -> User:
    return make_person(name, role, password=PASSWORD, **fields)


def sign_in(client: Client, person: User, password: str = PASSWORD, **more: Any) -> Any:
    return client.post(URL, {"username": person.username, "password": password, **more})


def wrong_tries(username: str, count: int, *, at: datetime, address: str = "127.0.0.1", **of: Any) -> None:
    for _ in range(count):
        SignInAttempt.objects.create(username=username, address=address, at=at, succeeded=False, **of)


def code_at(secret: str, at: datetime) -> str:
    return pyotp.TOTP(secret).at(at)


def with_codes(person: User, at: datetime | None = None) -> tuple[str, list[str]]:
    """Secret and recovery codes of an authenticator that was set up a day ago."""
    at = at or datetime.now(UTC) - timedelta(days=1)
    secret = factor.new_secret()
    return secret, factor.set_up(person, secret, code_at(secret, at), at)
