"""The office's two morning pages."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from crew.morning import look_ahead as look
from crew.morning import next_day as nextday
from crew.morning import season
from crew.morning.office import Morning, load_morning
from crew.morning.strip import strip_svg
from installs.checklists.live import answer, arrivals, opened, renewed, unchanged
from installs.jobs.kept import Kept, version
from installs.jobs.models import Job
from installs.people.access import allow, may
from installs.people.models import User


@allow("see")
@require_GET
def look_ahead(request: HttpRequest) -> HttpResponse:
    """Every active job's next step and what it waits for, with the season strip under it."""
    now = timezone.now()
    stands = version(now, *PLANNED)
    context = {"live": opened(reverse("look-ahead-live"), stands), "page": _kept_page(request, now, stands)}
    return render(request, "crew/morning/look_ahead.html", context)


@allow("see")
@require_GET
def look_ahead_live(request: HttpRequest) -> HttpResponse:
    """The page's live part anew, and what arrived since it was opened; 204 while nothing did."""
    now = timezone.now()
    stands = version(now, *PLANNED)
    live = renewed(request, stands)
    if live is None:
        return unchanged()
    lines = arrivals(Job.objects.active().visible_to(request.user), live)
    context = {"live": live, "page": _kept_page(request, now, stands), "since": lines, "now": now}
    return answer(request, "crew/morning/look_ahead_live.html", context)


def _kept_page(request: HttpRequest, now: datetime, stands: tuple[Any, ...]) -> SafeString:
    page: SafeString = PAGES.get((audience(request.user), *stands), lambda: _look_ahead(request, now))
    return page


# the pages of the office and of a few people; each is made anew when the record has changed
PAGES = Kept(most=8)
PLANNED = (("crew.CrewDay", "COUNT(*)"), ("crew.CrewDay", "COUNT(struck_at)"), ("crew.Plan", "COUNT(*)"),
           ("crew.Absence", "COUNT(*)"), ("crew.Absence", "COUNT(withdrawn_on)"))  # fmt: skip


def audience(user: User) -> str:
    """Whose jobs are shown: everybody's to the office, to others their own."""
    return "all" if may(user, "see all jobs") else f"person {user.pk}"


def _look_ahead(request: HttpRequest, now: datetime) -> SafeString:
    morning = load_morning(now, request.user)
    lines = look.lines(morning)
    context = {
        "morning": morning,
        "lines": lines,
        "monday": morning.today - timedelta(days=morning.today.weekday()),
        "called": sum(len(line.calls) for line in lines),
        "open_deviations": sum(len(line.deviations) for line in lines),
        "out_today": [(m, d) for m in morning.jobs for d in m.standing if d.on == morning.today],
        "unsent": sum(d.waiting for d in {d.pk: d for m in morning.jobs for d in m.devices}.values()),
        "strip": season_strip(morning),
        "now": morning.jobs[0].job.local(now) if morning.jobs else now,
    }
    return mark_safe(render_to_string("crew/morning/_look_ahead.html", context, request))


def season_strip(morning: Morning) -> str:
    first, days = season.window(morning.today)
    return strip_svg(season.rows(morning), first, days, morning.today)


@allow("plan crew days")
@require_GET
def next_day(request: HttpRequest) -> HttpResponse:
    """``?on=2031-05-20`` shows another date."""
    now = timezone.now()
    try:
        asked = date.fromisoformat(request.GET["on"]) if "on" in request.GET else None
    except ValueError:
        asked = None
    key = ("next day", asked, *version(now, *PLANNED))
    page = PAGES.get(key, lambda: _next_day(request, now, asked))
    return render(request, "crew/morning/next_day.html", {"page": page})


def _next_day(request: HttpRequest, now: datetime, asked: date | None) -> SafeString:
    morning = load_morning(now, request.user)
    on = asked or nextday.next_date(morning)
    sheets = nextday.sheets(morning, on) if on else []
    context = {"on": on, "sheets": sheets, "morning": morning}
    return mark_safe(render_to_string("crew/morning/_next_day.html", context, request))
