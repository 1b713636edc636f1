"""What every answer tells the browser, and what the firm's log is told of a request."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from installs.people.firm_log import asked_from, write_firm_event
from installs.people.models import User

log = logging.getLogger(__name__)

POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def content_security_policy(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

    return middleware


def firm_log(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    """Lines of the firm's log that a request writes have its address; a refusal is such a line."""

    def middleware(request: HttpRequest) -> HttpResponse:
        with asked_from(request.META.get("REMOTE_ADDR") or ""):
            response = get_response(request)
            if response.status_code == 403:
                _refused(request)
        return response

    return middleware


def _refused(request: HttpRequest) -> None:
    """The answer is a refusal whether or not the log takes a line now."""
    if not isinstance(person := request.user, User):
        return
    asked = f"{request.method} {request.path}"
    try:
        write_firm_event(
            "refused", f"Refused: {asked}", by=person, at=timezone.now(), data={"path": request.path[:200]}
        )
    except DatabaseError:
        log.exception("a refusal is not in the firm's log: %s", asked)
