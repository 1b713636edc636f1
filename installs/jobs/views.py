from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.files.services import store_paper
from installs.files.views import answer_with
from installs.jobs import services
from installs.jobs.confirming import EngineersWord, confirm_release, license_of
from installs.jobs.forms import AnswerForm, ConfirmForm, JobForm, MemberForm
from installs.jobs.models import Confirmation, DesignRevision, Job
from installs.jobs.parts import TABLE
from installs.jobs.requests import JobRequest
from installs.jobs.sealing import digest
from installs.jobs.standing import Footing, footing
from installs.people.access import allow
from installs.people.models import Role
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
        try:
            job = services.open_job(form.cleaned_data, by=request.user, at=timezone.now())
            return redirect("job-book", job.number)
        except ValidationError as error:
            form.add_error(None, error)
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
        try:
            services.change_job(job, form.cleaned_data, by=request.user, at=now)
            return redirect("job-book", form.cleaned_data["number"])
        except ValidationError as error:
            form.add_error(None, error)
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


@allow("confirm release")
@require_http_methods(["GET", "POST"])
def stands(request: JobRequest, number: str, part: str) -> HttpResponse:
    """A named engineer's word that the void release in force stands; by the office with the letter."""
    job, now = request.job, timezone.now()
    standing = footing(job)
    revision = standing.in_force.get(part)
    if revision is None or part not in TABLE:
        raise Http404("Nothing of this part is released.")
    form = ConfirmForm(
        request.POST or None,
        request.FILES or None,
        by=request.user,
        job=job,
        initial=_engineers(request, now),
    )
    changed = _changed_since(request.POST, revision, standing) if request.method == "POST" else []
    if request.method == "POST" and form.is_valid() and not changed:
        given = dict(form.cleaned_data)
        word = EngineersWord(
            engineer=given.get("engineer"),
            license=given["license"],
            written_on=given.get("written_on"),
            paper=given.get("letter"),
        )
        read, inputs = request.POST["read"], request.POST["inputs"]
        try:
            confirm_release(
                revision, given["reason"], by=request.user, at=now, read=read, inputs_sha256=inputs, word=word
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{TABLE[part].title} {revision.letter}: confirmed.")
            return redirect(TABLE[part].page, number)
    context = {
        "job": job,
        "part": TABLE[part],
        "revision": revision,
        "void": standing.void(revision),
        "stands_on": standing.in_words(revision),
        "confirmed": standing.confirmation(revision),
        "earlier": revision.confirmations.select_related("engineer", "letter"),
        "inputs": digest(revision.inputs),
        "changed": changed,
        "form": form,
    }
    status = (409 if changed else 422) if request.method == "POST" else 200
    return render(request, "installs/jobs/stands.html", context, status=status)


def _engineers(request: JobRequest, now: Any) -> dict[str, str]:
    """The license on record of the engineer who signs in, or of the job's."""
    engineer = request.user if request.user.role == Role.ENGINEER else request.job.engineer
    return {"license": license_of(engineer, request.job.local(now).date()) if engineer else ""}


def _changed_since(posted: Any, revision: DesignRevision, standing: Footing) -> list[tuple[str, str, str]]:
    """(what, as it was read, as it is now) of everything that the page showed otherwise."""
    void = standing.void(revision)
    pairs = (
        ("Release", posted.get("release", ""), revision.letter),
        ("Why it is void", posted.get("read", ""), void),
        ("Hash of its figures", posted.get("inputs", ""), digest(revision.inputs)),
    )
    nothing = {"Why it is void": "It stands; there is nothing to confirm."}
    return [
        (what, read or "not said", now or nothing[what])
        for what, read, now in pairs
        if read != now or not now
    ]


@allow("see")
@require_GET
def confirmation_letter(request: JobRequest, number: str, pk: int) -> FileResponse:
    kept = get_object_or_404(
        Confirmation.objects.select_related("letter", "revision").exclude(letter=None),
        revision__job=request.job,
        pk=pk,
    )
    return answer_with(kept.letter, f"{number}-{kept.revision.part}-{kept.revision.letter}-stands")
