"""Private files: only through a view of the room they belong to, which checks who asks."""

from __future__ import annotations

import io

from django.http import FileResponse, Http404
from django.utils.text import get_valid_filename

from installs.files.keeping import read_bytes
from installs.files.models import StoredFile


def answer_with(file: StoredFile | None, name: str) -> FileResponse:
    """The file as a download under a safe name; NotWhole unless it is as it was taken."""
    if file is None:
        raise Http404("There is no file.")
    inline = file.content_type == "image/jpeg"
    return FileResponse(
        io.BytesIO(read_bytes(file)),
        as_attachment=not inline,
        filename=get_valid_filename(name),
        content_type=file.content_type,
    )
