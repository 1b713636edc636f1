from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from installs.jobs.design_views import Part, design_page
from installs.people.access import allow
from installs.site.drawing import draw
from installs.site.forms import SiteForm
from installs.site.models import SiteDesign
from installs.site.review import review

PART = Part(
    key="site",
    title="Site",
    sheet="S-1",
    form=SiteForm,
    review=review,
    draw=draw,
    template="installs/site/page.html",
)


@allow("see")
@require_http_methods(["GET", "POST"])
def page(request: HttpRequest, number: str) -> HttpResponse:
    """The site of a job; buttons as in installs.jobs.design_views."""
    return design_page(request, PART, SiteDesign.of(request.job))
