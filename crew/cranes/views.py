"""Cranes as they are booked: the list, a new booking, confirming and cancelling one."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from crew.cranes import services
from crew.cranes.forms import BookingForm, CancelForm
from crew.morning.office import load_morning
from crew.plan.clashes import short
from crew.plan.models import CraneBooking, CrewDay, State
from crew.plan.order import LIFTS
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import once
from installs.sent.rows import post_row
from installs.sent.seen import Seen, of_lines, of_row
from installs.typed import RowForm


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def bookings(request: PersonRequest) -> HttpResponse:
    """Every booking, the cancelled struck; POST books."""
    form, status = BookingForm(initial=request.GET.dict()), 200
    if request.method == "POST":

        def save(typed: RowForm[CraneBooking]) -> HttpResponseRedirect:
            if not isinstance(typed, BookingForm):
                raise TypeError(type(typed).__name__)
            row = typed.save(commit=False)
            row.cost_cents = typed.cents
            confirmed = typed.cleaned_data["state"] == State.CONFIRMED
            services.book(row, confirmed=confirmed, by=request.user, at=timezone.now())
            return redirect("crane-bookings")

        posted = post_row(request, BookingForm, save=save)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    morning = load_morning(timezone.now(), request.user)
    rows = CraneBooking.objects.select_related("crane", "made_by", "confirmed_by", "cancelled_by")
    lifts = [d for m in morning.jobs for d in m.standing if d.on >= morning.today and d.phase in LIFTS]
    context = {
        "form": form,
        "rows": rows.order_by("-last_on", "-pk"),
        "lifts": sorted(lifts, key=lambda d: (d.on, d.pk)),
        "conflicts": morning.of_no_job,
    }
    return render(request, "crew/cranes/bookings.html", context, status=status)


@allow("plan crew days")
@require_POST
def confirm(request: PersonRequest, pk: int) -> HttpResponse:
    """The rental says yes."""
    booking = get_object_or_404(CraneBooking.objects.select_related("crane"), pk=pk)
    try:
        with once(request, redirect("crane-bookings")) as press:
            row = CraneBooking.objects.select_for_update(of=("self",)).select_related("crane").get(pk=pk)
            press.saw(row)
            services.confirm(row, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, f"{booking}: {' '.join(error.messages)}")
    return redirect("crane-bookings")


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def cancelled(request: PersonRequest, pk: int) -> HttpResponse:
    """The crane does not come: every day that it hits is named before, and after."""
    booking = get_object_or_404(CraneBooking.objects.select_related("crane", "cancelled_by"), pk=pk)
    now = timezone.now()
    days = services.days_on(booking, now.date())
    form = CancelForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            with once(request, redirect("crane-bookings")) as press:
                list(Job.objects.select_for_update().filter(pk__in={d.job_id for d in days}).order_by("pk"))
                row = CraneBooking.objects.select_for_update(of=("self",)).select_related("crane").get(pk=pk)
                days = services.days_on(row, now.date())
                press.saw(_seen(row, days))
                services.cancel(row, form.cleaned_data["why"], days, by=request.user, at=now)
            hit = "; ".join(_words(day) for day in days) or "no lift"
            messages.success(request, f"{booking} is cancelled. It hits: {hit}.")
            return redirect("crane-bookings")
        except ValidationError as error:
            form.add_error("why", error.messages)
    context = {"booking": booking, "days": days, "form": form, "sent_of": _seen(booking, days)}
    return render(
        request, "crew/cranes/cancel.html", context, status=422 if request.method == "POST" else 200
    )


def _seen(booking: CraneBooking, days: list[CrewDay]) -> Seen:
    return {**of_row(booking), **of_lines((d.pk, "It hits", _words(d)) for d in days)}


def _words(day: CrewDay) -> str:
    return f"{day.job.number}, {BY_KEY[day.phase].title.lower()} on {short(day.on)}"
