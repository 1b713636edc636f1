"""Who is away, who goes instead, and on which days a site is closed."""

from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from crew.days.absent import days_of, missing_of, put_instead, seen_of
from crew.plan.forms import AbsenceForm, BackForm, ClosedForm
from crew.plan.models import Absence, ClosedDays, CrewDay
from crew.plan.services import close_site, open_site
from installs.jobs.getters import locked
from installs.people.access import allow
from installs.people.firm_rows import as_kept, save_row, write_row
from installs.people.models import User
from installs.people.requests import PersonRequest
from installs.sent.once import once
from installs.sent.rows import post_row
from installs.typed import RowForm

LONGEST_CHOICE = 20


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def absence(request: PersonRequest) -> HttpResponse:
    """Somebody is away; if crew days name them, the next page asks who goes instead."""
    form, status = AbsenceForm(), 200
    if request.method == "POST":

        def save(typed: RowForm[Absence]) -> HttpResponseRedirect:
            row = save_row(typed, "absence", by=request.user, at=timezone.now())
            hit = days_of(row.person, timezone.now().date(), all_ahead=False)
            return redirect("crew-instead", row.person_id) if hit else redirect("crew-days")

        posted = post_row(request, AbsenceForm, save=save)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    return render(request, "crew/days/absence.html", {"form": form}, status=status)


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def back(request: PersonRequest, pk: int) -> HttpResponse:
    """An absence ends early: what is left of it stands as one of its own; or it was none."""
    row = get_object_or_404(Absence.objects.select_related("person"), pk=pk)
    form = BackForm(request.POST or None, initial={"back_on": timezone.now().date()})
    if request.method == "POST" and form.is_valid():
        on, now = form.cleaned_data["back_on"], timezone.now()
        try:
            with once(request, redirect("crew-days")) as press:
                kept = Absence.objects.select_for_update(of=("self",)).get(pk=pk)
                press.saw(kept)
                if kept.withdrawn_on is not None:
                    raise ValidationError("This absence was ended already.")
                if on > kept.last_on:
                    raise ValidationError("It ends before that anyway.")
                before = as_kept(kept)
                kept.withdrawn_on = now.date()
                kept.save(update_fields=["withdrawn_on"])
                write_row("absence", kept, before, by=request.user, at=now)
                if on > kept.first_on:
                    left = Absence.objects.create(
                        person=kept.person,
                        first_on=kept.first_on,
                        last_on=on - timedelta(days=1),
                        why=kept.why,
                    )
                    write_row("absence", left, None, by=request.user, at=now)
            return redirect("crew-days")
        except ValidationError as error:
            form.add_error("back_on", error.messages)
    status = 422 if request.method == "POST" else 200
    return render(request, "crew/days/back.html", {"form": form, "absence": row}, status=status)


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def instead(request: PersonRequest, pk: int) -> HttpResponse:
    """The days of somebody who is away or gone, each with who is free and certified; all in one submit.

    ``?all=1`` shows every day ahead of somebody who is not away.
    """
    person = get_object_or_404(User, pk=pk)
    now = timezone.now()
    days = days_of(person, now.date(), all_ahead="all" in request.GET)
    chosen = {n: str(text)[:LONGEST_CHOICE] for n, text in request.POST.items() if n.startswith("day-")}
    why, status = [], 200
    if request.method == "POST":
        try:
            with once(request, redirect("crew-days")) as press:
                for key in sorted({day.job_id for day in days}):
                    locked(next(day.job for day in days if day.job_id == key))
                days = days_of(person, now.date(), all_ahead="all" in request.GET)
                press.saw(seen_of(days))
                changed = put_instead(person, missing_of(person, days, chosen), by=request.user, at=now)
                if not changed:
                    raise ValidationError("Nobody was chosen for any day.")
            messages.success(request, f"{changed} days changed, tentative until the next plan is issued.")
            return redirect("crew-days")
        except ValidationError as error:
            why, status = error.messages, 422
    context = {
        "person": person,
        "rows": missing_of(person, days, chosen),
        "sent_of": seen_of(days),
        "why": why,
        "all_ahead": "all" in request.GET,
        "ahead": CrewDay.objects.standing().filter(people=person, on__gte=now.date()).count(),
    }
    return render(request, "crew/days/instead.html", context, status=status)


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def closed(request: PersonRequest) -> HttpResponse:
    """Days on which nobody works at a site."""
    form = ClosedForm(request.POST or None, initial=request.GET.dict())
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            with once(request, redirect("crew-days")):
                close_site(
                    given["job"],
                    given["first_on"],
                    given["last_on"],
                    given["why"],
                    by=request.user,
                    at=timezone.now(),
                )
            return redirect("crew-days")
        except ValidationError as error:
            form.add_error(None, error.messages)
    status = 422 if request.method == "POST" else 200
    return render(request, "crew/days/closed.html", {"form": form}, status=status)


@allow("plan crew days")
@require_POST
def opened(request: PersonRequest, pk: int) -> HttpResponse:
    """Closed days are worked after all."""
    row = get_object_or_404(ClosedDays.objects.select_related("job"), pk=pk)
    with once(request, redirect(f"{reverse('crew-days')}#closed")) as press:
        locked(row.job)
        press.saw(ClosedDays.objects.get(pk=pk))
        open_site(row, by=request.user, at=timezone.now())
    return redirect(f"{reverse('crew-days')}#closed")
