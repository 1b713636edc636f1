"""The pour card and the cure sheet keyed in: every filled row is recorded or, with a fault anywhere, none."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from installs.checklists.key_in import key_in
from installs.checklists.views import say_taken
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.pour.cure_lines import CureSheet
from installs.pour.truck_lines import TruckSheet
from installs.sent.once import ENTRIES, sends


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
def key_in_trucks(request: JobRequest, number: str) -> HttpResponse:
    typed = request.POST if request.method == "POST" else None
    return _keyed(request, TruckSheet(request.job, request.user, typed), "pour", "key_in_trucks")


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
def key_in_cure(request: JobRequest, number: str) -> HttpResponse:
    typed = request.POST if request.method == "POST" else None
    return _keyed(request, CureSheet(request.job, request.user, typed), "cure", "key_in_cure")


def _keyed(request: JobRequest, sheet: TruckSheet | CureSheet, key: str, template: str) -> HttpResponse:
    """``key`` is the list's, under which its lines are keyed in too: the same reading twice is one entry."""
    job, posted = request.job, request.method == "POST"
    if posted and sheet.is_valid():
        taken = key_in(job, key, sheet.written(), by=request.user, at=timezone.now())
        if taken:
            say_taken(request, taken)
            return redirect("pour", job.number)
    context = {"job": job, "sheet": sheet, "key": key}
    return render(request, f"installs/pour/{template}.html", context, status=422 if posted else 200)
