"""The web process. Behind the firm's TLS proxy the client's address is the one that the proxy saw."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from ipaddress import ip_address
from typing import Any

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "installs.settings")


def address_in(said: str) -> str:
    """The address that a proxy wrote, without the port that some write behind it; "" for what is none."""
    host = said.partition("]")[0].removeprefix("[")
    if said.count(":") == 1:  # 192.0.2.7:5555; of IPv6 the port stands behind brackets
        host = said.partition(":")[0]
    try:
        return str(ip_address(host))
    except ValueError:
        return ""


def seen_by_proxy(app: Callable[[dict[str, Any], Any], Iterable[bytes]]) -> Any:
    """Take REMOTE_ADDR from the last entry of X-Forwarded-For.

    The proxy appends what it saw itself; entries before that are whatever the client wrote. Without
    this, sign-in tries of the whole firm would be counted as one address.
    """

    def behind_proxy(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        address = address_in(environ.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip())
        if address:
            environ["REMOTE_ADDR"] = address
        return app(environ, start_response)

    return behind_proxy


application = get_wsgi_application()

from django.conf import settings  # noqa: E402  (set up by the line above)

if settings.PRODUCTION:
    application = seen_by_proxy(application)
