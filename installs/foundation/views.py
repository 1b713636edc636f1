from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from installs.foundation.bars import plan_of, stock_lengths
from installs.foundation.bent import scale_of, shapes_svg
from installs.foundation.drawing import draw
from installs.foundation.facts import bar_lines
from installs.foundation.forms import FoundationForm
from installs.foundation.models import FoundationDesign
from installs.foundation.review import Review, review, smallest
from installs.foundation.standing import standing_of
from installs.foundation.words import rose_words, would_pass
from installs.jobs.design_views import Part, design_page
from installs.people.access import allow
from sitecalc.foundation.cutting import STOCK_FT
from sitecalc.inputs import InputError


def _more(draft: FoundationDesign, reviewed: Review | None) -> dict[str, Any]:
    if reviewed is None:
        return {}
    return {
        "rose_words": rose_words(reviewed.results, draft.prevailing),
        "would_pass": would_pass(smallest(draft, reviewed), draft.frost_ft),
        "facts": reviewed.results,
        "bar_lines": bar_lines(reviewed.results.marks),
    }


PART = Part(
    key="foundation",
    title="Foundation",
    sheet="F-1",
    form=FoundationForm,
    review=review,
    draw=draw,
    template="installs/foundation/page.html",
    more=_more,
)


@allow("see")
@require_GET
def bars(request: HttpRequest, number: str) -> HttpResponse:
    """Bar list, shapes and cutting plan of the release, or of the draft while nothing is released.

    ``?stock=20&stock=40`` cuts from those lengths only.
    """
    standing = standing_of(request.job)
    longest = standing.draft.stock_ft if standing.draft else STOCK_FT[-1]
    lengths = stock_lengths(request.GET.getlist("stock"), longest)
    context: dict[str, Any] = {"job": request.job, "standing": standing, "lengths": lengths, "all": STOCK_FT}
    if standing.facts is not None:
        context |= {"facts": standing.facts, "shapes": shapes_svg(standing.facts.marks)}
        context["feet"] = scale_of(standing.facts.marks)
        try:
            context["plan"] = plan_of(standing.facts, lengths)
        except InputError as error:
            context["fault"] = f"The bars {error.message}" if error.field == "pieces" else error.message
    return render(request, "installs/foundation/bars.html", context)


@allow("see")
@require_http_methods(["GET", "POST"])
def page(request: HttpRequest, number: str) -> HttpResponse:
    """The design page of the foundation; buttons as in installs.jobs.design_views."""
    return design_page(request, PART, FoundationDesign.of(request.job))
