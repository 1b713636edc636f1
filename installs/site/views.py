from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from installs.jobs.design_views import DECISIONS, DesignPage, design_page
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.sent.once import sends
from installs.site.drawing import draw
from installs.site.forms import SiteForm

PAGE = DesignPage(
    key="site",
    form=SiteForm,
    draw=draw,
)


@allow("see")
@sends(DECISIONS)
@require_http_methods(["GET", "POST"])
def page(request: JobRequest, number: str) -> HttpResponse:
    """The site of a job; buttons as in installs.jobs.design_views."""
    return design_page(request, PAGE)
