"""The firm's kits and catalogue, and what of a job goes into them and comes out of them."""

from __future__ import annotations

from typing import cast

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.jobs.catalogue import SHELVES, CatalogueRow
from installs.jobs.figures import figures_of
from installs.jobs.parts import TABLE
from installs.jobs.requests import JobRequest
from installs.kits import services
from installs.kits.forms import KitForm, QuestionsForm, ShelfForm, TakeForm
from installs.kits.models import Kit, KitTaking
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import OldPage, once
from installs.sent.seen import Read

TABLES: dict[str, type[Kit] | type[CatalogueRow]] = {"kit": Kit, "row": CatalogueRow}


@allow("edit job")
@require_GET
def kits(request: PersonRequest) -> HttpResponse:
    """Every kit, tower and inverter of the firm, archived ones last."""
    context = {
        "kits": Kit.objects.select_related("job", "made_by").prefetch_related("releases", "takings__job"),
        "rows": [
            (row, figures_of(row.shelf.part, row.value))
            for row in CatalogueRow.objects.select_related("job", "made_by")
        ],
    }
    return render(request, "installs/kits/kits.html", context)


@allow("edit job")
@require_POST
def archive(request: PersonRequest, table: str, pk: int) -> HttpResponse:
    """Out of what is offered, or back into it (``back``)."""
    if table not in TABLES:
        raise Http404("No such list.")
    now = timezone.now()
    with once(request, redirect("kits")) as press:
        found = get_object_or_404(TABLES[table]._default_manager.select_for_update(), pk=pk)
        row = cast("Kit | CatalogueRow", found)
        press.saw(row)
        if "back" in request.POST:
            services.take_back(row, by=request.user, at=now)
        else:
            services.archive(row, timezone.localdate(), by=request.user, at=now)
    return redirect("kits")


@allow("edit job")
@require_http_methods(["GET", "POST"])
def of_job(request: JobRequest, number: str) -> HttpResponse:
    """What of this job can be used again: its releases as a kit, its tower and inverter as catalogue rows."""
    job, now = request.job, timezone.now()
    offered = services.may_be_kept(job)
    drafts = {kind: TABLE[shelf.part].draft_of(job) for kind, shelf in SHELVES.items()}
    kinds = [kind for kind, draft in drafts.items() if draft.pk]
    kit = KitForm(request.POST if "save" in request.POST else None, offered=offered)
    shelf = ShelfForm(request.POST if "add" in request.POST else None, kinds=kinds)
    posted = kit if "save" in request.POST else shelf
    if request.method == "POST" and posted.is_valid():
        given = posted.cleaned_data
        try:
            with once(request, redirect("kits")):
                if posted is kit:
                    chosen = [r for r in offered if str(r.pk) in given["releases"]]
                    services.save_kit(job, given["name"], given["note"], chosen, by=request.user, at=now)
                else:
                    draft = drafts[given["kind"]]
                    services.save_to_catalogue(draft, given["kind"], given["name"], by=request.user, at=now)
            return redirect("kits")
        except ValidationError as error:
            posted.add_error(None, error)
    context = {"job": job, "kit": kit, "shelf": shelf, "offered": offered, "kinds": kinds}
    status = 422 if request.method == "POST" else 200
    return render(request, "installs/kits/of_job.html", context, status=status)


@allow("edit job")
@require_http_methods(["GET", "POST"])
def take(request: JobRequest, number: str) -> HttpResponse:
    """Begin the job's drafts with a kit."""
    form = TakeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        kit = form.cleaned_data["kit"]
        try:
            with once(request, redirect("kit-questions", number)):
                services.take_kit(kit, request.job, by=request.user, at=timezone.now())
            messages.success(request, f"Drafts begun with kit {kit.name}. Nothing is released.")
            return redirect("kit-questions", number)
        except ValidationError as error:
            form.add_error(None, error)
    context = {"job": request.job, "form": form, "any": Kit.objects.filter(archived_on=None).exists()}
    status = 422 if request.method == "POST" else 200
    return render(request, "installs/kits/take.html", context, status=status)


@allow("edit design")
@require_http_methods(["GET", "POST"])
def questions(request: JobRequest, number: str) -> HttpResponse:
    """What the kit left open for this site: figures to look at, each by itself."""
    job = request.job
    waiting = services.open_questions(job)
    if request.method == "POST" and not (read := Read.of(request.POST)).is_of(services.shown(waiting)):
        raise OldPage(read, services.shown(waiting))
    form = QuestionsForm(request.POST or None, waiting=waiting)
    if request.method == "POST" and form.is_valid():
        keys = [int(key) for key in form.cleaned_data["questions"]]
        try:
            with once(request, redirect("job-book", number)) as press:
                press.saw(services.shown(services.open_questions(job)))
                services.confirm(job, keys, by=request.user, at=timezone.now())
            return redirect("job-book", number)
        except ValidationError as error:
            form.add_error(None, error)
    taking = KitTaking.objects.filter(job=job).select_related("kit", "chosen_by").first()
    context = {
        "job": job,
        "form": form,
        "waiting": waiting,
        "seen": services.shown(waiting),
        "taking": taking,
        "parts": [TABLE[r.part] for r in taking.kit.releases.all()] if taking else [],
        "confirmed": taking.questions.exclude(confirmed_at=None).select_related("taking__job", "confirmed_by")
        if taking
        else (),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "installs/kits/questions.html", context, status=status)
