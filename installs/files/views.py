"""Private files: only through a view of the room they belong to, which checks who asks."""

from __future__ import annotations

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404
from django.utils.text import get_valid_filename

from installs.files.models import StoredFile


def answer_with(file: StoredFile | None, name: str) -> FileResponse:
    """The file as a download under a safe name; 404 in words if there is none or its bytes are gone."""
    if file is None:
        raise Http404("There is no file.")
    if not default_storage.exists(file.storage_name):
        raise Http404("The file's bytes are not in the storage.")
    inline = file.content_type == "image/jpeg"
    return FileResponse(
        default_storage.open(file.storage_name, "rb"),
        as_attachment=not inline,
        filename=get_valid_filename(name),
        content_type=file.content_type,
    )
