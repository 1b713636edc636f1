from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from installs.files.services import store_paper
from installs.jobs import services
from installs.jobs.forms import AnswerForm, JobForm, MemberForm
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.requests import PersonRequest


@allow("see")
@require_http_methods(["GET"])
def jobs(request: PersonRequest) -> HttpResponse:
    """Every job this person may see; archived ones at the end."""
    shown = Job.objects.visible_to(request.user).select_related("engineer").order_by("archived_on", "number")
    return render(request, "installs/jobs/jobs.html", {"jobs": shown})


@allow("edit job")
@require_http_methods(["GET", "POST"])
def open_job(request: PersonRequest) -> HttpResponse:
    form = JobForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        job = services.open_job(form.cleaned_data, by=request.user, at=timezone.now())
        return redirect("job-book", job.number)
    return render(
        request, "installs/jobs/job_form.html", {"form": form}, status=422 if form.is_bound else 200
    )


@allow("edit job")
@require_http_methods(["GET", "POST"])
def edit(request: JobRequest, number: str) -> HttpResponse:
    """The job's own facts and its members."""
    job = request.job
    form = JobForm(request.POST if "save" in request.POST else None, instance=Job.objects.get(pk=job.pk))
    member = MemberForm(request.POST if "add" in request.POST else None)
    now = timezone.now()
    if "save" in request.POST and form.is_valid():
        services.change_job(job, form.cleaned_data, by=request.user, at=now)
        return redirect("job-book", form.cleaned_data["number"])
    if "add" in request.POST and member.is_valid():
        services.add_member(job, member.cleaned_data["person"], by=request.user, at=now)
        return redirect("job-edit", number)
    context = {"form": form, "member": member, "job": job, "members": job.members.select_related("person")}
    return render(
        request, "installs/jobs/job_form.html", context, status=422 if request.method == "POST" else 200
    )


@allow("edit job")
@require_POST
def archive(request: JobRequest, number: str) -> HttpResponse:
    services.archive_job(request.job, by=request.user, at=timezone.now())
    return redirect("jobs")


@allow("answer deviation")
@require_http_methods(["GET", "POST"])
def answer(request: JobRequest, number: str, deviation: int) -> HttpResponse:
    """Answer an open deviation: accept, repair or remove, with the reason. Posted from the job book too."""
    found = get_object_or_404(request.job.deviations.select_related("opened_by"), number=deviation)
    form = AnswerForm(
        request.POST or None,
        request.FILES or None,
        by=request.user,
        engineer_decides=found.engineer_decides,
    )
    if request.method == "POST" and form.is_valid():
        try:
            now, given = timezone.now(), dict(form.cleaned_data)
            if given.get("letter"):
                given["letter"] = store_paper(given["letter"], by=request.user, at=now)
            services.answer_deviation(found, **given, by=request.user, at=now)
            return redirect("job-book", number)
        except ValidationError as error:
            form.add_error(None, error)
    status = 422 if request.method == "POST" else 200
    context = {"job": request.job, "deviation": found, "form": form}
    return render(request, "installs/jobs/answer.html", context, status=status)
