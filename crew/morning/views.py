"""The office's two morning pages."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.http import HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from crew.morning import look_ahead as look
from crew.morning import next_day as nextday
from crew.morning.forms import ScheduleForm
from crew.morning.look_ahead import Line
from crew.morning.office import PLANNED, Morning, load_morning
from crew.morning.sheets import (
    Sheets,
    asked,
    audience,
    in_sheets,
    job_rows,
    load_row,
    part,
    renewed_load,
    renewed_rows,
    renewed_strip,
    strip_context,
    strip_rows,
    table_html,
)
from installs.checklists.live import answer, arrivals, opened, renewed, unchanged
from installs.checklists.live_rows import Row
from installs.jobs.kept import Kept, Stands, version
from installs.jobs.models import Job
from installs.people.access import allow, may
from installs.people.middleware import asked_by_page
from installs.people.requests import PersonRequest
from installs.picture.gathering import briefs_of
from installs.record.backups import backup_fault, last_made
from installs.record.services import firm_log_broken


@allow("see")
@require_GET
def look_ahead(request: PersonRequest) -> HttpResponse:
    """Every active job's next step and what it waits for, with the season schedule under it.

    ``?sheet=2`` shows the jobs after the first thirty; finished jobs come last, on sheets of their own.
    ``?first=2031-04-01&over=9 months`` is the schedule from that week on.
    """
    now = timezone.now()
    stands = version(now, *PLANNED)
    schedule = _schedule(request)
    page = _kept_page(request, now, stands, schedule)
    live = opened(reverse("look-ahead-live"), stands, sheet=page.sheets.number, more=schedule.asked)
    context = {"live": live, "page": page, "schedule": schedule}
    return render(request, "crew/morning/look_ahead.html", context)


def _schedule(request: PersonRequest) -> ScheduleForm:
    form = ScheduleForm(request.GET)
    form.is_valid()
    return form


@asked_by_page
@allow("see")
@require_GET
def look_ahead_live(request: PersonRequest) -> HttpResponse:
    """The rows that changed since the page asked last, and what arrived since it was opened; 204 while
    nothing did."""
    now = timezone.now()
    stands = version(now, *PLANNED)
    schedule = _schedule(request)
    live = renewed(request, stands, sheet=asked(request), more=schedule.asked)
    if live is None:
        return unchanged()
    page = _kept_page(request, now, stands, schedule)
    context = {
        "live": live,
        "page": page,
        "rows": renewed_rows(request, page.rows, "job-rows"),
        "strip": renewed_strip(request, page.strip_rows, page.strip),
        "load": renewed_load(request, page.load),
        "since": arrivals(Job.objects.active().visible_to(request.user), live),
        "now": now,
    }
    return answer(request, "crew/morning/look_ahead_live.html", context)


@dataclass(frozen=True)
class Page:
    """A sheet of the look-ahead as HTML, with the rows that it is made of."""

    sheets: Sheets
    head: SafeString
    links: SafeString
    rows: list[Row]
    table: SafeString
    strip_rows: list[Row]
    strip: SafeString
    load: Row | None  # for whoever sees every job
    foot: SafeString


# the sheets of the office and of a few people; each is made anew when the record has changed
PAGES = Kept(most=16)


def _kept_page(request: PersonRequest, now: datetime, stands: Stands, schedule: ScheduleForm) -> Page:
    key = (audience(request.user), asked(request), schedule.key, stands)
    page: Page = PAGES.get(key, lambda: _look_ahead(request, now, stands, schedule))
    return page


def _look_ahead(request: PersonRequest, now: datetime, stands: Stands, schedule: ScheduleForm) -> Page:
    morning = load_morning(now, request.user, stands)
    lines = look.lines(morning)
    running = in_sheets([line for line in lines if not line.finished])
    finished = [line for line in lines if line.finished]
    pages = [*running, *in_sheets(finished)] or [[]]
    number = min(asked(request), len(pages))
    sheets = Sheets(
        number=number,
        count=len(pages),
        finished_from=len(running) + 1 if finished else None,
        finished=len(finished),
        more=schedule.more,
    )
    shown = pages[number - 1]
    table = job_rows(shown)
    window = schedule.window(morning.today)
    rows = strip_rows([line.morning for line in shown], morning, window)
    context = {**_head(morning, lines, now), "sheets": sheets}
    context |= strip_context(rows, morning, window)
    if may(request.user, "manage people"):
        context |= {"asks_backup": True, "backup": last_made(), "backup_fault": backup_fault(now)}
        context["firm_log_fault"] = firm_log_broken()
    return Page(
        sheets=sheets,
        head=part("crew/morning/_look_head.html", context, request),
        links=part("crew/_sheet_links.html", context, request),
        rows=table,
        table=table_html(table),
        strip_rows=rows,
        strip=part("crew/_strip.html", context, request),
        load=load_row(morning, window) if may(request.user, "see all jobs") else None,
        foot=part("crew/morning/_look_foot.html", context, request),
    )


def _head(morning: Morning, lines: list[Line], now: datetime) -> dict[str, object]:
    """What is said of all jobs together, whichever sheet shows them."""
    return {
        "morning": morning,
        "running": sum(not line.finished for line in lines),
        "monday": morning.today - timedelta(days=morning.today.weekday()),
        "called": sum(len(line.calls) for line in lines),
        "open_deviations": sum(len(line.deviations) for line in lines),
        "out_today": [(m, d) for m in morning.jobs for d in m.standing if d.on == morning.today],
        "unsent": sum(d.waiting for d in {d.pk: d for m in morning.jobs for d in m.devices}.values()),
        "now": morning.jobs[0].job.local(now) if morning.jobs else now,
    }


@allow("plan crew days")
@require_GET
def next_day(request: PersonRequest) -> HttpResponse:
    """``?on=2031-05-20`` shows another date."""
    now = timezone.now()
    try:
        on = date.fromisoformat(request.GET["on"]) if "on" in request.GET else None
    except ValueError:
        on = None
    stands = version(now, *PLANNED)
    page = PAGES.get(("next day", on, stands), lambda: _next_day(request, now, on, stands))
    return render(request, "crew/morning/next_day.html", {"page": page})


def _next_day(request: PersonRequest, now: datetime, on: date | None, stands: Stands) -> SafeString:
    morning = load_morning(now, request.user, stands)
    day = on or nextday.next_date(morning)
    sheets = nextday.sheets(morning, day) if day else []
    briefs = briefs_of([*{sheet.morning.job.pk: sheet.morning.job for sheet in sheets}.values()], now)
    context = {"on": day, "sheets": sheets, "morning": morning, "briefs": briefs}
    return mark_safe(render_to_string("crew/morning/_next_day.html", context, request))
