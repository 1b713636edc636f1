"""Crew days over all jobs: the strip, the clashes in words, adding, moving, striking, issuing a plan."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from crew.days.planned import kept_plan
from crew.morning.office import PLANNED
from crew.morning.sheets import asked, renewed_rows, renewed_strip
from crew.plan import services
from crew.plan.forms import AbsenceForm, CrewDayForm, CrewForm, MoveForm
from crew.plan.models import Absence, Crew, CrewDay, Plan
from installs.checklists.live import answer, opened, renewed, unchanged
from installs.jobs.kept import version
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.middleware import asked_by_page
from installs.people.requests import PersonRequest
from installs.sent.once import SentOtherwise, once
from installs.sent.rows import post_row
from installs.typed import RowForm


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def crew_days(request: PersonRequest) -> HttpResponse:
    """The page; POST adds a crew day. A closed gate answers with its sentence and date."""
    form = CrewDayForm(request.POST or None, initial=request.GET.dict())
    if request.method == "POST" and form.is_valid():
        fields = form.cleaned_data
        try:
            with once(request, redirect("crew-days")):
                services.add_day(
                    fields["job"],
                    fields["phase"],
                    fields["on"],
                    fields["crew"],
                    by=request.user,
                    at=timezone.now(),
                    people=fields["people"],
                    kind=fields["kind"],
                    note=fields["note"],
                )
            return redirect("crew-days")
        except SentOtherwise as error:
            form.add_error(None, error)
        except ValidationError as error:
            form.add_error("on", error.messages)
    return _page(request, form, status=422 if request.method == "POST" else 200)


def _page(request: PersonRequest, form: CrewDayForm, status: int, **issue: Any) -> HttpResponse:
    """``what`` and ``why`` of a plan that was not issued come back at its line."""
    now = timezone.now()
    stands = version(now, *PLANNED)
    planned = kept_plan(request, now, stands)
    context = {
        **issue,
        "issues": services.issued_by_next(),
        "form": form if form.is_bound or set(request.GET) - {"sheet"} else None,
        "live": opened(reverse("crew-days-live"), stands, sheet=planned.sheets.number),
        "planned": planned,
        "crews": Crew.objects.filter(archived_on=None).select_related("foreman").prefetch_related("people"),
        "absences": Absence.objects.filter(withdrawn_on=None, last_on__gte=now.date()).select_related(
            "person"
        ),
    }
    return render(request, "crew/days/crew_days.html", context, status=status)


@asked_by_page
@allow("plan crew days")
@require_GET
def crew_days_live(request: PersonRequest) -> HttpResponse:
    """What changed of strip and days, and the clashes, never the forms; 204 while the record stands as the
    page shows it."""
    now = timezone.now()
    stands = version(now, *PLANNED)
    live = renewed(request, stands, sheet=asked(request))
    if live is None:
        return unchanged()
    planned = kept_plan(request, now, stands)
    context = {
        "issues": services.issued_by_next(),
        "live": live,
        "planned": planned,
        "rows": renewed_rows(request, planned.rows, "day-rows"),
        "strip": renewed_strip(request, planned.strip_rows, planned.strip),
    }
    return answer(request, "crew/days/crew_days_live.html", context)


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def crew_day(request: PersonRequest, pk: int) -> HttpResponse:
    """Move a crew day to another date, or strike it; either says why."""
    day = get_object_or_404(
        CrewDay.objects.select_related("job", "crew", "plan").prefetch_related("people"), pk=pk
    )
    form = MoveForm(request.POST or None, initial={"on": day.on})
    if request.method == "POST" and form.is_valid():
        on, why = form.cleaned_data["on"], form.cleaned_data["why"]
        try:
            with once(request, redirect("crew-days")) as press:
                press.saw(services.locked_day(day))
                if request.POST.get("do") == "strike":
                    services.strike_day(day, why, by=request.user, at=timezone.now())
                elif on is None:
                    raise ValidationError({"on": "To which date?"})
                else:
                    services.move_day(day, on, why, by=request.user, at=timezone.now())
            return redirect("crew-days")
        except ValidationError as error:
            form.add_error("on", error.messages)
    status = 422 if request.method == "POST" else 200
    return render(request, "crew/days/crew_day.html", {"day": day, "form": form}, status=status)


@allow("plan crew days")
@require_POST
def issue(request: PersonRequest) -> HttpResponse:
    """Put the tentative days in force; a refusal comes back with the line as it was typed."""
    what = request.POST.get("what", "")
    try:
        with once(request, redirect("crew-days")) as press:
            plan = services.issue_plan(what, by=request.user, at=timezone.now(), read=press.saw)
    except ValidationError as error:
        return _page(request, CrewDayForm(), status=422, what=what, why=error.messages)
    messages.success(request, f"Plan {plan.letter} is in force.")
    return redirect("crew-days")


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def crew(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    kept = get_object_or_404(Crew, pk=pk) if pk else None
    form, status = CrewForm(instance=kept), 200
    if request.method == "POST":
        rows = Crew.objects.select_for_update()
        posted = post_row(
            request,
            CrewForm,
            row=partial(rows.get, pk=pk) if pk else None,
            save=partial(_kept, request, "crew"),
        )
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    return render(request, "crew/days/crew.html", {"form": form, "crew": kept}, status=status)


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def absence(request: PersonRequest) -> HttpResponse:
    form, status = AbsenceForm(), 200
    if request.method == "POST":
        posted = post_row(request, AbsenceForm, save=partial(_kept, request, "absence"))
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    return render(request, "crew/days/absence.html", {"form": form}, status=status)


def _kept(request: PersonRequest, kind: str, form: RowForm[Any]) -> HttpResponseRedirect:
    save_row(form, kind, by=request.user, at=timezone.now())
    return redirect("crew-days")


@allow("plan crew days")
@require_GET
def plans(request: PersonRequest) -> HttpResponse:
    """Every issued plan with its crew days, struck ones struck."""
    shown = (
        Plan.objects.select_related("issued_by")
        .prefetch_related("days__job", "days__crew")
        .order_by("-issued_at")
    )
    return render(request, "crew/days/plans.html", {"plans": shown})
