"""The web server's line of each request, without what an address keeps secret."""

from __future__ import annotations

from typing import Any

from gunicorn.glogging import Logger

from installs.work.addresses import without_secrets

# the request's line, the address in it with and without what is asked, and where it was followed from
ADDRESSES = frozenset({"r", "U", "q", "f", "{referer}i", "{raw_uri}e"})


class AccessLine(Logger):  # type: ignore[misc]  # gunicorn comes without types
    """gunicorn's own logger; ``--logger-class=installs.work.access_line.AccessLine``."""

    def atoms(self, resp: Any, req: Any, environ: dict[str, Any], request_time: Any) -> dict[str, Any]:
        """What a line can be made of."""
        found: dict[str, Any] = super().atoms(resp, req, environ, request_time)
        return {
            name: without_secrets(told) if name in ADDRESSES and isinstance(told, str) else told
            for name, told in found.items()
        }
