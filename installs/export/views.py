from __future__ import annotations

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from installs.export.services import newest, order_archive, stop_archive
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.sent.once import once


@allow("edit job")
@require_POST
def order(request: JobRequest, number: str) -> HttpResponse:
    with once(request, redirect("papers", number)):
        order_archive(request.job, by=request.user, at=timezone.now())
    return redirect("papers", number)


@allow("edit job")
@require_POST
def stop(request: JobRequest, number: str) -> HttpResponse:
    with once(request, redirect("papers", number)):
        stop_archive(request.job, by=request.user, at=timezone.now())
    return redirect("papers", number)


@allow("edit job")
@require_GET
def state(request: JobRequest, number: str) -> HttpResponse:
    """The archive's place on the page of papers, which asks for it while one is being written."""
    context = {"job": request.job, "archive": newest(request.job)}
    return render(request, "installs/export/_line.html", context)


@allow("edit job")
@require_GET
def file(request: JobRequest, number: str) -> FileResponse:
    found = newest(request.job)
    if found is None or not found.file:
        raise Http404("There is no archive of this job here. Order it again.")
    stream = default_storage.open(found.file, "rb")
    day = request.job.local(found.work.finished_at or timezone.now()).date().isoformat()
    name = f"{number} everything of the job {day}.zip"
    return FileResponse(stream, as_attachment=True, filename=name, content_type="application/zip")
