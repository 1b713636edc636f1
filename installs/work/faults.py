"""What a person, or the phone's program, reads when a request cannot be answered."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import get_template

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


def server_error(request: HttpRequest) -> HttpResponse:
    """Needs neither database nor sign-in, for they may be what is broken."""
    page = get_template("500.html").render({"request_id": current_request_id()})
    return HttpResponse(page, status=500)
