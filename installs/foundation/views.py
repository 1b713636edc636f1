from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from installs.foundation.drawing import draw
from installs.foundation.forms import FoundationForm
from installs.foundation.models import FoundationDesign
from installs.foundation.review import Review, review, smallest
from installs.foundation.words import rose_words, would_pass
from installs.jobs.design_views import Part, design_page
from installs.people.access import allow


def _more(draft: FoundationDesign, reviewed: Review | None) -> dict[str, Any]:
    if reviewed is None:
        return {}
    return {
        "rose_words": rose_words(reviewed.results, draft.prevailing),
        "would_pass": would_pass(smallest(draft, reviewed), draft.frost_ft),
        "facts": reviewed.results,
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
@require_http_methods(["GET", "POST"])
def page(request: HttpRequest, number: str) -> HttpResponse:
    """The design page of the foundation; buttons as in installs.jobs.design_views."""
    return design_page(request, PART, FoundationDesign.of(request.job))
