"""The engineer's letter that accepts checks of a draft: recorded by the office, and handed out again."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from installs.files.models import StoredFile
from installs.files.views import answer_with
from installs.jobs.accepting import accept_by_letter, accepted_of, letters_of
from installs.jobs.confirming import EngineersWord, license_of
from installs.jobs.forms import AcceptanceLetterForm
from installs.jobs.getters import locked
from installs.jobs.models import DraftAcceptance
from installs.jobs.old_page import ANOTHER, NOT_SAID, DraftRead, page_of
from installs.jobs.parts import TABLE
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.again import code_again
from installs.sent.once import once
from sitecalc.checks import worst_first
from sitecalc.inputs import InputError


class _Changed(Exception):
    """The draft is another than the page was drawn from."""


@allow("record letter")
@require_http_methods(["GET", "POST"])
@code_again
def record(request: JobRequest, number: str, part: str) -> HttpResponse:
    """Which open checks of the saved draft the letter accepts, whose it is, and the letter itself."""
    row = TABLE.get(part)
    if row is None or not (draft := row.draft_of(request.job)).pk:
        raise Http404("Nothing of this part is saved.")
    try:
        checks = worst_first(row.review(draft).checks)
    except InputError as error:
        raise Http404(f"{row.title}: {error.message}") from error
    accepted = accepted_of(draft, part)
    waiting = [c for c in checks if c.needs_answer and c.key not in accepted]
    now, before = timezone.now(), letters_of(request.job)
    form = AcceptanceLetterForm(
        request.POST or None,
        request.FILES or None,
        by=request.user,
        job=request.job,
        checks=[(c.key, f"{c.title}: {c.verdict}. {c.note}") for c in waiting],
        on_record=[(str(each.letter_id), each.in_words) for each in before],
        initial=_as_before(request, before, now),
    )
    read, changed, fault, status = (
        DraftRead.of(request.POST),
        [],
        "",
        422 if request.method == "POST" else 200,
    )
    if request.method == "POST" and not read.is_of(draft):
        changed, status = read.changed(draft), 409
        fault = f"Not recorded: {ANOTHER}" if read.inputs else NOT_SAID
    elif request.method == "POST" and form.is_valid():
        given = dict(form.cleaned_data)
        word = EngineersWord(
            engineer=given["engineer"],
            license=given["license"],
            written_on=given["written_on"],
            paper=given["letter"],
        )
        try:
            with once(request, redirect(row.page, number)):
                locked(request.job)
                if not read.is_of(row.draft_of(request.job)):
                    raise _Changed
                kept = accept_by_letter(
                    draft,
                    part,
                    checks,
                    given["checks"],
                    given["reason"],
                    by=request.user,
                    at=now,
                    word=word,
                    on_record=None if given["letter"] else _chosen(before, given.get("on_record", "")),
                )
        except _Changed:
            return redirect("acceptance-letter", number, part)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            count = f"{len(kept)} check{'s' if len(kept) != 1 else ''}"
            messages.success(request, f"{row.title}: {count} accepted by the letter of {kept[0].in_words}.")
            return redirect(row.page, number)
    context = {
        "job": request.job,
        "part": row,
        "draft": draft,
        "form": form,
        "waiting": waiting,
        "accepted": [(c, accepted[c.key]) for c in checks if c.key in accepted],
        "page": page_of(draft),
        "fault": fault,
        "changed": changed,
    }
    return render(request, "installs/jobs/acceptance_letter.html", context, status=status)


def _as_before(request: JobRequest, before: list[DraftAcceptance], now: datetime) -> dict[str, Any]:
    """One letter may accept checks of several parts: what was recorded of the last one stands in the form."""
    if before:
        last = before[0]
        return {
            "engineer": last.engineer_id,
            "license": last.license,
            "written_on": last.written_on,
            "reason": last.reason,
            "on_record": str(last.letter_id),
        }
    engineer = request.job.engineer
    return {"license": license_of(engineer, request.job.local(now).date()) if engineer else ""}


def _chosen(before: list[DraftAcceptance], key: str) -> StoredFile | None:
    return next((each.letter for each in before if str(each.letter_id) == key), None)


@allow("see")
@require_GET
def letter(request: JobRequest, number: str, pk: int) -> FileResponse:
    rows = DraftAcceptance.objects.filter(job=request.job).exclude(letter=None).select_related("letter")
    kept = get_object_or_404(rows, pk=pk)
    return answer_with(kept.letter, f"{number}-{kept.part}-accepted")
