from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from installs.book.pages import rows
from installs.jobs.kept import Kept, version
from installs.people.access import allow

BOOKS = Kept(most=60)


@allow("see")
@require_GET
def book(request: HttpRequest, number: str) -> HttpResponse:
    """The job from survey to maintenance as a boring log."""
    now = timezone.now()
    found = BOOKS.get((request.job.pk, *version(now)), lambda: rows(request.job, now))
    context = {
        "job": request.job,
        "rows": found,
        "now": request.job.local(now),
        "under_way": [r.phase.title for r in found if r.standing == "under way"],
        "open_deviations": sum(d.is_open for r in found for d in r.deviations),
        "members": request.job.members.select_related("person"),
    }
    return render(request, "installs/book/book.html", context)
