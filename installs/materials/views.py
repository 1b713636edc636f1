from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from installs.jobs.requests import JobRequest
from installs.materials.gathering import as_csv, by_phase, part_lists
from installs.people.access import allow


@allow("see")
@require_GET
def materials(request: JobRequest, number: str) -> HttpResponse:
    """Material lists by phase from the released designs."""
    lists = part_lists(request.job)
    context = {"job": request.job, "lists": lists, "phases": by_phase(lists)}
    return render(request, "installs/materials/materials.html", context)


@allow("see")
@require_GET
def as_file(request: JobRequest, number: str) -> HttpResponse:
    response = HttpResponse(
        as_csv(request.job, part_lists(request.job)), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="{number}-materials.csv"'
    return response
