"""What a person, or the phone's program, reads when a request cannot be answered."""

from __future__ import annotations

import sys
from typing import Any

from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import get_template

from installs.work.passing import passing
from installs.work.request_id import current_request_id

TOO_MUCH = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


def _said(request: HttpRequest, template: str, status: int, words: str) -> HttpResponse:
    """In words on a page of ours; to the API as JSON."""
    if request.path.startswith("/api/"):
        return JsonResponse({"error": words}, status=status)
    return render(request, template, {"words": words}, status=status)


def bad_request(request: HttpRequest, exception: Any) -> HttpResponse:
    """413 for more than a form holds, else 400."""
    if isinstance(exception, TOO_MUCH):
        return _said(request, "400.html", 413, "What was sent is more than a page of ours can hold.")
    return _said(request, "400.html", 400, "What was sent cannot be read.")


def forbidden(request: HttpRequest, exception: Any) -> HttpResponse:
    return _said(request, "403.html", 403, "This is not yours to do.")


def not_found(request: HttpRequest, exception: Any) -> HttpResponse:
    return _said(request, "404.html", 404, "Page not found, or you have no access.")


RETRY_AFTER_S = 30


def server_error(request: HttpRequest) -> HttpResponse:
    """Needs neither database nor sign-in, for they may be what is broken.

    503 with when to come again for what passes; an error that has words for the reader (``told``) says them.
    """
    error = sys.exc_info()[1]
    words = passing(error)
    status = 503 if words else 500
    words = words or str(getattr(error, "told", ""))
    response: HttpResponse
    if request.path.startswith("/api/"):
        response = JsonResponse({"error": words or "A fault of ours."}, status=status)
    else:
        page = get_template("500.html").render({"request_id": current_request_id(), "words": words})
        response = HttpResponse(page, status=status)
    if status == 503:
        response.headers["Retry-After"] = str(RETRY_AFTER_S)
    return response
