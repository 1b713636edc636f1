"""A file over the limit is counted to its end, but no byte past the limit is kept on the disk."""

from __future__ import annotations

from django.conf import settings
from django.core.files.uploadhandler import TemporaryFileUploadHandler


class LimitedTemporaryFile(TemporaryFileUploadHandler):
    """Its size is that of what was sent, so that the field can say how large it was."""

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        if start + len(raw_data) <= settings.UPLOAD_LIMIT_BYTES:
            self.file.write(raw_data)
