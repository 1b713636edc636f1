"""The office's long pages in sheets, and the rows of a sheet, each drawn once while it says the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, TypeVar

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from crew.morning import season
from crew.morning.load import load_svg, weeks_of
from crew.morning.look_ahead import Line, said_of
from crew.morning.office import JobMorning, Morning
from crew.morning.season import Window
from crew.morning.strip import Scale, frame_svg, placed, row_svg, strip_of
from installs.checklists.live_rows import Row, carried, changes, table_anew
from installs.jobs.kept import Kept
from installs.people.access import may
from installs.people.models import User
from installs.people.requests import PersonRequest

# rows of a sheet: what fits in a page of 250 KB with the strip of as many jobs
SHEET = 30
ROWS, STRIPS = Kept(most=5000), Kept(most=5000)
Each = TypeVar("Each")


@dataclass(frozen=True, kw_only=True)
class Sheets:
    """Which sheet is shown, of how many. From ``finished_from`` on they hold finished jobs."""

    number: int
    count: int
    finished_from: int | None = None
    finished: int = 0
    more: str = ""  # what else the page was asked for, as its links carry it

    @property
    def numbers(self) -> range:
        return range(1, self.count + 1)


def asked(request: PersonRequest, name: str = "sheet") -> int:
    """The sheet that was asked for; the first where it cannot be read."""
    text = request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and 0 < len(text) < 6 else 1


def in_sheets(rows: Sequence[Each]) -> list[Sequence[Each]]:
    return [rows[n : n + SHEET] for n in range(0, len(rows), SHEET)]


def audience(user: User) -> str:
    """Whose jobs are shown: everybody's to the office, to others their own."""
    return "all" if may(user, "see all jobs") else f"person {user.pk}"


def job_rows(lines: Sequence[Line]) -> list[Row]:
    """A row of the look-ahead for each line."""
    by_job = {line.morning.job.pk: line for line in lines}
    wanted = {pk: said_of(line.morning) for pk, line in by_job.items()}
    drawn = ROWS.each(wanted, lambda keys: {pk: _cells(by_job[pk]) for pk in keys})
    return [Row(f"job-{pk}", drawn[pk]) for pk in by_job]


def _cells(line: Line) -> str:
    return render_to_string("crew/morning/_look_row.html", {"line": line, "job": line.morning.job})


def strip_rows(jobs: Sequence[JobMorning], morning: Morning, shown: Window) -> list[Row]:
    """The strip of these jobs, in their order: its frame, and a row for each."""
    first, days = shown.first, shown.days
    by_job = {m.job.pk: m for m in jobs}
    wanted = {(pk, shown): (m.stands, first) for pk, m in by_job.items()}
    drawn = STRIPS.each(
        wanted, lambda keys: {key: row_svg(season.row(by_job[key[0]]), first, days) for key in keys}
    )
    frame = Row("strip-0", frame_svg(len(jobs), first, days, morning.today), "g")
    rows = (
        Row(f"strip-{pk}", drawn[pk, shown], "g", f' transform="{placed(n)}"') for n, pk in enumerate(by_job)
    )
    return [frame, *rows]


def table_html(rows: Sequence[Row]) -> SafeString:
    return mark_safe("".join(row.html for row in rows))


def strip_svg(rows: Sequence[Row], shown: Window) -> SafeString:
    inside = "".join(row.html for row in rows)
    return mark_safe(strip_of(inside, len(rows) - 1, shown.first, shown.days))


def strip_context(rows: Sequence[Row], morning: Morning, shown: Window) -> dict[str, Any]:
    """For ``crew/_strip.html``. A narrow screen begins three days before today."""
    begins = Scale(shown.first, shown.days).x(morning.today - timedelta(days=3))
    return {"strip": strip_svg(rows, shown), "begins": f"{begins:g}"}


def load_row(morning: Morning, shown: Window) -> Row:
    """Crew days by week of every job that is seen, wide and for a phone."""
    days = (day for m in morning.jobs for day in m.standing)
    weeks = weeks_of(days, morning.crews, shown.first, shown.days // 7)
    drawn = [load_svg(weeks, morning.today), load_svg(weeks, morning.today, narrow=True)]
    frame = 'class="on-wide load-frame" tabindex="0" role="region" aria-label="Crew days by week"'
    return Row("load-0", f'<div {frame}>{drawn[0]}</div><div class="on-narrow">{drawn[1]}</div>', "div")


def renewed_load(request: PersonRequest, row: Row | None) -> SafeString:
    """The crew days by week, where they are others than the page shows."""
    if row is None:
        return mark_safe("")
    shown = dict(carried(request.GET.get("rows", ""), "load"))
    return mark_safe("" if shown.get(row.key) == row.digest else row.in_its_place())


def renewed_rows(request: PersonRequest, rows: Sequence[Row], place: str) -> SafeString:
    """What changed of the rows of a table since the page was made or last renewed."""
    part = place.partition("-")[0]
    return changes(rows, carried(request.GET.get("rows", ""), part), place, table_anew(rows, place))


def renewed_strip(request: PersonRequest, rows: Sequence[Row], whole: SafeString) -> SafeString:
    """What changed of the strip; all of it where other jobs, or another day, make a new frame."""
    shown = carried(request.GET.get("rows", ""), "strip")
    anew = f'<div hx-swap-oob="innerHTML:#strip">{whole}</div>'
    if [key for key, _ in shown] == [row.key for row in rows] and shown[0][1] == rows[0].digest:
        return changes(rows, shown, "strip", anew)
    return mark_safe(anew)


def part(name: str, context: dict[str, Any], request: PersonRequest) -> SafeString:
    return mark_safe(render_to_string(name, context, request))
