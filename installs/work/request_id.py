"""One word for each request: in every line of the log that it causes, on its answer, on work it asks for."""

from __future__ import annotations

import logging
import re
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.http import HttpRequest, HttpResponse

HEADER = "X-Request-ID"
NONE = "-"
# what a proxy makes: letters, digits and what stands between them; a log line holds it as it is
SANE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:-]{7,63}")
_current: ContextVar[str] = ContextVar("request id", default=NONE)


def current_request_id() -> str:
    """The request that is being answered, or for which work is being done; "-" when there is none."""
    return _current.get()


@contextmanager
def working_for(request_id: str) -> Iterator[None]:
    token = _current.set(request_id or NONE)
    try:
        yield
    finally:
        _current.reset(token)


def request_id(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    """The proxy's word if it sent a sane one, else one of our own. Stands before every other middleware."""

    def middleware(request: HttpRequest) -> HttpResponse:
        sent = request.headers.get(HEADER, "")
        with working_for(sent if SANE.fullmatch(sent) else uuid.uuid4().hex):
            response = get_response(request)
            response.headers[HEADER] = current_request_id()
        return response

    return middleware


class WithRequestId(logging.Filter):
    """Gives every record ``request_id``."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.request_id = current_request_id()
        return True
