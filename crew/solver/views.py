"""Tentative plans by the machine: asked for, followed, set beside the plan that stands, put down, issued."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from crew.plan.issuing import left_tentative
from crew.plan.models import CrewDay, Plan
from crew.solver import page, services
from crew.solver.forms import PromiseForm, RepairForm, SeasonForm
from crew.solver.gathering import Terms, promised_dates, to_plan
from crew.solver.models import TentativePlan
from installs.jobs.models import Job
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import SentOtherwise, once
from installs.sent.seen import Seen, of_lines
from installs.work.services import cancel

SHOWN = 20  # of the plans that were made, the newest
AHEAD = timedelta(days=180)  # proposed as the end of a season


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def plans(request: PersonRequest) -> HttpResponse:
    """The plans that were made; POST asks for one of a season."""
    today = timezone.localdate()
    if request.method == "GET":
        return _plans(request)
    form = SeasonForm(request.POST, today=today)
    if form.is_valid():
        try:
            with once(request) as press:
                asked = list(form.cleaned_data["jobs"])
                plan = services.ask(asked, form.terms, "", by=request.user, at=timezone.now())
                press.to = redirect("tentative-plan", pk=plan.pk)
            return press.to
        except SentOtherwise as error:
            form.add_error(None, error)
        except ValidationError as error:
            form.add_error("jobs", error.messages)
    return _plans(request, form=form)


def _plans(request: PersonRequest, **bound: Any) -> HttpResponse:
    now, today = timezone.now(), timezone.localdate()
    jobs = list(Job.objects.active())
    can = to_plan(jobs, now)
    promised = promised_dates(jobs)
    context = {
        "form": SeasonForm(
            today=today, initial={"jobs": [job.pk for job in can], "until": today + AHEAD, "first": None}
        ),
        "repair": RepairForm(today=today, prefix="repair"),
        "promise": PromiseForm(prefix="promise"),
        "promised": [(job, promised[job.pk]) for job in jobs if job.pk in promised],
        "plans": TentativePlan.objects.select_related("work", "made_by", "put_down_by", "plan")[:SHOWN],
        **bound,
    }
    return render(request, "crew/solver/plans.html", context, status=422 if bound else 200)


@allow("plan crew days")
@require_POST
def repair(request: PersonRequest) -> HttpResponse:
    """Something has changed: a plan that moves as few of the days as it can."""
    form = RepairForm(request.POST, today=timezone.localdate(), prefix="repair")
    if form.is_valid():
        ahead = CrewDay.objects.standing().filter(on__gte=timezone.localdate(), job__archived_on=None)
        jobs = list(Job.objects.active().filter(pk__in=ahead.values("job")))
        last = ahead.order_by("-on").values_list("on", flat=True).first() or timezone.localdate()
        terms = Terms(until=last, repair=True, slipped=form.slipped)
        try:
            with once(request) as press:
                why = form.cleaned_data["why"]
                plan = services.ask(jobs, terms, why, by=request.user, at=timezone.now())
                press.to = redirect("tentative-plan", pk=plan.pk)
            return press.to
        except ValidationError as error:
            form.add_error(None, error.messages)
    return _plans(request, repair=form)


@allow("plan crew days")
@require_POST
def promise(request: PersonRequest) -> HttpResponse:
    form = PromiseForm(request.POST, prefix="promise")
    if form.is_valid():
        try:
            with once(request, redirect("tentative-plans")):
                job, on = form.cleaned_data["job"], form.cleaned_data["on"]
                services.promise(job, on, by=request.user, at=timezone.now())
            return redirect("tentative-plans")
        except ValidationError as error:
            form.add_error(None, error.messages)
    return _plans(request, promise=form)


def _plan(pk: int) -> TentativePlan:
    related = ("work", "made_by", "put_down_by", "plan")
    return get_object_or_404(TentativePlan.objects.select_related(*related), pk=pk)


def _context(plan: TentativePlan, beside: str = "") -> dict[str, Any]:
    """``beside`` is the key of another plan of the same jobs."""
    now = timezone.now()
    others = page.others(plan)
    other = next((each for each in others if str(each.pk) == beside), None)
    checked = plan.put_down_at is None and not plan.is_waiting
    return {
        "tentative": plan,
        "aims": page.aims(plan, other),
        "others": others,
        "other": other,
        "promises": page.promises(plan),
        "not_held": page.not_held(plan),
        "by_job": page.rows(plan),
        "strips": page.strips(plan, timezone.localdate(), other),
        "issued": Plan.objects.order_by("-issued_at", "-pk").first(),
        "changed": services.changed_as_shown(plan, now) if checked and plan.days else [],
        "percent": round(100 * plan.work.progress_share) if plan.work else 0,
        "seen": _seen(plan),
    }


def _seen(plan: TentativePlan) -> Seen:
    return of_lines(plan.shown())


@allow("plan crew days")
@require_GET
def plan(request: PersonRequest, pk: int) -> HttpResponse:
    """``?beside=`` sets another plan of the same jobs beside it."""
    context = _context(_plan(pk), request.GET.get("beside", ""))
    return render(request, "crew/solver/plan.html", context)


@allow("plan crew days")
@never_cache
@require_GET
def state(request: PersonRequest, pk: int) -> HttpResponse:
    """How far it is, asked again every 2 s while it is made; a whole page without htmx."""
    if not request.htmx:
        return redirect("tentative-plan", pk=pk)
    return render(request, "crew/solver/_plan.html", _context(_plan(pk)))


@allow("plan crew days")
@require_POST
def stop(request: PersonRequest, pk: int) -> HttpResponse:
    made = _plan(pk)
    with once(request, redirect("tentative-plan", pk=pk)):
        if made.work is not None:
            cancel(made.work, by=request.user, at=timezone.now())
    return redirect("tentative-plan", pk=pk)


@allow("plan crew days")
@require_POST
def again(request: PersonRequest, pk: int) -> HttpResponse:
    """Of what stands now; where nothing has changed, the one that was stopped goes on."""
    made = _plan(pk)
    try:
        with once(request) as press:
            terms = services.terms_of(made)
            jobs = list(made.jobs.filter(archived_on=None))
            fresh = services.ask(jobs, terms, made.why, by=request.user, at=timezone.now())
            press.to = redirect("tentative-plan", pk=fresh.pk)
        return press.to
    except ValidationError as error:
        for words in error.messages:
            messages.error(request, words)
    return redirect("tentative-plan", pk=pk)


@allow("plan crew days")
@require_POST
def put_down(request: PersonRequest, pk: int) -> HttpResponse:
    """Put its days down, or put them down and in force under the next letter."""
    made, now = _plan(pk), timezone.now()
    issuing = request.POST.get("do") == "issue"
    try:
        with once(request, redirect("crew-days")) as press:
            locked = TentativePlan.objects.select_for_update(of=("self",)).get(pk=pk)
            press.saw(_seen(locked))
            if issuing:
                what = made.why or f"tentative plan {made.pk}"
                written, letter, why = services.issue(made, what, by=request.user, at=now)
            else:
                written, letter, why = services.put_down(made, by=request.user, at=now), None, []
    except ValidationError as error:
        context = _context(_plan(pk)) | {"faults": error.messages}
        return render(request, "crew/solver/plan.html", context, status=422)
    messages.success(request, f"{written} days are written anew, tentative; every other stands as it was.")
    if letter is not None:
        messages.success(request, f"Plan {letter.letter} is in force.")
        why = [f"Not issued: {words}" for words in left_tentative(now)]
    for words in why:
        messages.warning(request, words)
    return redirect("crew-days")
