from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.db import models
from django.forms import model_to_dict
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from installs.drafting import to_svg
from installs.equipment import services
from installs.equipment.charts import grid_text
from installs.equipment.crane_drawing import crane_view
from installs.equipment.forms import ChartForm, CraneForm, RecordForm, SlingForm, WrenchForm
from installs.equipment.load_curves import both_svgs
from installs.equipment.models import Crane, Equipment, EquipmentRecord, LoadChart, Sling, Wrench
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.requests import PersonRequest
from installs.sent.once import once
from installs.sent.rows import Posted, post_row
from installs.typed import RowForm


@dataclass(frozen=True)
class Kind:
    key: str
    title: str
    model: type[Equipment]
    form: type[RowForm[Any]]

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
    posted = _posted(request, of, kept)
    if posted and posted.to:
        return posted.to
    bound = posted.form if posted else None
    shown = of.rows().get(pk=kept.pk) if kept else None
    context = {
        "kind": of,
        "thing": shown,
        "standing": shown.standing(timezone.localdate()) if shown else None,
        "form": bound if isinstance(bound, of.form) else of.form(instance=kept),
        "record": bound if isinstance(bound, RecordForm) else RecordForm(prefix="record"),
        "chart": bound if isinstance(bound, ChartForm) else ChartForm(prefix="chart"),
        "charts": _charts(shown),
        "view": to_svg(crane_view(model_to_dict(shown))) if isinstance(shown, Crane) else "",
        "today": timezone.localdate(),
    }
    status = posted.status if posted else 422 if request.method == "POST" else 200
    return render(request, "installs/equipment/thing.html", context, status=status)


def _posted(request: PersonRequest, of: Kind, kept: Equipment | None) -> Posted[Any] | None:
    """What came of the form that was sent; None where none was."""
    now = timezone.now()

    def add_record(form: RecordForm, to: Equipment) -> HttpResponseRedirect:
        services.add_record(to, form.cleaned_data, by=request.user, at=now)
        return redirect(of.key, to.pk)

    def add_chart(form: ChartForm, to: Crane) -> HttpResponseRedirect:
        services.add_chart(to, form, by=request.user, at=now)
        return redirect(of.key, to.pk)

    if "save" in request.POST:
        rows = of.model._default_manager.select_for_update()
        return post_row(
            request,
            of.form,
            row=partial(rows.get, pk=kept.pk) if kept else None,
            save=lambda form: redirect(of.key, save_row(form, of.key, by=request.user, at=now).pk),
        )
    if kept and "add-record" in request.POST:
        return post_row(request, partial(RecordForm, prefix="record"), save=partial(add_record, to=kept))
    if isinstance(kept, Crane) and "add-chart" in request.POST:
        return post_row(request, partial(ChartForm, prefix="chart"), save=partial(add_chart, to=kept))
    return None


def _charts(thing: Equipment | None) -> list[dict[str, object]]:
    if not isinstance(thing, Crane):
        return []
    rows = thing.charts.select_related("added_by")
    return [{"chart": c, "grid": c.grid(), "drawings": _curves(c)} for c in rows]


def _curves(chart: LoadChart) -> dict[str, str]:
    """None of an archived chart: no lift is planned with it."""
    return both_svgs(chart.figures) if chart.ratings and not chart.archived_on else {}


@allow("manage equipment")
@require_POST
def archive(request: PersonRequest, kind: str, pk: int) -> HttpResponse:
    return _archived(request, KINDS[kind].model._default_manager.all(), pk, lambda row: redirect("equipment"))


@allow("manage equipment")
@require_POST
def archive_record(request: PersonRequest, pk: int) -> HttpResponse:
    return _archived(
        request,
        EquipmentRecord.objects.all(),
        pk,
        lambda record: next(
            redirect(kind, key) for kind in KINDS if (key := getattr(record, f"{kind}_id")) is not None
        ),
    )


@allow("manage equipment")
@require_POST
def archive_chart(request: PersonRequest, pk: int) -> HttpResponse:
    return _archived(request, LoadChart.objects.all(), pk, lambda chart: redirect("crane", chart.crane_id))


def _archived(
    request: PersonRequest,
    rows: models.QuerySet[Any],
    pk: int,
    to: Callable[[Any], HttpResponseRedirect],
) -> HttpResponse:
    """Out of use, if the page showed it as it stands."""
    with once(request) as press:
        row = get_object_or_404(rows.select_for_update(), pk=pk)
        press.saw(row)
        services.archive(row, timezone.localdate(), by=request.user, at=timezone.now())
        press.to = to(row)
    return press.to


@allow("manage equipment")
@require_http_methods(["GET"])
def chart_csv(request: PersonRequest, pk: int) -> HttpResponse:
    """The chart in the form in which it can be read back."""
    chart = get_object_or_404(LoadChart, pk=pk)
    answer = HttpResponse(grid_text(chart.grid()), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="load-chart-{chart.pk}.csv"'
    return answer
