from __future__ import annotations

from functools import partial

from django.core.exceptions import ValidationError
from django.http import FileResponse, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from installs.files.services import store_paper
from installs.files.views import answer_with
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.permits import services
from installs.permits.forms import PermitForm
from installs.sent.rows import post_row


@allow("see")
@require_GET
def permits(request: JobRequest, number: str) -> HttpResponse:
    """What was asked of whom; the oldest first."""
    today = request.job.local(timezone.now()).date()
    rows = [(p, p.in_hand(today)) for p in request.job.permits.select_related("file")]
    return render(
        request, "installs/permits/permits.html", {"job": request.job, "rows": rows, "today": today}
    )


@allow("record permits")
@require_http_methods(["GET", "POST"])
def permit(request: JobRequest, number: str, pk: int | None = None) -> HttpResponse:
    """Add or change one line."""
    kept = get_object_or_404(request.job.permits, pk=pk) if pk else None
    form, status = PermitForm(instance=kept), 200
    if request.method == "POST":
        posted = post_row(
            request,
            PermitForm,
            row=partial(services.locked_permit, request.job, kept) if kept else None,
            save=lambda form: _recorded(request, form),
        )
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    return render(
        request,
        "installs/permits/permit.html",
        {"job": request.job, "form": form, "permit": kept},
        status=status,
    )


def _recorded(request: JobRequest, form: PermitForm) -> HttpResponseRedirect:
    now, line = timezone.now(), form.save(commit=False)
    if form.cleaned_data["paper"]:
        try:
            line.file = store_paper(form.cleaned_data["paper"], by=request.user, at=now)
        except ValidationError as error:
            raise ValidationError({"paper": error.messages}) from error
    changed = [n for n in form.changed_data if n != "paper"]
    services.record_permit(request.job, line, changed, by=request.user, at=now)
    return redirect("permits", request.job.number)


@allow("see")
@require_GET
def paper(request: JobRequest, number: str, pk: int) -> FileResponse:
    kept = get_object_or_404(request.job.permits.select_related("file").exclude(file=None), pk=pk)
    return answer_with(kept.file, f"{number}-{kept.kind}")
