from __future__ import annotations

from functools import partial

from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from installs.emergency import services
from installs.emergency.facts import card_of
from installs.emergency.forms import EmergencyForm
from installs.emergency.models import EmergencyPlan
from installs.firm.facts import map_address
from installs.jobs.own_row import locked_own
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.sent.rows import post_row


@allow("see")
@require_GET
def emergency(request: JobRequest, number: str) -> HttpResponse:
    """The card on the desk; ``?paper`` as it hangs from the truck's visor."""
    job, now = request.job, timezone.now()
    card = card_of(job, job.local(now).date())
    context = {"job": job, "card": card, "map": map_address(job, card.place), "now": now}
    paper = "paper" in request.GET
    return render(request, f"installs/emergency/{'visor' if paper else 'emergency'}.html", context)


@allow("edit job")
@require_http_methods(["GET", "POST"])
def emergency_edit(request: JobRequest, number: str) -> HttpResponse:
    job = request.job
    kept = EmergencyPlan.objects.filter(job=job).first() or EmergencyPlan(job=job)
    form, status = EmergencyForm(instance=kept), 200

    def save(form: EmergencyForm) -> HttpResponseRedirect:
        services.save_plan(form, job, by=request.user, at=timezone.now())
        return redirect("emergency", number)

    if request.method == "POST":
        row = partial(locked_own, EmergencyPlan, kept.pk) if kept.pk else None
        posted = post_row(request, EmergencyForm, row=row, save=save)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    context = {"job": job, "form": form}
    return render(request, "installs/emergency/emergency_edit.html", context, status=status)
