"""Crew days over all jobs: the strip, the clashes in words, adding, moving, striking, issuing a plan."""

from __future__ import annotations

from functools import partial
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from crew.days.forms import DayFilter
from crew.days.planned import kept_plan
from crew.morning.office import PLANNED, load_morning
from crew.morning.sheets import asked, renewed_load, renewed_rows, renewed_strip
from crew.plan import issuing, services
from crew.plan.forms import CrewDayForm, CrewForm
from crew.plan.models import Crew, CrewDay, Plan
from installs.checklists.live import answer, opened, renewed, unchanged
from installs.jobs.kept import version
from installs.jobs.phases import BY_KEY
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.middleware import asked_by_page
from installs.people.requests import PersonRequest
from installs.sent.once import SentOtherwise, once
from installs.sent.rows import post_row
from installs.typed import RowForm
from sitecalc.wording import day_words


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def crew_days(request: PersonRequest) -> HttpResponse:
    """The page; POST adds a crew day, tentative, and says what does not fit with it."""
    form = CrewDayForm(request.POST or None, initial=request.GET.dict())
    if request.method == "POST" and form.is_valid():
        fields = form.cleaned_data
        try:
            with once(request) as press:
                day = services.add_day(
                    fields["job"],
                    fields["phase"],
                    fields["on"],
                    fields["crew"],
                    by=request.user,
                    at=timezone.now(),
                    people=fields["people"],
                    kind=fields["kind"],
                    note=fields["note"],
                    crane=fields["crane"],
                )
                press.to = _next_one(day)
            _say_conflicts(request, day)
            return press.to
        except SentOtherwise as error:
            form.add_error(None, error)
        except ValidationError as error:
            field = "phase" if "phase" in getattr(error, "error_dict", {}) else "on"
            form.add_error(field, error.messages)
    return _page(request, form, status=422 if request.method == "POST" else 200)


def _next_one(day: CrewDay) -> HttpResponseRedirect:
    """The form again, for the next day of the same job and crew."""
    again = {"job": day.job_id, "crew": day.crew_id, "phase": day.phase}
    return redirect(f"{reverse('crew-days')}?{urlencode(again)}#add")


def _say_conflicts(request: PersonRequest, day: CrewDay) -> None:
    """What was put down can be out of order, early or twice: it is said at once, and stands in the list."""
    morning = load_morning(timezone.now(), request.user)
    mine = [c for m in morning.jobs if m.job.pk == day.job_id for c in m.clashes if day.pk in c.days]
    title, on = BY_KEY[day.phase].title, day_words(day.on, weekday=True)
    messages.success(request, f"{title} on {on} is scheduled, tentative.")
    for clash in mine:
        messages.warning(request, f"Conflict: {clash.sentence}.")
    facts = {fact.pk: fact for m in morning.jobs for fact in m.ahead}
    fact = facts.get(day.pk)
    if fact is not None and fact.not_allowed and not fact.order:
        messages.warning(request, f"Not allowed yet: {fact.not_allowed}")


def _page(request: PersonRequest, form: CrewDayForm, status: int, **issue: Any) -> HttpResponse:
    """``what`` and ``why`` of a plan that was not issued come back at its line."""
    now = timezone.now()
    stands = version(now, *PLANNED)
    wanted = _wanted(request)
    planned = kept_plan(request, now, stands, wanted)
    context = {
        **issue,
        "issues": planned.issues,
        "form": form if form.is_bound or set(request.GET) & set(form.fields) else None,
        "wanted": wanted,
        "live": opened(reverse("crew-days-live"), stands, sheet=planned.sheets.number, more=wanted.asked),
        "planned": planned,
    }
    return render(request, "crew/days/crew_days.html", context, status=status)


def _wanted(request: PersonRequest) -> DayFilter:
    wanted = DayFilter(request.GET)
    wanted.is_valid()
    return wanted


@asked_by_page
@allow("plan crew days")
@require_GET
def crew_days_live(request: PersonRequest) -> HttpResponse:
    """What changed of strip and days, and the clashes, never the forms; 204 while the record stands as the
    page shows it."""
    now = timezone.now()
    stands = version(now, *PLANNED)
    wanted = _wanted(request)
    live = renewed(request, stands, sheet=asked(request), more=wanted.asked)
    if live is None:
        return unchanged()
    planned = kept_plan(request, now, stands, wanted)
    context = {
        "issues": planned.issues,
        "live": live,
        "planned": planned,
        "rows": renewed_rows(request, planned.rows, "day-rows"),
        "strip": renewed_strip(request, planned.strip_rows, planned.strip),
        "load": renewed_load(request, planned.load),
    }
    return answer(request, "crew/days/crew_days_live.html", context)


@allow("plan crew days")
@require_POST
def issue(request: PersonRequest) -> HttpResponse:
    """Put the tentative days in force; a refusal comes back with the line as it was typed."""
    what = request.POST.get("what", "")
    try:
        with once(request, redirect("crew-days")) as press:
            plan = issuing.issue_plan(what, by=request.user, at=timezone.now(), read=press.saw)
    except ValidationError as error:
        return _page(request, CrewDayForm(), status=422, what=what, why=error.messages)
    messages.success(request, f"Plan {plan.letter} is in force.")
    for words in issuing.left_tentative(timezone.now()):
        messages.warning(request, f"Not issued: {words}")
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
