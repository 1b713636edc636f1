"""The office's view of a job's checklists, and the numbered paper copy of each."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.checklists import services
from installs.checklists.key_in import key_in
from installs.checklists.paper_sheets import by_hand_of, copy_sheets
from installs.checklists.sheet import Sheet
from installs.checklists.state import ListState, list_states
from installs.files.views import answer_with
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import ENTRIES, once, sends


@allow("see")
@require_GET
def lists(request: JobRequest, number: str) -> HttpResponse:
    states = list_states(request.job)
    tables = {state.list.key: by_hand_of(state.list.key) for state in states}
    context = {"job": request.job, "states": states, "tables": tables}
    return render(request, "installs/checklists/lists.html", context)


@allow("see")
@require_GET
def one(request: JobRequest, number: str, key: str) -> HttpResponse:
    """One list with all that was recorded; ``?paper`` is its paper copy to print."""
    kept = get_object_or_404(request.job.lists, key=key)
    state = list_states(request.job, [kept])[0]
    if "paper" in request.GET:
        return _paper_copy(request, state)
    context = {"job": request.job, "state": state, "table": by_hand_of(key)}
    return render(request, "installs/checklists/list.html", context)


def _paper_copy(request: JobRequest, state: ListState) -> HttpResponse:
    job = request.job
    sheets = []
    for sheet in copy_sheets(job, state):
        running = f"{job.number} {job.owner}. {sheet['title']}"
        body = render_to_string(sheet["inner"], {**sheet, "job": job, "running": running})
        sheets.append({**sheet, "body": body})
    context = {"job": job, "list": state.list, "sheets": sheets}
    return render(request, "installs/checklists/paper_copy.html", context)


@allow("see")
@require_GET
def entry_photo(request: JobRequest, number: str, uuid: UUID) -> FileResponse:
    entry = get_object_or_404(request.job.entries.select_related("photo").exclude(photo=None), uuid=uuid)
    return answer_with(entry.photo, f"{number}-{entry.code}.jpg")


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
def key_in_sheet(request: JobRequest, number: str, key: str) -> HttpResponse:
    """The paper copy as one form. POST records every filled line or, with a fault anywhere, none."""
    job = request.job
    kept = get_object_or_404(job.lists.prefetch_related("items"), key=key)
    bound = (request.POST, request.FILES) if request.method == "POST" else ()
    sheet = Sheet(job, kept, request.user, *bound)
    if request.method == "POST" and sheet.is_valid():
        taken = key_in(job, kept.key, sheet.written(), by=request.user, at=timezone.now())
        if taken:
            say_taken(request, taken)
            return redirect("job-list", number, key)
    status = 422 if request.method == "POST" else 200
    context = {"job": job, "list": kept, "sheet": sheet, "table": by_hand_of(key)}
    return render(request, "installs/checklists/key_in.html", context, status=status)


def say_taken(request: PersonRequest, taken: list[services.Taken]) -> None:
    """What came of a paper: how much is new, and the deviations that stand from it."""
    new = sum(each.new for each in taken)
    had = len(taken) - new
    words = f"{new} line{'' if new == 1 else 's'} recorded from the paper."
    messages.success(
        request, words + (f" {had} {'was' if had == 1 else 'were'} on record already." if had else "")
    )
    for each in taken:
        for deviation in each.entry.deviations.all() if each.new else ():
            messages.warning(request, f"Recorded. Deviation {deviation.number} stands: {deviation.title}.")


@allow("edit job")
@require_POST
def copy(request: JobRequest, number: str) -> HttpResponse:
    with once(request, redirect("job-lists", number)):
        services.copy_lists(request.job, by=request.user, at=timezone.now())
    return redirect("job-lists", number)
