from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.files.services import store_paper
from installs.files.views import answer_with
from installs.jobs import services
from installs.jobs.confirming import EngineersWord, confirm_release, confirm_shown, license_of
from installs.jobs.deviations import stopped_by
from installs.jobs.forms import AnswerForm, ConfirmForm, JobForm, MemberForm
from installs.jobs.getters import locked
from installs.jobs.models import Confirmation, Job, Member
from installs.jobs.parts import TABLE
from installs.jobs.requests import JobRequest
from installs.jobs.standing import footing
from installs.people.access import allow
from installs.people.again import code_again
from installs.people.models import Role, User
from installs.people.requests import PersonRequest
from installs.sent.once import OldPage, once
from installs.sent.rows import post_row
from installs.sent.seen import Read, Seen, of_lines
from sitecalc.wording import clock_words, day_words


@allow("edit job")
@require_http_methods(["GET", "POST"])
def open_job(request: PersonRequest) -> HttpResponse:
    form, status = JobForm(), 200
    if request.method == "POST":
        posted = post_row(
            request,
            JobForm,
            save=lambda form: redirect(
                "job-book", services.open_job(form.cleaned_data, by=request.user, at=timezone.now()).number
            ),
        )
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    return render(request, "installs/jobs/job_form.html", {"form": form}, status=status)


@allow("edit job")
@require_http_methods(["GET", "POST"])
def edit(request: JobRequest, number: str) -> HttpResponse:
    """The job's own facts, who works on it, and who did."""
    job = request.job
    form, status = JobForm(instance=job), 422 if request.method == "POST" else 200
    member = MemberForm(request.POST if "add" in request.POST else None)
    now = timezone.now()

    def change(form: JobForm) -> HttpResponseRedirect:
        services.change_job(job, form.cleaned_data, by=request.user, at=now)
        return redirect("job-book", form.cleaned_data["number"])

    if "save" in request.POST:
        posted = post_row(request, JobForm, row=partial(locked, job), save=change)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    if "add" in request.POST and member.is_valid():
        try:
            with once(request, redirect("job-edit", number)):
                services.add_member(job, member.cleaned_data["person"], by=request.user, at=now)
            return redirect("job-edit", number)
        except ValidationError as error:
            member.add_error("person", error)
    faults: list[str] = []
    if "end" in request.POST or "again" in request.POST:
        try:
            with once(request, redirect("job-edit", number)) as press:
                change_of, person, does = _ended_or_again(request)
                press.saw(members_shown(locked(job)), does=does)
                change_of(job, person, by=request.user, at=now)
            return redirect("job-edit", number)
        except ValidationError as error:
            faults = error.messages
    every = job.members.select_related("person").order_by("person__full_name")
    context = {
        "form": form,
        "member": member,
        "job": job,
        "members": [m for m in every if m.until is None],
        "ended": [m for m in every if m.until is not None],
        "members_shown": members_shown(job),
        "faults": faults,
    }
    return render(request, "installs/jobs/job_form.html", context, status=status)


def members_shown(job: Job) -> Seen:
    """Who works on the job, and who did, as its page says it."""
    rows = job.members.select_related("person").order_by("pk")
    return of_lines((m.pk, m.person.full_name, _worked(job, m)) for m in rows)


def _worked(job: Job, member: Member) -> str:
    at, word = (member.since, "since") if member.until is None else (member.until, "until")
    here = job.local(at)
    return f"{word} {day_words(here, year=True)}, {clock_words(here)}"


def _ended_or_again(request: JobRequest) -> tuple[Callable[..., Any], User, str]:
    """Somebody's work on the job ends, or begins anew, by the key of the row that was pressed: how, whose, in
    words."""
    ends = "end" in request.POST
    key = request.POST["end" if ends else "again"]
    found = request.job.members.select_related("person").filter(pk=key if key.isdecimal() else 0).first()
    if found is None:
        raise ValidationError("There is no such person on this job.")
    name = found.person.full_name
    if ends:
        return services.end_member, found.person, f"End {name}'s work on the job"
    return services.add_member, found.person, f"{name} works on the job again"


@allow("edit job")
@require_POST
def archive(request: JobRequest, number: str) -> HttpResponse:
    """To the archived, or back from there."""
    back, now = "back" in request.POST, timezone.now()
    with once(request, redirect("job-book", number) if back else redirect("jobs")) as press:
        does = "Take the job back" if back else "Archive the job"
        press.saw(locked(request.job, archived_too=True), does=does)
        if back:
            services.take_job_back(request.job, by=request.user, at=now)
            return redirect("job-book", number)
        services.archive_job(request.job, by=request.user, at=now)
    return redirect("jobs")


@allow("answer deviation")
@require_http_methods(["GET", "POST"])
@code_again
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
            with once(request, redirect("job-book", number)) as press:
                locked(request.job, archived_too=True)
                press.saw(request.job.deviations.get(pk=found.pk))
                if given.get("letter"):
                    given["letter"] = store_paper(given["letter"], by=request.user, at=now)
                services.answer_deviation(found, **given, by=request.user, at=now)
            return redirect("job-book", number)
        except ValidationError as error:
            form.add_error(None, error)
    status = 422 if request.method == "POST" else 200
    context = {"job": request.job, "deviation": found, "form": form, "stops": stopped_by(found.kind)}
    return render(request, "installs/jobs/answer.html", context, status=status)


@allow("confirm release")
@require_http_methods(["GET", "POST"])
@code_again
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
    shown, read = confirm_shown(revision, standing), Read.of(request.POST)
    if request.method == "POST" and not read.is_of(shown):
        raise OldPage(read, shown)
    if request.method == "POST" and form.is_valid():
        given = dict(form.cleaned_data)
        word = EngineersWord(
            engineer=given.get("engineer"),
            license=given["license"],
            written_on=given.get("written_on"),
            paper=given.get("letter"),
        )
        try:
            with once(request, redirect(TABLE[part].page, number)):
                confirm_release(
                    revision,
                    given["reason"],
                    by=request.user,
                    at=now,
                    read=read,
                    word=word,
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
        "shown": shown,
        "form": form,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "installs/jobs/stands.html", context, status=status)


def _engineers(request: JobRequest, now: Any) -> dict[str, str]:
    """The license on record of the engineer who signs in, or of the job's."""
    engineer = request.user if request.user.role == Role.ENGINEER else request.job.engineer
    return {"license": license_of(engineer, request.job.local(now).date()) if engineer else ""}


@allow("see")
@require_GET
def confirmation_letter(request: JobRequest, number: str, pk: int) -> FileResponse:
    kept = get_object_or_404(
        Confirmation.objects.select_related("letter", "revision").exclude(letter=None),
        revision__job=request.job,
        pk=pk,
    )
    return answer_with(kept.letter, f"{number}-{kept.revision.part}-{kept.revision.letter}-stands")
