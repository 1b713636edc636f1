from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from installs.files.views import answer_with
from installs.inspection import services
from installs.inspection.forms import InspectionForm, ReadingForm
from installs.inspection.models import Correction
from installs.inspection.production import both_svgs, production_of
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.sent.once import once
from installs.sent.rows import post_row


@allow("see")
@require_GET
def inspections(request: JobRequest, number: str) -> HttpResponse:
    """Inspections and meter readings of the job, with the forms to add."""
    return _page(request)


def _page(
    request: JobRequest, visit: InspectionForm | None = None, reading: ReadingForm | None = None
) -> HttpResponse:
    job = request.job
    today = job.local(timezone.now()).date()
    readings = list(job.readings.select_related("recorded_by"))
    production = production_of(job, readings)
    context = {
        "job": job,
        "inspections": job.inspections.select_related("recorded_by", "file", "engineer").prefetch_related(
            "corrections__answered_by"
        ),
        "spans": production.spans,
        "production": production,
        "drawings": both_svgs(production),
        "readings": readings,
        "form": visit or InspectionForm(by=request.user, today=today),
        "reading_form": reading or ReadingForm(last=None, today=today),
    }
    status = 422 if visit or reading else 200
    return render(request, "installs/inspection/inspections.html", context, status=status)


@allow("record inspections")
@require_http_methods(["POST"])
def add(request: JobRequest, number: str) -> HttpResponse:
    now = timezone.now()
    today = request.job.local(now).date()

    def record(form: InspectionForm) -> HttpResponseRedirect:
        visit, paper = form.save(commit=False), form.cleaned_data["card"]
        wanted = form.cleaned_data["corrections"]
        try:
            services.record_inspection(request.job, visit, paper, by=request.user, at=now, corrections=wanted)
        except ValidationError as error:
            # a faulty paper names no field
            raise error if hasattr(error, "error_dict") else ValidationError({"card": error}) from error
        return redirect("inspections", number)

    posted = post_row(request, partial(InspectionForm, by=request.user, today=today), save=record)
    return posted.to or _page(request, visit=posted.form)


@allow("record inspections")
@require_http_methods(["POST"])
def answer(request: JobRequest, number: str, pk: int) -> HttpResponse:
    """What was done about one correction."""
    wanted = get_object_or_404(Correction, inspection__job=request.job, pk=pk)
    said = request.POST.get("answer", "")
    try:
        with once(request, redirect("inspections", number)) as press:
            press.saw(services.locked_correction(wanted))
            services.answer_correction(wanted, said, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("inspections", number)


@allow("record permits")
@require_http_methods(["POST"])
def read_meters(request: JobRequest, number: str) -> HttpResponse:
    now = timezone.now()
    last = request.job.readings.order_by("-read_on", "-pk").first()

    def record(form: ReadingForm) -> HttpResponseRedirect:
        services.record_reading(request.job, form.save(commit=False), by=request.user, at=now)
        return redirect("inspections", number)

    today = request.job.local(now).date()
    posted = post_row(request, partial(ReadingForm, last=last, today=today), save=record)
    return posted.to or _page(request, reading=posted.form)


@allow("see")
@require_GET
def card(request: JobRequest, number: str, pk: int) -> FileResponse:
    visit = get_object_or_404(request.job.inspections.select_related("file").exclude(file=None), pk=pk)
    return answer_with(visit.file, f"{number}-{visit.kind}-inspection")
