"""The lift card on the phone: set-up, limits and people of the released plan, for places without signal."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from crew.phone.offline import held_on_phone
from installs.gates.facts import facts_of
from installs.gates.rules import gate_ahead
from installs.jobs.requests import JobRequest
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT
from installs.lift.sheets import card_sheet
from installs.people.access import allow

LIFTS = {"tower": TOWER_LIFT, "turbine": TURBINE_LIFT}


@allow("see")
@require_GET
@held_on_phone
def lift_card(request: JobRequest, number: str, which: str) -> HttpResponse:
    """Of the newest release of the lift; while nothing is released, the gate's sentence alone."""
    if which not in LIFTS:
        raise Http404("There is no such lift.")
    job = request.job
    now = timezone.now()
    here = job.local(now)
    released = job.revisions.newest(LIFTS[which])
    context: dict[str, Any] = {
        "job": job,
        "which": which,
        "now": here,
        "gate": gate_ahead(LIFTS[which], facts_of(job, now), here.date()),
        "letter": released.letter if released else "",
    }
    if released is not None:
        context |= {"card": card_sheet(job, released)}
    return render(request, "crew/phone/lift_card.html", context)
