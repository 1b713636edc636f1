"""The application to the utility: its page, its forms, and the utilities of the firm."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.files.views import answer_with
from installs.jobs.own_row import locked_own
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.requests import PersonRequest
from installs.sent.once import once
from installs.sent.rows import post_row
from installs.utility import services
from installs.utility.facts import applied
from installs.utility.forms import ApplicationForm, LineForm, ProfileForm
from installs.utility.models import ApplicationLine, UtilityApplication, UtilityProfile
from installs.utility.review import screens
from installs.utility.standing import utility_of
from sitecalc.checks import worst_first


@allow("see")
@require_GET
def utility(request: JobRequest, number: str) -> HttpResponse:
    """What is applied for, what is missing, how far it is and what is due."""
    return _page(request)


def _page(request: JobRequest, line: LineForm | None = None, status: int = 200) -> HttpResponse:
    job, now = request.job, timezone.now()
    standing = utility_of(job, now)
    found = applied(job)
    context = {
        "job": job,
        "applied": found,
        "standing": standing,
        "checks": worst_first(screens(found, standing.profile)),
        "form": line or LineForm(standing=standing),
    }
    return render(request, "installs/utility/utility.html", context, status=status)


@allow("record permits")
@require_http_methods(["GET", "POST"])
def edit(request: JobRequest, number: str) -> HttpResponse:
    """The application's own figures, and what the utility says of its line."""
    job = request.job
    kept = UtilityApplication.objects.filter(job=job).first() or UtilityApplication(job=job)
    form, status = ApplicationForm(instance=kept), 200

    def save(form: ApplicationForm) -> HttpResponseRedirect:
        letter = form.cleaned_data["letter"]
        try:
            services.save_application(form, job, letter, by=request.user, at=timezone.now())
        except ValidationError as error:
            # a faulty letter names no field
            raise ValidationError({"letter": error.messages}) if letter else error from error
        return redirect("utility", number)

    if request.method == "POST":
        row = partial(locked_own, UtilityApplication, kept.pk) if kept.pk else None
        posted = post_row(request, ApplicationForm, row=row, save=save)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    context = {"job": job, "form": form, "applied": applied(job)}
    return render(request, "installs/utility/edit.html", context, status=status)


@allow("record permits")
@require_POST
def add(request: JobRequest, number: str) -> HttpResponse:
    """One more state of the application."""
    job, now = request.job, timezone.now()
    standing = utility_of(job, now)

    def record(form: LineForm) -> HttpResponseRedirect:
        services.record_line(
            job, form.save(commit=False), form.cleaned_data["paper"], by=request.user, at=now
        )
        return redirect("utility", number)

    posted = post_row(request, partial(LineForm, standing=standing), save=record)
    return posted.to or _page(request, posted.form, posted.status)


@allow("record permits")
@require_POST
def strike(request: JobRequest, number: str, pk: int) -> HttpResponse:
    wanted = get_object_or_404(ApplicationLine, job=request.job, pk=pk)
    reason = request.POST.get("reason", "")
    try:
        with once(request, redirect("utility", number)) as press:
            row = services.locked_line(request.job, wanted.pk)
            press.saw(row)
            services.strike_line(row, reason, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("utility", number)


@allow("see")
@require_GET
def line_file(request: JobRequest, number: str, pk: int) -> FileResponse:
    rows = ApplicationLine.objects.filter(job=request.job).exclude(file=None).select_related("file")
    kept = get_object_or_404(rows, pk=pk)
    return answer_with(kept.file, f"{number}-utility-{kept.state}")


@allow("see")
@require_GET
def letter(request: JobRequest, number: str) -> FileResponse:
    rows = UtilityApplication.objects.exclude(agent_letter=None).select_related("agent_letter")
    kept = get_object_or_404(rows, job=request.job)
    return answer_with(kept.agent_letter, f"{number}-agent-letter")


@allow("manage people")
@require_GET
def utilities(request: PersonRequest) -> HttpResponse:
    """The utilities of the firm, each with its periods and days off."""
    return render(request, "installs/utility/utilities.html", {"profiles": UtilityProfile.objects.all()})


@allow("manage people")
@require_http_methods(["GET", "POST"])
def profile(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    kept = get_object_or_404(UtilityProfile, pk=pk) if pk else None
    initial = {"name": request.GET.get("name", "")[:120]} if kept is None else None
    form, status = ProfileForm(instance=kept, initial=initial), 200

    def save(form: ProfileForm) -> HttpResponseRedirect:
        save_row(form, "utility", by=request.user, at=timezone.now())
        return redirect("utilities")

    if request.method == "POST":
        row = (lambda: UtilityProfile.objects.select_for_update().get(pk=kept.pk)) if kept else None
        posted = post_row(request, ProfileForm, row=row, save=save)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    return render(request, "installs/utility/profile.html", {"form": form, "profile": kept}, status=status)
