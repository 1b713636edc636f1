"""A web app that says what it was sent: for the server under it (test_patient.py)."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from typing import Any


def app(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
    body = environ["wsgi.input"].read()
    said = f"{environ['PATH_INFO']} {len(body)} {hashlib.sha256(body).hexdigest()}".encode()
    start_response("200 OK", [("Content-Length", str(len(said)))])
    return [said]
