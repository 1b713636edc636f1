"""Guessing is slowed down, nobody is locked out: each wrong try makes the next one wait longer.

A try that comes too early is not looked at and counts for nothing. Who signs in on a browser that knows them
is slowed by their own wrong tries there and by nobody else's. On another browser three counts say how long to
wait: of the name from this address, of the name from everywhere, of the address for all names. The last waits
seconds only: behind one address sits a whole office.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil
from typing import Any

from installs.people.models import SignInAttempt, TryKind

WINDOW = timedelta(minutes=15)
COUNTED = 100  # more wrong tries than that wait no longer


@dataclass(frozen=True)
class Slowing:
    """``free`` wrong tries cost nothing; the next waits 2 s, then 4 s, 8 s, at most ``most_s``."""

    free: int
    most_s: int

    def wait_s(self, wrong: int) -> int:
        over = wrong - self.free
        return 0 if over < 0 else int(min(self.most_s, 2.0 ** (min(over, 30) + 1)))


OWN = Slowing(free=3, most_s=60)
OF_NAME = Slowing(free=10, most_s=60)
OF_ADDRESS = Slowing(free=30, most_s=5)
# a code has a million values only, and nobody who lacks the password comes to try one
OF_CODE = Slowing(free=4, most_s=60)


@dataclass(frozen=True)
class Trying:
    """Who tries from where; ``browser`` is the id of one that knows the person, else empty."""

    username: str
    address: str | None
    browser: str = ""

    def record(self, at: datetime, kind: TryKind = TryKind.PASSWORD) -> SignInAttempt:
        """Before the password is looked at, so that many tries at once see one another."""
        return SignInAttempt.objects.create(
            username=self.username,
            address=self.address,
            browser=self.browser,
            at=at,
            kind=kind,
            succeeded=False,
        )

    def wait_s(self, at: datetime, kind: TryKind = TryKind.PASSWORD) -> int:
        """How many seconds are left until this try is looked at; 0 where it is now.

        Asked before the password is hashed, so that guessing cannot load the server either.
        """
        if kind == TryKind.CODE:
            return _left(OF_CODE, at, since_success=True, username=self.username, kind=kind)
        if self.browser:
            of_browser = {"username": self.username, "browser": self.browser}
            return _left(OWN, at, since_success=True, **of_browser)
        waits = [_left(OF_NAME, at, username=self.username)]
        if self.address:
            waits.append(_left(OWN, at, since_success=True, username=self.username, address=self.address))
            waits.append(_left(OF_ADDRESS, at, address=self.address))
        return max(waits)


def _left(slowing: Slowing, at: datetime, *, since_success: bool = False, **of: Any) -> int:
    tries = SignInAttempt.objects.filter(**{"kind": TryKind.PASSWORD, **of}, at__gt=at - WINDOW)
    wrong: list[datetime] = []
    for tried, succeeded in tries.order_by("-at", "-pk").values_list("at", "succeeded")[:COUNTED]:
        if succeeded and since_success:
            break
        if not succeeded:
            wrong.append(tried)
    if not wrong:
        return 0
    return max(0, ceil(slowing.wait_s(len(wrong)) - (at - wrong[0]).total_seconds()))


def wait_words(seconds: int) -> str:
    return f"Too many wrong tries. Wait {seconds} second{'s' if seconds != 1 else ''}, then try again."
