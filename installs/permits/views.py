from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from installs.files.services import store_paper
from installs.files.views import answer_with
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.permits import services
from installs.permits.forms import PermitForm


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
    form = PermitForm(request.POST or None, request.FILES or None, instance=kept)
    now = timezone.now()
    if request.method == "POST" and form.is_valid():
        line = form.save(commit=False)
        try:
            if form.cleaned_data["paper"]:
                line.file = store_paper(form.cleaned_data["paper"], by=request.user, at=now)
            changed = [n for n in form.changed_data if n != "paper"]
            services.record_permit(request.job, line, changed, by=request.user, at=now)
            return redirect("permits", number)
        except ValidationError as error:
            form.add_error("paper", error.messages)
    status = 422 if request.method == "POST" else 200
    return render(
        request,
        "installs/permits/permit.html",
        {"job": request.job, "form": form, "permit": kept},
        status=status,
    )


@allow("see")
@require_GET
def paper(request: JobRequest, number: str, pk: int) -> FileResponse:
    kept = get_object_or_404(request.job.permits.select_related("file").exclude(file=None), pk=pk)
    return answer_with(kept.file, f"{number}-{kept.kind}")
