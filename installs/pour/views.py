"""The pour page, and what is written down on it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.files.views import answer_with
from installs.jobs.design_views import DECISIONS, DesignPage, design_page
from installs.jobs.getters import locked
from installs.jobs.requests import JobRequest
from installs.people.access import allow, may
from installs.people.again import code_again
from installs.people.requests import PersonRequest
from installs.pour import services
from installs.pour.chart import cure_chart
from installs.pour.drawing import narrow_section_svg, section_svg
from installs.pour.field_log import CODES
from installs.pour.forms import EarlyReleaseForm, LoggerForm, NoticeForm, PourForm, TemperatureForm, TruckForm
from installs.pour.models import PourDesign, StrengthNotice
from installs.pour.pour_day import pour_day
from installs.pour.record_words import PourRecord, load_record
from installs.pour.terms import terms_of
from installs.sent.once import Press, SentOtherwise, once, sends

PAGE = DesignPage(
    key="pour",
    form=PourForm,
    draw=lambda draft, review: {},
)
MOST_DAYS = 42  # of the cure log at once; the paper has them all


@allow("see")
@sends(DECISIONS)
@require_http_methods(["GET", "POST"])
def page(request: JobRequest, number: str) -> HttpResponse:
    """Section by truck, cure log, what is missing. POST ``do`` is look, keep, release or accept."""
    return _page(request)


def _page(request: JobRequest, **bound: Any) -> HttpResponse:
    """The whole page; a form that came back with errors takes the place of the empty one."""
    draft = PourDesign.of(request.job)
    record = load_record(request.job, timezone.now(), terms_of(draft.inputs()))
    part = replace(
        PAGE,
        draw=lambda draft, review: _drawings(record),
        more=lambda draft, review: {
            "record": record,
            "day": pour_day(request.job, record),
            "days": _days(record, request.GET.get("days")),
            **_forms(request, record),
            **bound,
        },
    )
    if bound:
        # the page's own forms post to the page, wherever the form with the errors was sent
        request.path = reverse("pour", args=[request.job.number])
        typed = request.POST.copy()
        typed["do"] = "record"
        request.POST = typed  # type: ignore[assignment]  # a copy, which may be changed
    response = design_page(request, part)
    if bound:
        response.status_code = 422
    return response


def _days(record: PourRecord, asked: str | None) -> Page[Any]:
    """The part of the cure log's days that was asked for, else that in which the cure was reached."""
    days, log = record.running_days, record.cure.log
    parts = Paginator(days, MOST_DAYS)
    reached = log.reached_on if log else None
    place = next((n for n, (day, _) in enumerate(days) if day.day == reached), len(days) - 1)
    return parts.get_page(asked or max(place, 0) // MOST_DAYS + 1)


def _drawings(record: PourRecord) -> dict[str, str]:
    drawings = {}
    if record.section is not None:
        drawings["section"] = section_svg(record.section)
        drawings["section_narrow"] = narrow_section_svg(record.section)
    if record.chart is not None:
        drawings["chart"] = cure_chart(record.chart)
    return drawings


def _forms(request: PersonRequest, record: PourRecord) -> dict[str, Any]:
    """The forms this person may use, empty."""
    job, now = record.job, record.at
    found: dict[str, Any] = {}
    if may(request.user, "record entries", job):
        at_site = {"taken": job.local(now).replace(tzinfo=None)}
        found["truck_form"] = TruckForm(job=job, now=now, prefix="truck", initial=_next_truck(record))
        found["temperature_form"] = TemperatureForm(job=job, now=now, prefix="temperature", initial=at_site)
        found["logger_form"] = LoggerForm(job=job, now=now, prefix="logger")
    if may(request.user, "record strength", job):
        found["notice_form"] = NoticeForm(
            job=job,
            now=now,
            poured_on=record.facts.log.poured_on,
            prefix="notice",
        )
        found["early_form"] = EarlyReleaseForm(by=request.user, prefix="early")
        found["released_on"] = services.released_on(job)
    found["deviations"] = [
        d for d in job.deviations.filter(entry__code__in=CODES).prefetch_related("answers") if d.is_open
    ]
    found["notices"] = (
        job.strength_notices.select_related("recorded_by")
        .prefetch_related("corrections")
        .order_by("-written_on", "-pk")
    )
    found["early_releases"] = job.early_releases.select_related("engineer", "withdraws").order_by("-pk")
    return found


def _next_truck(record: PourRecord) -> dict[str, Any]:
    taken = [t.number for t in record.tickets]
    loads = record.order.loads_yd3 if record.order else ()
    number = max(taken, default=0) + 1
    return {"truck": number, "yards": loads[number - 1] if number <= len(loads) else None}


def _recorded(request: JobRequest, form: Any, name: str, write: Any, said: str) -> HttpResponse:
    """Answer a posted form: written and back to the page, or the page with its errors at the fields."""
    if form.is_valid():
        to = redirect("pour", request.job.number)
        try:
            with once(request, to) as press:
                deviations = write(form, press)
        except SentOtherwise as error:
            form.add_error(None, error)
        except ValidationError as error:
            _put(form, error)
        else:
            for deviation in deviations:
                messages.warning(
                    request, f"Recorded. Deviation {deviation.number} stands: {deviation.title}."
                )
            messages.success(request, said)
            return to
    return _page(request, **{name: form})


def _put(form: forms.BaseForm, error: ValidationError) -> None:
    if not hasattr(error, "error_dict"):
        form.add_error("paper" if "paper" in form.fields else None, error)
        return
    of_entry = {"subject": "sensor", "number": "temp"}
    for name, faults in error.error_dict.items():
        field = of_entry.get(name, name)
        form.add_error(field if field in form.fields else None, faults)


@allow("see")
@require_GET
def order(request: JobRequest, number: str) -> HttpResponse:
    """The order to the plant as plain text, to be copied into a message or printed."""
    draft = PourDesign.of(request.job)
    record = load_record(request.job, timezone.now(), terms_of(draft.inputs()))
    day = pour_day(request.job, record)
    lines = [*day.order, "", day.order_rules] if day.order else [record.order_words]
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")


@allow("record entries")
@require_POST
def truck(request: JobRequest, number: str) -> HttpResponse:
    now = timezone.now()
    log = load_record(request.job, now).facts.log
    form = TruckForm(request.POST, job=request.job, now=now, prefix="truck", log=log)

    def write(form: TruckForm, press: Press) -> list[Any]:
        entries = services.record_truck(request.job, form.cleaned_data, by=request.user, at=now)
        return [d for e in entries for d in e.deviations.all()]

    return _recorded(request, form, "truck_form", write, "Ticket recorded.")


@allow("record entries")
@require_POST
def temperature(request: JobRequest, number: str) -> HttpResponse:
    now = timezone.now()
    form = TemperatureForm(request.POST, job=request.job, now=now, prefix="temperature")

    def write(form: TemperatureForm, press: Press) -> list[Any]:
        entry = services.record_temperature(request.job, form.cleaned_data, by=request.user, at=now)
        return list(entry.deviations.all())

    return _recorded(request, form, "temperature_form", write, "Temperature recorded.")


@allow("record entries")
@require_POST
def logger(request: JobRequest, number: str) -> HttpResponse:
    now = timezone.now()
    form = LoggerForm(request.POST, request.FILES, job=request.job, now=now, prefix="logger")

    def write(form: LoggerForm, press: Press) -> list[Any]:
        entry = services.import_log(
            request.job, form.content, form.log, form.cleaned_data, form.cleaned_data["file"].name,
            by=request.user, at=now,
        )  # fmt: skip
        return list(entry.deviations.all())

    said = " ".join(form.log.notes) if form.is_valid() else ""
    return _recorded(request, form, "logger_form", write, f"Logger file recorded. {said}".strip())


@allow("record strength")
@require_POST
@code_again
def notice(request: JobRequest, number: str) -> HttpResponse:
    now = timezone.now()
    record = load_record(request.job, now)
    form = NoticeForm(
        request.POST,
        request.FILES,
        job=request.job,
        now=now,
        poured_on=record.facts.log.poured_on,
        fc_psi=record.terms.figures.fc_psi if record.terms else None,
        prefix="notice",
    )

    def write(form: NoticeForm, press: Press) -> list[Any]:
        kept = form.save(commit=False)
        services.record_notice(
            request.job, kept, form.cleaned_data["paper"], by=request.user, at=now, confirmed=form.confirmed
        )
        return []

    return _recorded(request, form, "notice_form", write, "Strength notice recorded.")


@allow("record strength")
@require_POST
@code_again
def early_release(request: JobRequest, number: str) -> HttpResponse:
    now = timezone.now()
    form = EarlyReleaseForm(request.POST, request.FILES, by=request.user, prefix="early")

    def write(form: EarlyReleaseForm, press: Press) -> list[Any]:
        given = form.cleaned_data
        press.saw(services.released_on(locked(request.job)))
        services.release_early(
            request.job, given["engineer"], given["reason"], given["paper"], by=request.user, at=now
        )
        return []

    return _recorded(request, form, "early_form", write, "Early release recorded.")


@allow("record strength")
@require_POST
@code_again
def withdraw(request: JobRequest, number: str, pk: int) -> HttpResponse:
    release = get_object_or_404(request.job.early_releases, pk=pk)
    why = request.POST.get("reason", "")
    try:
        with once(request, redirect("pour", number)) as press:
            locked(request.job)
            press.saw(request.job.early_releases.get(pk=pk))
            services.withdraw_release(release, why, by=request.user, at=timezone.now())
    except ValidationError as error:
        said = {"pk": pk, "reason": why, "faults": error.messages}
        return _page(request, withdraw=said)
    return redirect("pour", number)


@allow("see")
@require_GET
def notice_paper(request: JobRequest, number: str, pk: int) -> FileResponse:
    kept = get_object_or_404(
        StrengthNotice.objects.select_related("file").exclude(file=None), job=request.job, pk=pk
    )
    return answer_with(kept.file, f"{number}-strength-notice-{kept.written_on}")


@allow("see")
@require_GET
def early_paper(request: JobRequest, number: str, pk: int) -> FileResponse:
    kept = get_object_or_404(request.job.early_releases.select_related("file").exclude(file=None), pk=pk)
    return answer_with(kept.file, f"{number}-early-release")
