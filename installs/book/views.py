from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.paginator import Paginator
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from installs.book.drawings import drawing_of
from installs.book.first_steps import firm_steps, first_job, is_first_day, job_steps, next_of
from installs.book.pages import PhaseRow, rows
from installs.checklists.live import answer, arrivals, opened, renewed, unchanged
from installs.firm.facts import Place, released_place
from installs.gates.facts import facts_of
from installs.gates.states import Standing
from installs.jobs.kept import Kept, Stands, version
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.middleware import asked_by_page
from installs.people.requests import PersonRequest
from installs.picture.gathering import Picture, briefs_of, picture_of

BOOKS = Kept(most=60)


@allow("see")
@require_GET
def book(request: JobRequest, number: str) -> HttpResponse:
    """The job from survey to maintenance as a boring log."""
    now = timezone.now()
    stands = version(now, job=request.job)
    book = _book(request.job, now, stands)
    # a job that is built on has left its first steps behind
    begun = any(row.state for row in book["rows"])
    kinds = {paper.kind for row in book["rows"] for paper in row.papers}
    steps = [] if begun else job_steps(request.job, kinds, book["picture"].letters)
    context = {
        **book,
        "live": opened(reverse("job-book-live", args=[number]), stands),
        "members": request.job.members.filter(until=None).select_related("person"),
        "steps": steps,
        "next_step": next_of(steps),
    }
    return render(request, "installs/book/book.html", context)


@allow("see")
@require_GET
def drawing(request: JobRequest, number: str, phase: str) -> HttpResponse:
    """A phase's drawing as it is for a phone, asked for as it comes into view; a desk never asks."""
    if phase not in BY_KEY:
        raise Http404("no such phase")
    return HttpResponse(drawing_of(phase, request.job, timezone.now(), narrow=True))


# jobs on a sheet of the list: with their pictures what fits in a page of 250 KB
SHEET = 25
SEARCHED = ("number", "numbers__number", "owner", "place", "county", "description")


@allow("see")
@require_GET
def jobs(request: PersonRequest) -> HttpResponse:
    """Every job this person may see, each with its picture and next step; archived ones at the end.

    ``?q=harrow``: those with the word in number, owner, place or scope; ``?sheet=2`` the next ones.
    """
    asked = " ".join(request.GET.get("q", "").split())[:80]
    seen = Job.objects.visible_to(request.user).select_related("engineer").order_by("archived_on", "number")
    for word in asked.split():
        of_word = Q()
        for name in SEARCHED:
            of_word |= Q(**{f"{name}__icontains": word})
        seen = seen.filter(pk__in=Job.objects.filter(of_word).values("pk"))
    sheet = Paginator(seen, SHEET).get_page(request.GET.get("sheet"))
    shown = list(sheet)
    briefs = briefs_of(shown, timezone.now()) if shown else {}
    rows = [(job, briefs[job.pk]) for job in shown]
    context = {"rows": rows, "sheet": sheet, "asked": asked, "count": sheet.paginator.count}
    return render(request, "installs/book/jobs.html", context)


@allow("edit job")
@require_GET
def first_day(request: PersonRequest) -> HttpResponse:
    """From an empty database to the first permit packet: what is next, with its page."""
    job = first_job()
    of_firm, of_job = firm_steps(), job_steps(job) if job else []
    context = {
        "of_firm": of_firm,
        "of_job": of_job,
        "job": job,
        "next_step": next_of([*of_firm, *of_job]),
        "over": not is_first_day(),
    }
    return render(request, "installs/book/first_day.html", context)


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


def _worked_out(job: Job, now: datetime) -> tuple[list[PhaseRow], Place | None, Picture]:
    return rows(job, now), released_place(job), picture_of(job, now, facts_of(job, now))


def _book(job: Job, now: datetime, stands: Stands) -> dict[str, Any]:
    found, tower_at, picture = BOOKS.get((job.pk, stands), lambda: _worked_out(job, now))
    numbers = list(job.numbers.select_related("job__record_check"))  # the one of today at least
    return {
        "job": job,
        "rows": found,
        "tower_at": tower_at,
        "picture": picture,
        "now": job.local(now),
        "before": [kept.number for kept in numbers if kept.number != job.number],
        "record": getattr(numbers[0].job, "record_check", None) if numbers else None,
        "under_way": [r.phase.title for r in found if r.standing == Standing.UNDER_WAY],
        "open_deviations": sum(d.is_open for r in found for d in r.deviations),
    }
