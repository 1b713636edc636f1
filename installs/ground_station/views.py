from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from installs.ground_station.drawing import draw
from installs.ground_station.forms import GroundStationForm
from installs.ground_station.labels import labels
from installs.ground_station.models import GroundStationDesign
from installs.ground_station.review import Review
from installs.jobs.design_views import DECISIONS, DesignPage, design_page
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.sent.once import sends


def _more(draft: GroundStationDesign, reviewed: Review | None) -> dict[str, Any]:
    design = draft.filled()
    return {
        "labels": labels(design),
        "runs": reviewed.results.runs if reviewed else (),
        "holds_speed": design.regulates_speed,
    }


PAGE = DesignPage(
    key="ground_station",
    form=GroundStationForm,
    draw=draw,
    edit_ability="edit ground station",
    more=_more,
)


@allow("see")
@sends(DECISIONS)
@require_http_methods(["GET", "POST"])
def page(request: JobRequest, number: str) -> HttpResponse:
    """The design page of the ground station; buttons as in installs.jobs.design_views."""
    return design_page(request, PAGE)
