"""The office's two morning pages."""

from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from crew.morning import look_ahead as look
from crew.morning import next_day as nextday
from crew.morning import season
from crew.morning.office import load_morning
from crew.morning.strip import strip_svg
from installs.people.access import allow


@allow("see")
@require_GET
def look_ahead(request: HttpRequest) -> HttpResponse:
    """Every active job's next step and what it waits for, with the season strip under it."""
    now = timezone.now()
    morning = load_morning(now, request.user)
    lines = look.lines(morning)
    first, days = season.window(morning.today)
    context = {
        "morning": morning,
        "lines": lines,
        "monday": morning.today - timedelta(days=morning.today.weekday()),
        "called": sum(bool(line.calls) for line in lines),
        "open_deviations": sum(len(line.deviations) for line in lines),
        "out_today": [(m, d) for m in morning.jobs for d in m.standing if d.on == morning.today],
        "unsent": sum(d.waiting for d in {d.pk: d for m in morning.jobs for d in m.devices}.values()),
        "strip": strip_svg(season.rows(morning), first, days, morning.today),
        "now": morning.jobs[0].job.local(now) if morning.jobs else now,
    }
    return render(request, "crew/morning/look_ahead.html", context)


@allow("plan crew days")
@require_GET
def next_day(request: HttpRequest) -> HttpResponse:
    """``?on=2031-05-20`` shows another date."""
    morning = load_morning(timezone.now(), request.user)
    try:
        on = date.fromisoformat(request.GET["on"]) if "on" in request.GET else nextday.next_date(morning)
    except ValueError:
        on = nextday.next_date(morning)
    sheets = nextday.sheets(morning, on) if on else []
    return render(request, "crew/morning/next_day.html", {"on": on, "sheets": sheets, "morning": morning})
