"""What holds of every answer, whichever view gives it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest
from django.http.response import HttpResponseBase, StreamingHttpResponse

KEPT_BY_NOBODY = "private, no-store"

Answering = Callable[[HttpRequest], HttpResponseBase]


def head_is_get(get_response: Answering) -> Any:
    """HEAD is what GET would answer, without its body (RFC 9110, section 9.3.2): no view need know of it."""

    def middleware(request: HttpRequest) -> HttpResponseBase:
        if request.method != "HEAD":
            return get_response(request)
        request.method = "GET"
        response: Any = get_response(request)
        request.method = "HEAD"
        if isinstance(response, StreamingHttpResponse):
            response.streaming_content = ()
        else:
            response.content = b""
        return response  # type: ignore[no-any-return]  # either kind

    return middleware


def kept_by_nobody(get_response: Answering) -> Any:
    """What somebody signed in was shown stays in no browser and no proxy: nobody reads it after signing out.

    Back asks for the page anew; the browser puts what was typed into its fields again.
    """

    def middleware(request: HttpRequest) -> HttpResponseBase:
        signed_in = request.user.is_authenticated
        response = get_response(request)
        if signed_in and not response.has_header("Cache-Control"):
            response.headers["Cache-Control"] = KEPT_BY_NOBODY
        return response

    return middleware
