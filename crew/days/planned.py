"""The crew days over all jobs in sheets by date: the days of a sheet, and the strip of their jobs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from crew.morning.look_ahead import lines
from crew.morning.office import JobMorning, Morning, load_morning
from crew.morning.sheets import SHEET, Sheets, asked, in_sheets, part, strip_rows, strip_svg, table_html
from crew.plan.clashes import Clash
from crew.plan.forms import CrewDayForm
from crew.plan.models import CrewDay
from installs.checklists.live_rows import Row
from installs.jobs.kept import Kept, Stands
from installs.people.requests import PersonRequest


@dataclass(frozen=True)
class Planned:
    """A sheet of the crew days as HTML, with the rows that it is made of."""

    sheets: Sheets
    tentative: int  # over all sheets
    head: SafeString
    links: SafeString
    rows: list[Row]
    table: SafeString
    strip_rows: list[Row]
    strip: SafeString
    clashes: SafeString
    fields: SafeString
    foot: SafeString


@dataclass(frozen=True)
class _Sheet:
    days: Sequence[CrewDay]
    jobs: Sequence[JobMorning]


PLANS = Kept(most=8)
DAYS = Kept(most=5000)
FORMS = Kept(most=4)


def kept_plan(request: PersonRequest, now: datetime, stands: Stands) -> Planned:
    planned: Planned = PLANS.get((asked(request), stands), lambda: _planned(request, now, stands))
    return planned


def _planned(request: PersonRequest, now: datetime, stands: Stands) -> Planned:
    morning = load_morning(now, request.user, stands)
    ahead = sorted(
        (d for m in morning.jobs for d in m.standing if d.on >= m.today), key=lambda d: (d.on, d.job.number)
    )
    pages = _sheets(morning, ahead)
    number = min(asked(request), len(pages))
    shown = pages[number - 1]
    clashes = sorted({c for m in morning.jobs for c in m.clashes}, key=lambda c: (c.on, c.jobs))
    table = _day_rows(morning, shown.days)
    rows = strip_rows(sorted(shown.jobs, key=lambda m: m.job.number), morning)
    context = {
        "morning": morning,
        "sheets": Sheets(number=number, count=len(pages)),
        "strip": strip_svg(rows, morning),
        "days": ahead,
        "clashes": clashes,
        "shown": _of_days(clashes, shown.days),
        "tentative": sum(d.plan_id is None for d in ahead),
    }
    return Planned(
        sheets=Sheets(number=number, count=len(pages)),
        tentative=sum(d.plan_id is None for d in ahead),
        head=part("crew/days/_head.html", context, request),
        links=part("crew/_sheet_links.html", context, request),
        rows=table,
        table=table_html(table),
        strip_rows=rows,
        strip=part("crew/_strip.html", context, request),
        clashes=part("crew/days/_clashes.html", context, request),
        fields=_fields(request, morning, stands),
        foot=part("crew/days/_foot.html", context, request),
    )


def _sheets(morning: Morning, ahead: Sequence[CrewDay]) -> list[_Sheet]:
    """Days by date, each sheet with the jobs of its days; then the jobs without a day, finished ones last."""
    by_job = {m.job.pk: m for m in morning.jobs}
    found = [
        _Sheet(days, [by_job[pk] for pk in dict.fromkeys(d.job_id for d in days)])
        for days in in_sheets(ahead)
    ]
    without = [line.morning for line in lines(morning) if not line.morning.ahead]
    last = found.pop() if found else _Sheet((), ())
    room = SHEET - len(last.jobs)
    found.append(_Sheet(last.days, [*last.jobs, *without[:room]]))
    return found + [_Sheet((), jobs) for jobs in in_sheets(without[room:])]


def _of_days(clashes: Sequence[Clash], days: Sequence[CrewDay]) -> list[Clash]:
    """The clashes of the days of one sheet."""
    keys = {day.pk for day in days}
    return [clash for clash in clashes if keys & set(clash.days)]


def _day_rows(morning: Morning, days: Sequence[CrewDay]) -> list[Row]:
    """A row for each day; drawn again when its job has changed."""
    stands = {m.job.pk: m.stands for m in morning.jobs}
    by_key = {day.pk: day for day in days}
    wanted = {day.pk: stands[day.job_id] for day in days}
    drawn = DAYS.each(
        wanted,
        lambda keys: {pk: render_to_string("crew/days/_day_row.html", {"day": by_key[pk]}) for pk in keys},
    )
    return [Row(f"day-{pk}", drawn[pk]) for pk in by_key]


def _fields(request: PersonRequest, morning: Morning, stands: Stands) -> SafeString:
    """An empty form to add a day lists every job, crew and person: drawn once for the same ones."""
    jobs = tuple((m.job.pk, str(m.job)) for m in morning.jobs)
    key = (stands.database, jobs, stands.of("installs.User", "crew.Crew"))
    fields: SafeString = FORMS.get(
        key, lambda: part("crew/days/_fields.html", {"form": CrewDayForm()}, request)
    )
    return fields
