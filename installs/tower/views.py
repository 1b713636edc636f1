"""The tower's design page, its torque log on the desk, and the paper torque log keyed in."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from installs.checklists.key_in import key_in
from installs.checklists.views import say_taken
from installs.jobs.design_views import DECISIONS, DesignPage, design_page
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import ENTRIES, sends
from installs.tower.drawing import draw
from installs.tower.forms import TowerForm
from installs.tower.joint_drawing import joint_svg, legend_svg
from installs.tower.joint_sheet import JointSheet
from installs.tower.models import TowerDesign
from installs.tower.review import said
from installs.tower.torque_log import load_torque


def _more(draft: TowerDesign, found: Any) -> dict[str, Any]:
    return {"facts": found.results, "said": said(found.results)} if found else {}


PAGE = DesignPage(
    key="tower",
    form=TowerForm,
    draw=draw,
    more=_more,
)


@allow("see")
@sends(DECISIONS)
def page(request: JobRequest, number: str) -> HttpResponse:
    return design_page(request, PAGE)


@allow("see")
@require_GET
def torque(request: JobRequest, number: str) -> HttpResponse:
    """Every joint as the log has it, with what keeps it open."""
    state = load_torque([request.job])[request.job.pk]
    joints = [{"state": j, "svg": joint_svg(j.joint, j), "legend": legend_svg(j.joint)} for j in state.joints]
    return render(
        request, "installs/tower/torque.html", {"job": request.job, "state": state, "joints": joints}
    )


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
def key_in_joint(request: JobRequest, number: str) -> HttpResponse:
    """One joint of the paper torque log as a form: ``?joint=2``; what stands at its head goes on to the next.

    POST records every filled line or, with a fault anywhere, none.
    """
    job = request.job
    state = load_torque([job])[job.pk]
    joint = state.chosen(request.GET.get("joint"))
    sheet = None
    if joint is not None:
        typed = request.POST if request.method == "POST" else None
        head = {name: request.GET[name] for name in ("on", "by", "wrench") if name in request.GET}
        sheet = JointSheet(job, joint, request.user, typed, head)
        if typed is not None and sheet.is_valid():
            taken = key_in(job, "torque log", sheet.written(), by=request.user, at=timezone.now())
            if taken:
                say_taken(request, taken)
                return redirect(_onward(request, sheet))
    status = 422 if request.method == "POST" else 200
    context = {"job": job, "state": state, "sheet": sheet}
    return render(request, "installs/tower/key_in.html", context, status=status)


def _onward(request: PersonRequest, sheet: JointSheet) -> str:
    """Say how the joint stands now; the next joint of the paper, after the last the torque log."""
    state, joint = load_torque([sheet.job])[sheet.job.pk], sheet.state.joint
    now = state.chosen(str(joint.number))
    if now is not None and now.open:
        messages.warning(request, f"Joint {joint.number} is open: {'; '.join(now.open)}.")
    else:
        messages.success(request, f"Joint {joint.number} is complete.")
    after = [j.joint.number for j in state.joints if j.joint.number > joint.number]
    if not after:
        return reverse("tower-torque", args=[sheet.job.number])
    head = {"joint": after[0], **{name: sheet.head.data.get(name, "") for name in ("on", "by", "wrench")}}
    return f"{reverse('torque-key-in', args=[sheet.job.number])}?{urlencode(head)}"
