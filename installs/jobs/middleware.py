"""Access is denied unless the view names its ability; a job's URL asks for membership too.

A request is one reading of the record (``installs.jobs.reading``).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render
from django.urls import reverse

from installs.jobs.firm import the_firm
from installs.jobs.getters import JobArchived, job_for
from installs.jobs.reading import one_reading
from installs.jobs.requests import JobRequest
from installs.people.access import may
from installs.people.again import held
from installs.people.forms import SignInForm


def _under_its_number(request: HttpRequest, kwargs: dict[str, Any]) -> HttpResponse | None:
    """To the address of today; not for good: a job may get its old number back. What is posted is taken."""
    if request.method not in ("GET", "HEAD") or request.path.startswith("/api/"):
        return None
    match = request.resolver_match
    assert match is not None
    query = request.META.get("QUERY_STRING", "")
    return HttpResponseRedirect(reverse(match.view_name, kwargs=kwargs) + (f"?{query}" if query else ""))


def deny_by_default(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    """Gate in front of every view; sets request.job where the URL carries a job number."""

    def middleware(request: HttpRequest) -> HttpResponse:
        with one_reading():
            cast(Any, request).ask_firm = the_firm  # the title block of every page names it
            return get_response(request)

    def process_view(
        request: HttpRequest, view: Any, args: Any, kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        ability = getattr(view, "ability", None)
        if ability == "anyone":
            return None
        if not request.user.is_authenticated:
            if request.path.startswith("/api/"):
                return JsonResponse({"error": "Sign in, then send again."}, status=401)
            return _sent_to_sign_in(request, view)
        if "number" in kwargs:
            try:
                job = cast(JobRequest, request).job = job_for(request.user, kwargs["number"])
            except Http404:
                cast(Any, request).not_their_job = True  # installs/people/middleware.py writes it down
                raise
            asked, kwargs["number"] = kwargs["number"], job.number
        if ability is None or not may(request.user, ability):
            raise PermissionDenied
        # what stands further in and calls the view itself gives its errors here (installs/sent/middleware.py)
        cast(Any, request).answers_error = process_exception
        if "number" in kwargs and asked != job.number:
            return _under_its_number(request, kwargs)
        return None

    def process_exception(request: HttpRequest, error: Exception) -> HttpResponse | None:
        """A change of an archived job, where the page has no form to say it at."""
        if not isinstance(error, JobArchived):
            return None
        words = " ".join(error.messages)
        if request.path.startswith("/api/"):
            return JsonResponse({"error": words}, status=409)
        return render(request, "409.html", {"words": words}, status=409)

    middleware.process_exception = process_exception  # type: ignore[attr-defined]  # see below
    middleware.process_view = process_view  # type: ignore[attr-defined]  # Django asks a function for it
    return middleware


def _sent_to_sign_in(request: HttpRequest, view: Any) -> HttpResponse:
    """What was typed goes with it, to be sent after signing in: a session may end while a form is filled in.

    Of the pages of the own sign-in nothing does: passwords stand there.
    """
    own = getattr(view, "while_unsettled", False) or request.headers.get("HX-Request")
    if request.method != "POST" or own:
        return redirect_to_login(request.get_full_path())
    kept = {"next": request.get_full_path(), "held": json.dumps(held(request)), "form": SignInForm()}
    return render(request, "installs/people/sign_in.html", kept, status=401)
