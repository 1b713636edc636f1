"""The firm's log, for the office: a page in sheets, newest first, and the same as a file."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from datetime import UTC, tzinfo

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from installs.jobs.models import Job
from installs.measures import harmless
from installs.people.access import allow
from installs.people.models import FirmEvent
from installs.people.requests import PersonRequest
from installs.record.forms import LogFilter
from installs.record.models import FirmLogCheck

SHEET = 50
HEAD = ("line", "at, UTC", "who", "address", "kind", "what", "values as [from, to]", "hash")


def _clock() -> tuple[Job | None, tzinfo]:
    """The office's: the firm's own is on no record, so that of its first running job."""
    site = Job.objects.active().first()
    return site, site.tz if site else UTC


@allow("manage people")
@require_GET
def firm_log(request: PersonRequest) -> HttpResponse:
    form = LogFilter(request.GET or None)
    site, zone = _clock()
    sheets = Paginator(form.folded(zone).select_related("by"), SHEET)
    sheet = sheets.get_page(request.GET.get("sheet"))
    asked = request.GET.copy()
    asked.pop("sheet", None)
    context = {
        "form": form,
        "sheet": sheet,
        "numbers": sheets.get_elided_page_range(sheet.number, on_each_side=2, on_ends=1),
        "asked": asked.urlencode(),
        "check": FirmLogCheck.objects.first(),
        "site": site,
    }
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render(request, "installs/record/firm_log.html", context, status=status)


@allow("manage people")
@require_GET
def firm_log_csv(request: PersonRequest) -> HttpResponse:
    """What the page shows, all sheets of it. Read at once: nobody's slow line holds the database."""
    lines = LogFilter(request.GET or None).lines(_clock()[1])
    answer = HttpResponse(_as_csv(lines), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="firm-log.csv"'
    return answer


def _as_csv(lines: Iterable[FirmEvent]) -> str:
    """Cells that a spreadsheet would run are quoted: names were typed by anybody who came to the sign-in."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    for line in lines:
        values = json.dumps(line.data.get("changed", {}), ensure_ascii=False, sort_keys=True)
        cells = (line.who, line.address, line.verb, line.what, values, line.hash)
        writer.writerow([line.sequence, line.at.astimezone(UTC).isoformat(), *map(harmless, cells)])
    return out.getvalue()
