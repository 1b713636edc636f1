from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.foundation.bars import case_of, cutting_kept, stock_lengths
from installs.foundation.bent import scale_of, shapes_svg
from installs.foundation.bolt_template import cut_file, template_context
from installs.foundation.drawing import draw
from installs.foundation.facts import bar_lines
from installs.foundation.forms import FoundationForm
from installs.foundation.models import FoundationDesign
from installs.foundation.review import Review, margins_of, smallest
from installs.foundation.services import cutting_of
from installs.foundation.standing import standing_of
from installs.foundation.survey import SurveyForm, in_words, judged, record_survey
from installs.foundation.words import rose_words, would_pass
from installs.jobs.design_views import DECISIONS, DesignPage, design_page
from installs.jobs.filling import Offer
from installs.jobs.requests import JobRequest
from installs.people.access import allow, may
from installs.sent.once import once, sends
from sitecalc.foundation.anchor_survey import Survey
from sitecalc.foundation.cutting import STOCK_FT


def _more(draft: FoundationDesign, reviewed: Review | None) -> dict[str, Any]:
    if reviewed is None:
        return {}
    return {
        "rose_words": rose_words(reviewed.results, draft.figures.prevailing),
        "would_pass": would_pass(smallest(draft, reviewed), draft.figures.frost_ft, draft.figures.outline),
        "margins": margins_of(reviewed).rows,
        "facts": reviewed.results,
        "bar_lines": bar_lines(reviewed.results.marks),
    }


def _offers(draft: FoundationDesign, reviewed: Review | None) -> dict[str, Offer]:
    """The pad with the least concrete that passes, as the page says it."""
    pad = smallest(draft, reviewed).found if reviewed is not None else None
    if pad is None:
        return {}
    figures: dict[str, Any] = {"side_ft": pad.side_ft, "thickness_ft": pad.thickness_ft}
    figures["other_side_ft"] = None
    words = f"{pad.side_ft:g} ft by {pad.thickness_ft:g} ft thick"
    if pad.size:
        figures |= {"bars": pad.count, "bar_size": pad.size, "bars_other": None}
        figures |= {"upper_bars": pad.upper_count, "upper_bar_size": pad.upper_size, "upper_bars_other": None}
        words += f", {pad.count} {pad.size} below, {pad.upper_count} {pad.upper_size} above"
    return {"least-concrete": Offer(words, figures, "least concrete that passes")}


PAGE = DesignPage(
    key="foundation",
    form=FoundationForm,
    draw=draw,
    more=_more,
    offers=_offers,
)


@allow("see")
@sends("a cutting plan is asked for by its case, and worked out once")
@require_http_methods(["GET", "POST"])
def bars(request: JobRequest, number: str) -> HttpResponse:
    """Bar list, shapes and cutting plan of the release, or of the draft while nothing is released.

    ``?stock=20&stock=40`` cuts from those lengths only. POST tries a plan again that a worker could not do.
    """
    standing = standing_of(request.job)
    longest = standing.figures.stock_ft if standing.figures else STOCK_FT[-1]
    lengths = stock_lengths(request.GET.getlist("stock"), longest)
    context: dict[str, Any] = {"job": request.job, "standing": standing, "lengths": lengths, "all": STOCK_FT}
    if standing.facts is not None:
        context |= {"facts": standing.facts, "shapes": shapes_svg(standing.facts.marks)}
        context["feet"] = scale_of(standing.facts.marks)
        case, again = case_of(standing.facts, lengths), request.method == "POST"
        if case is not None:
            context["cutting"] = cutting_of(case, by=request.user, at=timezone.now(), again=again)
    if request.method == "POST":
        return redirect(request.get_full_path())
    return render(request, "installs/foundation/bars.html", context)


@allow("see")
@require_GET
def cutting(request: JobRequest, number: str, key: str) -> HttpResponse:
    """The cutting plan alone, for the bars page that waits for it; 404 for one that nobody asked for."""
    found = cutting_kept(key)
    if found is None:
        raise Http404("No such plan.")
    return render(request, "installs/foundation/_cutting_plan.html", {"job": request.job, "cutting": found})


@allow("see")
@require_GET
def template(request: JobRequest, number: str) -> HttpResponse:
    """The setting template of the release, or of the draft while nothing is released."""
    return _template(request, SurveyForm())


@allow("see")
@require_GET
def template_cut(request: JobRequest, number: str) -> HttpResponse:
    """The shop cut file (DXF, inches) of the released template; 404 while nothing is released."""
    standing = standing_of(request.job)
    content = None
    if standing.letter and standing.figures is not None and standing.facts is not None:
        content = cut_file(standing.figures, standing.facts)
    if content is None:
        raise Http404("No released template.")
    response = HttpResponse(content, content_type="image/vnd.dxf")
    name = f"{number}-template-{standing.letter}.dxf"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@allow("record entries")
@require_POST
def survey(request: JobRequest, number: str) -> HttpResponse:
    """``do=look`` judges the measured bolts, ``do=record`` keeps them as one entry besides."""
    form, standing = SurveyForm(request.POST), standing_of(request.job)
    if not form.is_valid():
        return _template(request, form, status=422)
    measured = form.cleaned_data["measured"]
    try:
        found = judged(standing, measured)
        if request.POST.get("do") == "record":
            to = redirect("foundation-template", number)
            with once(request, to):
                record_survey(request.job, standing, found, measured, by=request.user, at=timezone.now())
            messages.success(request, f"Survey recorded. {in_words(found)}")
            return to
    except ValidationError as error:
        form.add_error("measured" if hasattr(error, "error_dict") else None, error.messages)
        return _template(request, form, status=422)
    return _template(request, form, found)


def _template(
    request: JobRequest, form: SurveyForm, found: Survey | None = None, status: int = 200
) -> HttpResponse:
    standing = standing_of(request.job)
    context: dict[str, Any] = {"job": request.job, "standing": standing, "form": form}
    context["missing"] = "The template waits for the tower's legs and bolts."
    context["may_record"] = may(request.user, "record entries", request.job)
    if standing.figures is not None and standing.facts is not None:
        context |= template_context(standing.figures, standing.facts)
    if found is not None:
        context |= {"survey": found, "survey_words": in_words(found)}
    return render(request, "installs/foundation/template.html", context, status=status)


@allow("see")
@sends(DECISIONS)
@require_http_methods(["GET", "POST"])
def page(request: JobRequest, number: str) -> HttpResponse:
    """The design page of the foundation; buttons as in installs.jobs.design_views."""
    return design_page(request, PAGE)
