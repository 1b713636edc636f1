"""Private files: only through a view that checks who asks."""

from __future__ import annotations

from typing import Any

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.utils.text import get_valid_filename
from django.views.decorators.http import require_GET

from installs.files.models import StoredFile
from installs.people.access import allow


def answer_with(file: StoredFile, name: str) -> FileResponse:
    """The file as a download under a safe name; 404 in words if its bytes are gone."""
    if not default_storage.exists(file.storage_name):
        raise Http404("The file's bytes are not in the storage.")
    inline = file.content_type == "image/jpeg"
    return FileResponse(
        default_storage.open(file.storage_name, "rb"),
        as_attachment=not inline,
        filename=get_valid_filename(name),
        content_type=file.content_type,
    )


@allow("see")
@require_GET
def entry_photo(request: HttpRequest, number: str, uuid: Any) -> FileResponse:
    entry = get_object_or_404(request.job.entries.select_related("photo").exclude(photo=None), uuid=uuid)
    return answer_with(entry.photo, f"{number}-{entry.code}.jpg")
