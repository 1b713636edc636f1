from __future__ import annotations

from functools import partial

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from installs.jobs.design_views import DECISIONS, DesignPage, design_page
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.requests import PersonRequest
from installs.sent.once import once, sends
from installs.sent.rows import post_row
from installs.turbine import services
from installs.turbine.curves import curve_text
from installs.turbine.drawing import draw, drawings
from installs.turbine.forms import ModelForm, TurbineForm
from installs.turbine.machine import machine_of
from installs.turbine.models import TurbineModel

PAGE = DesignPage(
    key="turbine",
    form=TurbineForm,
    draw=draw,
)


@allow("see")
@sends(DECISIONS)
@require_http_methods(["GET", "POST"])
def page(request: JobRequest, number: str) -> HttpResponse:
    """The turbine of a job; buttons as in installs.jobs.design_views."""
    return design_page(request, PAGE)


@allow("manage equipment")
@require_http_methods(["GET"])
def models(request: PersonRequest) -> HttpResponse:
    """The catalogue: every machine we set, archived ones last."""
    return render(request, "installs/turbine/models.html", {"models": TurbineModel.objects.all()})


@allow("manage equipment")
@require_http_methods(["GET", "POST"])
def model(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    """Add a machine or change its figures; drafts follow, releases keep what they were released with."""
    kept = get_object_or_404(TurbineModel, pk=pk) if pk else None
    form, status = ModelForm(instance=kept), 200
    if request.method == "POST":
        rows = TurbineModel.objects.select_for_update()
        posted = post_row(
            request,
            ModelForm,
            row=partial(rows.get, pk=pk) if pk else None,
            save=lambda form: redirect(
                "turbine-model", save_row(form, "turbine model", by=request.user, at=timezone.now()).pk
            ),
        )
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    shown = TurbineModel.objects.get(pk=pk) if pk else None
    machine = machine_of(shown.figures()) if shown else None
    context = {
        "model": shown,
        "form": form,
        "drawings": drawings(machine, None, 0, balloons=False) if machine else {},
        "jobs": shown.designs.select_related("job").order_by("job__number") if shown else (),
    }
    return render(request, "installs/turbine/model.html", context, status=status)


@allow("manage equipment")
@require_POST
def archive(request: PersonRequest, pk: int) -> HttpResponse:
    with once(request, redirect("turbine-models")) as press:
        row = get_object_or_404(TurbineModel.objects.select_for_update(), pk=pk)
        press.saw(row)
        services.archive(row, timezone.localdate(), by=request.user, at=timezone.now())
    return redirect("turbine-models")


@allow("manage equipment")
@require_POST
def take_back(request: PersonRequest, pk: int) -> HttpResponse:
    with once(request, redirect("turbine-model", pk)) as press:
        row = get_object_or_404(TurbineModel.objects.select_for_update(), pk=pk)
        press.saw(row)
        services.take_back(row, by=request.user, at=timezone.now())
    return redirect("turbine-model", pk)


@allow("manage equipment")
@require_http_methods(["GET"])
def curve_csv(request: PersonRequest, pk: int) -> HttpResponse:
    """The power curve in the form in which it can be read back."""
    kept = get_object_or_404(TurbineModel, pk=pk)
    answer = HttpResponse(curve_text(kept.curve), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="power-curve-{kept.pk}.csv"'
    return answer
