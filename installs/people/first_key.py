"""The one-time key by which the first person comes in: printed where the program was started, kept as a hash.

It lies in the folder that web server and commands of one firm share, and is gone once somebody is there.
"""

from __future__ import annotations

import hashlib
import os
import secrets
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.crypto import constant_time_compare

from installs.people.models import User

LOOPBACK = ("127.0.0.1", "::1", "::ffff:127.0.0.1")


def _place() -> Path:
    return Path(settings.VAR_DIR) / "first-key"


def is_empty() -> bool:
    """Whether nobody is here yet, with a sign-in or without, archived or not."""
    return not User.objects.exists()


def make_key() -> str:
    """A new key; the one before it opens nothing any more."""
    key = secrets.token_urlsafe(24)
    with open(os.open(_place(), os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        file.write(_hashed(key))
    return key


def opens(key: str) -> bool:
    """Whether this is the key that was made last, compared in constant time."""
    try:
        kept = _place().read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        return False
    return len(kept) == 64 and constant_time_compare(kept, _hashed(key.strip()))


def end_key() -> None:
    _place().unlink(missing_ok=True)


def address_of(key: str, site: str) -> str:
    """What is printed: the page with the key in it. ``site`` is http://127.0.0.1:8000."""
    return f"{site}{reverse('first-start')}?key={key}"


def is_here(request: HttpRequest) -> bool:
    """Whether the browser is on this machine. On a firm's server, behind its proxy, the key alone counts."""
    return bool(settings.PRODUCTION) or request.META.get("REMOTE_ADDR") in LOOPBACK


def _hashed(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()
