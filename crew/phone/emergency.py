"""The emergency card on the phone, held for places without signal."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from crew.phone.offline import held_on_phone
from installs.emergency.facts import card_of
from installs.firm.facts import contacts_of, map_address
from installs.jobs.requests import JobRequest
from installs.people.access import allow


@allow("record entries")
@require_GET
@held_on_phone
def emergency_card(request: JobRequest, number: str) -> HttpResponse:
    job = request.job
    here = job.local(timezone.now())
    card = card_of(job, here.date())
    context = {
        "job": job,
        "card": card,
        "now": here,
        "map": map_address(job, card.place),
        "contacts": contacts_of(job),
    }
    return render(request, "crew/phone/emergency.html", context)
