from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from installs.book.pages import rows
from installs.checklists.live import answer, arrivals, opened, renewed, unchanged
from installs.gates.states import Standing
from installs.jobs.kept import Kept, Stands, version
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.middleware import asked_by_page

BOOKS = Kept(most=60)


@allow("see")
@require_GET
def book(request: JobRequest, number: str) -> HttpResponse:
    """The job from survey to maintenance as a boring log."""
    now = timezone.now()
    stands = version(now, job=request.job)
    context = {
        **_book(request.job, now, stands),
        "live": opened(reverse("job-book-live", args=[number]), stands),
        "members": request.job.members.filter(until=None).select_related("person"),
    }
    return render(request, "installs/book/book.html", context)


@asked_by_page
@allow("see")
@require_GET
def book_live(request: JobRequest, number: str) -> HttpResponse:
    """The book's column anew, and what arrived since it was opened; 204 while nothing did."""
    now = timezone.now()
    stands = version(now, job=request.job)
    live = renewed(request, stands)
    if live is None:
        return unchanged()
    since = arrivals(Job.objects.filter(pk=request.job.pk), live)
    context = {**_book(request.job, now, stands), "live": live, "since": since}
    return answer(request, "installs/book/book_live.html", context)


def _book(job: Job, now: datetime, stands: Stands) -> dict[str, Any]:
    found = BOOKS.get((job.pk, stands), lambda: rows(job, now))
    numbers = list(job.numbers.select_related("job__record_check"))  # the one of today at least
    return {
        "job": job,
        "rows": found,
        "now": job.local(now),
        "before": [kept.number for kept in numbers if kept.number != job.number],
        "record": getattr(numbers[0].job, "record_check", None) if numbers else None,
        "under_way": [r.phase.title for r in found if r.standing == Standing.UNDER_WAY],
        "open_deviations": sum(d.is_open for r in found for d in r.deviations),
    }
