"""What every answer tells the browser and the firm's log is told, and what stands before every page."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any, TypeVar

from django.contrib.auth import logout
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from installs.people.factor import has_factor, is_required
from installs.people.firm_log import asked_from, write_refusal
from installs.people.models import User
from installs.people.sessions import DESK, is_idle, note_seen, row_of

log = logging.getLogger(__name__)

POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
ENDED = "The office has ended this phone's access. Call the office."
View = TypeVar("View", bound=Callable[..., Any])


def content_security_policy(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

    return middleware


def firm_log(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    """Lines of the firm's log that a request writes have its address; a refusal is such a line.

    So is a job that is not theirs: the answer is that there is none, and who tries the numbers is seen.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        with asked_from(request.META.get("REMOTE_ADDR") or ""):
            response = get_response(request)
            if response.status_code == 403:
                _refused(request, "Refused")
            elif getattr(request, "not_their_job", False):
                _refused(request, "No job of theirs")
        return response

    return middleware


def _refused(request: HttpRequest, words: str) -> None:
    """The answer is a refusal whether or not the log takes a line now."""
    if isinstance(person := request.user, User):
        note_refusal(f"{words}: {request.method} {request.path}", person, path=request.path)


def note_refusal(what: str, person: User, *, path: str) -> None:
    try:
        write_refusal(what, by=person, at=timezone.now(), path=path)
    except DatabaseError:
        log.exception("a refusal is not in the firm's log: %s", what)


def while_unsettled(view: View) -> View:
    """Marks what answers who still has to change a password or set up codes."""
    view.while_unsettled = True  # type: ignore[attr-defined]  # a function may carry a mark, its type cannot
    return view


def while_ended(view: View) -> View:
    """Marks what answers in a session that was ended with its phone: that it was, and the way out."""
    view.while_ended = True  # type: ignore[attr-defined]  # as above
    return view


def asked_by_page(view: View) -> View:
    """Marks what an open page asks for by itself: it keeps no office signed in where nobody sits."""
    view.asked_by_page = True  # type: ignore[attr-defined]  # as above
    return view


def settled_sign_in(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    """One that was ended takes nothing, an idle one ends, a password set by others is changed first."""

    def middleware(request: HttpRequest) -> HttpResponse:
        return get_response(request)

    def process_view(
        request: HttpRequest, view: Any, args: Any, kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        if getattr(view, "ability", None) == "anyone" or not isinstance(request.user, User):
            return None
        row, now = row_of(request.session), timezone.now()
        if row is not None and is_idle(row, request.user, now):
            logout(request)
            return None  # who is nobody is sent to the sign-in page by the gate behind this one
        by_itself = getattr(view, "asked_by_page", False) and request.user.role in DESK
        if row is not None and not by_itself:
            note_seen(request, row, now)
        if row is not None and row.ended_at and not getattr(view, "while_ended", False):
            return _phone_ended(request)
        if getattr(view, "while_unsettled", False):
            return None
        return _sent_to_settle(request, request.user)

    middleware.process_view = process_view  # type: ignore[attr-defined]  # Django asks a function for it
    return middleware


def _sent_to_settle(request: HttpRequest, person: User) -> HttpResponse | None:
    """To the page where what is owed can be done; the phone's program is told to sign in."""
    if person.must_change_password:
        words, page = "Sign in, then send again: your password has to be changed first.", "my-password"
    elif is_required(person) and not _has_factor(request, person):
        words, page = "Sign in, then send again: the codes have to be set up first.", "my-codes"
    else:
        return None
    return JsonResponse({"error": words}, status=401) if _of_api(request) else redirect(page)


def _has_factor(request: HttpRequest, person: User) -> bool:
    """Asked of the database until it is so: taking codes away ends every session."""
    if not request.session.get("has_codes") and has_factor(person):
        request.session["has_codes"] = True
    return bool(request.session.get("has_codes"))


def _of_api(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def _phone_ended(request: HttpRequest) -> HttpResponse:
    """In words; by the header the phone's program clears the pages that it holds."""
    response: HttpResponse
    if _of_api(request):
        response = JsonResponse({"error": ENDED}, status=403)
    else:
        response = render(request, "installs/people/phone_ended.html", status=403)
    response.headers["X-Phone-Ended"] = "yes"
    return response
