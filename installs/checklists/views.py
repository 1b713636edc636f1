"""The office's view of a job's checklists, and the numbered paper twin of each."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from installs.checklists import services
from installs.checklists.state import list_states
from installs.people.access import allow


@allow("see")
@require_GET
def lists(request: HttpRequest, number: str) -> HttpResponse:
    return render(
        request, "installs/checklists/lists.html", {"job": request.job, "states": list_states(request.job)}
    )


@allow("see")
@require_GET
def one(request: HttpRequest, number: str, key: str) -> HttpResponse:
    """One list with all that was recorded; ``?paper`` is its paper twin to print."""
    kept = get_object_or_404(request.job.lists, key=key)
    state = list_states(request.job, [kept])[0]
    template = (
        "installs/checklists/paper_twin.html" if "paper" in request.GET else "installs/checklists/list.html"
    )
    return render(request, template, {"job": request.job, "state": state})


@allow("edit job")
@require_POST
def copy(request: HttpRequest, number: str) -> HttpResponse:
    services.copy_lists(request.job, by=request.user, at=timezone.now())
    return redirect("job-lists", number)
