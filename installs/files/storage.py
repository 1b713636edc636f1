"""Files on a disk of ours: whole under their name, or not there.

A file is written under another name beside its place, forced to the disk, and only then renamed: a full disk,
a kill or a power cut leaves the old file or none, never half of one. What is left over begins with LEFTOVER.
"""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.base import File
from django.core.files.storage import FileSystemStorage

LEFTOVER = ".part-"
PRESS = "mastwright-paper-"  # a press's folder: what a killed one left is known by it


class WholeFiles(FileSystemStorage):
    """A name that is there is written anew: names are hashes of contents, so that it is the same file."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options, allow_overwrite=True)

    def _save(self, name: str, content: File[bytes]) -> str:
        """OSError where the disk does not take all of it; what was under the name is still there then."""
        path = Path(self.path(name))
        path.parent.mkdir(parents=True, exist_ok=True)
        number, part = tempfile.mkstemp(prefix=LEFTOVER, dir=path.parent)
        try:
            with open(number, "wb") as stream:
                for chunk in content.chunks():
                    stream.write(chunk)
                stream.flush()
                os.fsync(stream.fileno())
            os.chmod(part, self.file_permissions_mode or settings.FILE_UPLOAD_PERMISSIONS or 0o600)
            os.replace(part, path)
        except BaseException:
            with suppress(OSError):
                os.unlink(part)
            raise
        for folder in (path.parent, path.parent.parent):  # the name itself, and that of a new folder
            _force(folder)
        return name

    def remove_leftovers(self, before: datetime) -> int:
        """Of writers that were killed: what was begun before this and never got its name. How many."""
        removed = 0
        for part in Path(self.location).glob(f"*/{LEFTOVER}*"):
            with suppress(FileNotFoundError):
                if part.stat().st_mtime < before.timestamp():
                    part.unlink()
                    removed += 1
        return removed


def _force(folder: Path) -> None:
    """What the folder lists is on the disk; a system that opens no folders keeps them by itself."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    number = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
