from __future__ import annotations

from functools import lru_cache
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.files.views import answer_with
from installs.jobs.design_views import DECISIONS, DesignPage, design_page, page_again
from installs.jobs.getters import locked
from installs.jobs.requests import JobRequest
from installs.jobs.sealed import decided
from installs.lift import cases, services
from installs.lift.checking import LiftReview
from installs.lift.drawing import draw
from installs.lift.forms import LiftForm
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT, LiftDesign, LiftSignature, SignedSheet
from installs.lift.review import load_lifts, standing_signatures
from installs.people.access import allow
from installs.people.again import code_again
from installs.sent.once import once, sends
from sitecalc.inputs import InputError
from sitecalc.lift.setup import SearchResult, search_set_ups
from sitecalc.lift.wind import limit_in_words


def more(lift: LiftDesign, reviewed: LiftReview | None) -> dict[str, Any]:
    """Beside drawings and checks: the table by angle, what crane set-ups would do, and who signed."""
    tabs = [(which, reverse(page.row.page, args=[lift.job.number])) for which, page in PAGES.items()]
    context: dict[str, Any] = {"tabs": tabs, "which": lift.which, **signing(lift)}
    if reviewed is not None:
        context |= {
            "raise_rows": reviewed.raise_rows,
            "bending": reviewed.bending,
            "wind": reviewed.wind,
            "search": _search(reviewed),
            "stop_gust": limit_in_words(reviewed.wind.stop_gust_mph) if reviewed.wind else "",
            "forecast_mean": limit_in_words(reviewed.wind.forecast_mph, 1) if reviewed.wind else "",
            "given": reviewed.figures.given,
            "drift_ft": reviewed.wind.drift_ft if reviewed.wind else None,
        }
    return context


set_ups = lru_cache(maxsize=64)(search_set_ups)  # the same case is searched once


def _search(reviewed: LiftReview) -> SearchResult | None:
    """What would pass: every boom on the chart at its best radius."""
    if reviewed.load is None or reviewed.wind is None:
        return None
    case = cases.search_case(reviewed.figures, reviewed.load, reviewed.wind.drift_ft)
    if isinstance(case, list):
        return None
    try:
        return set_ups(case)
    except InputError:
        return None


def signing(lift: LiftDesign) -> dict[str, Any]:
    """The plan in force, who signed it, and what stands against its use on the day."""
    revision = lift.job.revisions.newest(lift.which)
    if revision is None:
        return {"plan": None}
    rows = LiftSignature.objects.filter(revision__job=lift.job, revision__part=lift.which)
    log = decided([lift.job])[lift.job_id]
    rows = rows.select_related("person", "recorded_by", "revision").prefetch_related("sheets__file")
    signed = standing_signatures(revision, filter(log.signed, rows))
    sheets = {role: log.sheets(given) for role, given in signed.items()}
    asked = {
        role
        for role in services.signers(revision)
        if role not in signed or (signed[role].by_another_hand and not sheets[role])
    }
    lines = [
        {
            "role": role,
            "person": person,
            "signature": signed.get(role),
            "sheets": sheets.get(role, []),
            "shown": services.sign_shown(lift.job, lift.which, role) if role in asked else None,
            "limits": [] if role in signed else services.limits_of_plan(revision),
        }
        for role, person in services.signers(revision).items()
    ]
    state = load_lifts([lift.job]).get((lift.job.pk, lift.which))
    return {
        "plan": revision,
        "signing": lines,
        "plan_void": state.void if state else (),
        "missing": state.against(lift.job.local(timezone.now()).date()) if state else (),
    }


PAGES = {
    which: DesignPage(key=which, form=LiftForm, draw=draw, number=number, more=more)
    for which, number in ((TOWER_LIFT, 2), (TURBINE_LIFT, 4))
}


@allow("see")
@sends(DECISIONS)
@require_http_methods(["GET", "POST"])
def page(request: JobRequest, number: str, which: str) -> HttpResponse:
    """The design page of one lift; its buttons are those of every part, and signing."""
    return design_page(request, PAGES[which])


@allow("sign lift plan")
@require_POST
@code_again
def sign(request: JobRequest, number: str, which: str) -> HttpResponse:
    """Sign the plan whose letter stands on the page, as lift director or operator."""
    if which not in PAGES:
        raise Http404
    letter, role = request.POST.get("letter", ""), request.POST.get("role", "")
    to = redirect(PAGES[which].row.page, number)
    try:
        with once(request, to) as press:
            sheet = request.FILES.get("sheet")
            shown = services.sign_shown(locked(request.job), which, role)
            press.saw(shown, does=f"Sign plan {letter} as {role}")
            services.sign_plan(
                request.job, which, letter, role, by=request.user, at=timezone.now(), sheet=sheet
            )
        kept = " The signed sheet is kept." if sheet else ""
        messages.success(request, f"Plan {letter} signed as {role}.{kept}")
    except ValidationError as error:
        if request.FILES:
            return page_again(request, PAGES[which], sheet_faults={"role": role, "words": error.messages})
        messages.error(request, " ".join(error.messages))
    return to


@allow("see")
@require_GET
def signed_sheet(request: JobRequest, number: str, pk: int) -> FileResponse:
    """The paper that was signed, as it was kept."""
    kept = get_object_or_404(
        SignedSheet.objects.select_related("file", "signature__revision"),
        signature__revision__job=request.job,
        pk=pk,
    )
    revision = kept.signature.revision
    return answer_with(kept.file, f"{number}-{revision.part}-{revision.letter}-signed")
