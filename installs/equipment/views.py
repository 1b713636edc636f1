from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.db import models
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from installs.equipment import services
from installs.equipment.charts import grid_text
from installs.equipment.forms import ChartForm, CraneForm, RecordForm, SlingForm, WrenchForm
from installs.equipment.models import Crane, Equipment, EquipmentRecord, LoadChart, Sling, Wrench
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.requests import PersonRequest


@dataclass(frozen=True)
class Kind:
    key: str
    title: str
    model: type[Equipment]
    form: type[forms.ModelForm[Any]]

    def rows(self) -> models.QuerySet[Any]:
        """With their records: each kind has its own."""
        rows: models.QuerySet[Any] = self.model._default_manager.all()
        return rows.prefetch_related("records")


KINDS = {
    kind.key: kind
    for kind in (
        Kind("crane", "Cranes", Crane, CraneForm),
        Kind("wrench", "Torque wrenches", Wrench, WrenchForm),
        Kind("sling", "Slings and shackles", Sling, SlingForm),
    )
}


@allow("manage equipment")
@require_http_methods(["GET"])
def equipment(request: PersonRequest) -> HttpResponse:
    """Everything we lift and torque with, and what expires, in words."""
    today = timezone.localdate()
    groups: list[dict[str, Any]] = []
    for kind in KINDS.values():
        things = [
            {"thing": thing, "standing": thing.standing(today)}
            for thing in kind.rows().filter(archived_on=None)
        ]
        groups.append({"kind": kind, "things": things})
    open_ones = [t for g in groups for t in g["things"] if not t["standing"].valid]
    soon = [t for g in groups for t in g["things"] if t["standing"].soon]
    context = {"groups": groups, "today": today, "not_valid": len(open_ones), "soon": len(soon)}
    return render(request, "installs/equipment/equipment.html", context)


@allow("manage equipment")
@require_http_methods(["GET", "POST"])
def thing(request: PersonRequest, kind: str, pk: int | None = None) -> HttpResponse:
    """Add or change one, add a record to it, and to a crane a load chart."""
    of = KINDS[kind]
    kept = get_object_or_404(of.model, pk=pk) if pk else None
    now = timezone.now()
    form = of.form(request.POST if "save" in request.POST else None, instance=kept)
    record = RecordForm(request.POST if "add-record" in request.POST else None, prefix="record")
    adding = "add-chart" in request.POST
    chart = ChartForm(request.POST if adding else None, request.FILES if adding else None, prefix="chart")
    if "save" in request.POST and form.is_valid():
        return redirect(kind, save_row(form, kind, by=request.user, at=now).pk)
    if kept and "add-record" in request.POST and record.is_valid():
        services.add_record(kept, record.cleaned_data, by=request.user, at=now)
        return redirect(kind, kept.pk)
    if isinstance(kept, Crane) and adding and chart.is_valid():
        services.add_chart(kept, chart, by=request.user, at=now)
        return redirect(kind, kept.pk)
    # a form with errors has written its values into the instance: name it as it is kept
    shown = of.rows().get(pk=kept.pk) if kept else None
    context = {
        "kind": of,
        "thing": shown,
        "standing": shown.standing(timezone.localdate()) if shown else None,
        "form": form,
        "record": record,
        "chart": chart,
        "charts": _charts(shown),
        "today": timezone.localdate(),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "installs/equipment/thing.html", context, status=status)


def _charts(thing: Equipment | None) -> list[dict[str, object]]:
    if not isinstance(thing, Crane):
        return []
    return [{"chart": c, "grid": c.grid()} for c in thing.charts.select_related("added_by")]


def _archive(request: PersonRequest, row: Equipment | LoadChart | EquipmentRecord) -> None:
    services.archive(row, timezone.localdate(), by=request.user, at=timezone.now())


@allow("manage equipment")
@require_POST
def archive(request: PersonRequest, kind: str, pk: int) -> HttpResponse:
    _archive(request, get_object_or_404(KINDS[kind].model, pk=pk))
    return redirect("equipment")


@allow("manage equipment")
@require_POST
def archive_record(request: PersonRequest, pk: int) -> HttpResponse:
    record = get_object_or_404(EquipmentRecord, pk=pk)
    _archive(request, record)
    kind = next(k for k in KINDS if getattr(record, f"{k}_id"))
    return redirect(kind, getattr(record, f"{kind}_id"))


@allow("manage equipment")
@require_POST
def archive_chart(request: PersonRequest, pk: int) -> HttpResponse:
    chart = get_object_or_404(LoadChart, pk=pk)
    _archive(request, chart)
    return redirect("crane", chart.crane_id)


@allow("manage equipment")
@require_http_methods(["GET"])
def chart_csv(request: PersonRequest, pk: int) -> HttpResponse:
    """The chart in the form in which it can be read back."""
    chart = get_object_or_404(LoadChart, pk=pk)
    answer = HttpResponse(grid_text(chart.grid()), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="load-chart-{chart.pk}.csv"'
    return answer
