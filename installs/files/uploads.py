"""A file over the limit is counted to its end and kept nowhere; its field then says how large it was."""

from __future__ import annotations

import io

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler


class LimitedUpload(FileUploadHandler):
    """Stands before the handlers that keep files in memory or on disk; they see no byte past the limit."""

    def new_file(self, *args: object, **kwargs: object) -> None:
        super().new_file(*args, **kwargs)
        self.counted = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        self.counted += len(raw_data)
        return raw_data if self.counted <= settings.UPLOAD_LIMIT_BYTES else None

    def file_complete(self, file_size: int) -> UploadedFile | None:
        if self.counted <= settings.UPLOAD_LIMIT_BYTES:
            return None
        # the handlers behind never hear of the file's end: what they keep of it is let go here
        for handler in self.request.upload_handlers:
            kept = getattr(handler, "file", None)
            if handler is not self and kept is not None:
                kept.close()
        return UploadedFile(
            io.BytesIO(),
            self.file_name,
            self.content_type,
            self.counted,
            self.charset,
            self.content_type_extra,
        )
