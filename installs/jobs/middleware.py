"""Access is denied unless the view names its ability; a job's URL asks for membership too.

A request is one reading of the record (``installs.jobs.reading``).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse

from installs.jobs.getters import job_for
from installs.jobs.reading import one_reading
from installs.jobs.requests import JobRequest
from installs.people.access import may


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
            return redirect_to_login(request.get_full_path())
        if "number" in kwargs:
            job = cast(JobRequest, request).job = job_for(request.user, kwargs["number"])
            asked, kwargs["number"] = kwargs["number"], job.number
        if ability is None or not may(request.user, ability):
            raise PermissionDenied
        if "number" in kwargs and asked != job.number:
            return _under_its_number(request, kwargs)
        return None

    middleware.process_view = process_view  # type: ignore[attr-defined]  # Django asks a function for it
    return middleware
