"""The tower's design page and its torque log on the desk."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from installs.jobs.design_views import Part, design_page
from installs.people.access import allow
from installs.tower.drawing import draw
from installs.tower.forms import TowerForm
from installs.tower.joint_drawing import joint_svg, legend_svg
from installs.tower.models import TowerDesign
from installs.tower.review import review, said
from installs.tower.torque_log import load_torque


def _more(draft: TowerDesign, found: Any) -> dict[str, Any]:
    return {"facts": found.results, "said": said(found.results)} if found else {}


PART = Part(
    key="tower",
    title="Tower",
    sheet="T-1",
    form=TowerForm,
    review=review,
    draw=draw,
    template="installs/tower/page.html",
    more=_more,
)


@allow("see")
def page(request: HttpRequest, number: str) -> HttpResponse:
    return design_page(request, PART, TowerDesign.of(request.job))


@allow("see")
def torque(request: HttpRequest, number: str) -> HttpResponse:
    """Every joint as the log has it, with what keeps it open."""
    state = load_torque([request.job])[request.job.pk]
    joints = [{"state": j, "svg": joint_svg(j.joint, j), "legend": legend_svg(j.joint)} for j in state.joints]
    return render(
        request, "installs/tower/torque.html", {"job": request.job, "state": state, "joints": joints}
    )
