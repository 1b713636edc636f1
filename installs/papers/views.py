"""The papers of a job, ordering one, following it, and the file."""

from __future__ import annotations

import io
from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from installs.files.keeping import read_bytes
from installs.files.models import StoredFile
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.jobs.sealing import canonical
from installs.jobs.standing import footing
from installs.papers.catalog import PACKETS, is_offered
from installs.papers.forms import SealForm
from installs.papers.gathering import missing_for, released_parts
from installs.papers.models import Paper, SealedSheets
from installs.papers.services import attach_seal, order_paper, print_again
from installs.papers.standing import PaperState, papers_of
from installs.people.access import allow
from installs.people.again import code_again
from installs.people.requests import PersonRequest
from installs.sent.once import once
from installs.sent.seen import Read
from installs.work.services import cancel
from sitecalc.inputs import InputError


@allow("see")
@require_GET
def papers(request: JobRequest, number: str) -> HttpResponse:
    return _page(request)


def _page(
    request: JobRequest,
    *,
    faults: list[str] | None = None,
    seal_form: SealForm | None = None,
    seal_of: int = 0,
) -> HttpResponse:
    job: Job = request.job
    released, standing = released_parts(job), footing(job)
    kinds = [
        {"kind": packet.kind, "title": packet.title, "missing": missing_for(packet, released, standing)}
        for packet in PACKETS.values()
        if is_offered(packet)
    ]
    states = papers_of([job])[job.pk]
    asked = next((s.paper for s in states if s.can_be_sealed), None)
    bad = bool(faults) or bool(seal_form and seal_form.errors)
    context = {
        "job": job,
        "kinds": kinds,
        "papers": states,
        "is_printing": any(state.is_waiting for state in states),
        "sealed": job.sealed_sheets.select_related("engineer", "file", "paper"),
        "seal_form": seal_form or SealForm(paper=asked, initial={"engineer": job.engineer}),
        "seal_of": seal_of,
        "faults": faults or [],
        "today": job.local(timezone.now()),
    }
    return render(request, "installs/papers/papers.html", context, status=422 if bad else 200)


@allow("see")
@require_GET
def all_papers(request: PersonRequest) -> HttpResponse:
    """Every job's papers that this person may see, the newest letter of each."""
    jobs = list(Job.objects.active().visible_to(request.user))
    states = papers_of(jobs)
    rows = [
        {"job": job, "papers": [state for state in states[job.pk] if not state.replaced_by]} for job in jobs
    ]
    return render(request, "installs/papers/all.html", {"rows": rows})


@allow("order papers")
@require_POST
def order(request: JobRequest, number: str) -> HttpResponse:
    to = redirect("papers", number=number)
    try:
        paper = order_paper(
            request.job,
            request.POST.get("kind", ""),
            by=request.user,
            at=timezone.now(),
            saving=partial(once, request, to),
        )
    except ValidationError as error:
        return _page(request, faults=error.messages)
    except InputError as error:
        return _page(request, faults=[f"{error.field.replace('_', ' ')}: {error.message}"])
    messages.success(request, f"{paper.get_kind_display()} {paper.letter} is being printed.")
    return to


def _paper(request: JobRequest, pk: int) -> Paper:
    return get_object_or_404(
        Paper.objects.select_related("job", "work", "file", "ordered_by", "seal__engineer"),
        pk=pk,
        job=request.job,
    )


def _state(request: JobRequest, pk: int) -> PaperState:
    for state in papers_of([request.job])[request.job.pk]:
        if state.paper.pk == pk:
            return state
    raise Http404("No such paper.")


@allow("see")
@never_cache
@require_GET
def state(request: JobRequest, number: str, pk: int) -> HttpResponse:
    """One paper's line, asked again every 2 s while it is printed; a whole page without htmx."""
    if not request.htmx:
        return redirect("papers", number=number)
    context = {"job": request.job, "state": _state(request, pk)}
    return render(request, "installs/papers/_line.html", context)


@allow("see")
@require_GET
def file(request: JobRequest, number: str, pk: int) -> FileResponse:
    paper = _paper(request, pk)
    if paper.file is None:
        raise Http404("This paper is not printed yet.")
    return pdf_response(paper.file, paper.file_name)


@allow("see")
@require_GET
def inputs(request: JobRequest, number: str, pk: int) -> HttpResponse:
    """The frozen inputs, spelled so that the file's own sha256 is the one on the paper's line."""
    paper = _paper(request, pk)
    name = paper.file_name.replace(".pdf", " inputs.json")
    return HttpResponse(
        canonical(paper.inputs),
        content_type="application/json",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@allow("see")
@require_GET
def sealed_file(request: JobRequest, number: str, pk: int) -> FileResponse:
    """The sealed PDF as it was received, its own signature untouched."""
    seal = get_object_or_404(SealedSheets.objects.select_related("file", "paper"), pk=pk, job=request.job)
    return pdf_response(seal.file, f"{number} {seal.paper.kind} {seal.paper.letter} sealed.pdf")


def pdf_response(stored: StoredFile, name: str) -> FileResponse:
    """NotWhole unless it is as it was printed or received."""
    return FileResponse(io.BytesIO(read_bytes(stored)), filename=name, content_type="application/pdf")


@allow("order papers")
@require_POST
def again(request: JobRequest, number: str, pk: int) -> HttpResponse:
    try:
        with once(request, redirect("papers", number=number)):
            print_again(_paper(request, pk), by=request.user, at=timezone.now())
    except ValidationError as error:
        return _page(request, faults=error.messages)
    return redirect("papers", number=number)


@allow("order papers")
@require_POST
def stop(request: JobRequest, number: str, pk: int) -> HttpResponse:
    paper = _paper(request, pk)
    with once(request, redirect("papers", number=number)):
        if paper.work is not None:
            cancel(paper.work, by=request.user, at=timezone.now())
    return redirect("papers", number=number)


@allow("order papers")
@require_POST
@code_again
def seal(request: JobRequest, number: str, pk: int) -> HttpResponse:
    """Attach the sealed PDF; what was wrong is said at its field."""
    paper = _paper(request, pk)
    form = SealForm(request.POST, request.FILES, paper=paper)
    if form.is_valid():
        given = form.cleaned_data
        try:
            bound = attach_seal(
                paper,
                given["file"],
                given["engineer"],
                given["sealed_on"],
                sheets=given["sheets"],
                by=request.user,
                at=timezone.now(),
                read=Read.of(request.POST),
                saving=partial(once, request, redirect("papers", number=number)),
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(
                request,
                f"Sealed sheets attached. {bound.get_kind_display()} {bound.letter} is being printed.",
            )
            return redirect("papers", number=number)
    return _page(request, seal_form=form, seal_of=pk)
