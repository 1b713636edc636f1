"""The bytes behind a stored file: held to length and hash when they are written and when they are read."""

from __future__ import annotations

import errno
import hashlib
from contextlib import suppress

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from installs.files.models import StoredFile, name_of


class NotKept(OSError):
    """The storage said that it wrote, and gives back something else."""


class NotWhole(Exception):
    """The bytes of a stored file are not those that were taken. Says which file and how."""

    def __init__(self, file: StoredFile, fault: str) -> None:
        self.fault = fault
        super().__init__(f"{file.label or 'A file'} ({file.sha256[:12]}): {fault}")
        self.told = f"Not as it was taken: {self}."  # what the reader is told (work/faults.py)


def keep(content: bytes) -> str:
    """Write the bytes if they are not there as they should be; gives their SHA-256.

    What is there under their name is compared before it is believed, and replaced where it differs. OSError
    where the storage does not take them: then nothing half written stands under the name.
    """
    digest = hashlib.sha256(content).hexdigest()
    name = name_of(digest)
    if _bytes(name) != content:
        default_storage.save(name, ContentFile(content))
        if _bytes(name) != content:
            raise NotKept(errno.EIO, "the storage does not give back what it was given", name)
    return digest


def read_bytes(file: StoredFile) -> bytes:
    """The bytes as they were taken; NotWhole where they are gone, cut short or altered."""
    content = _bytes(file.storage_name)
    fault = _fault(file, content)
    if content is None or fault:
        raise NotWhole(file, fault)
    return content


def fault_of(file: StoredFile) -> str:
    """What is wrong with the bytes of a stored file, in words; "" when nothing is."""
    return _fault(file, _bytes(file.storage_name))


def _fault(file: StoredFile, content: bytes | None) -> str:
    if content is None:
        return "its bytes are gone"
    if len(content) < file.size_bytes:
        return f"cut short, {len(content):,} of {file.size_bytes:,} bytes"
    if hashlib.sha256(content).hexdigest() != file.sha256:
        return "its bytes are not those that were taken"
    return ""


def kept_bytes(sha256: str) -> bytes | None:
    """What the storage has under a hash, whole or not; None for nothing."""
    return _bytes(name_of(sha256))


def _bytes(name: str) -> bytes | None:
    with suppress(FileNotFoundError), default_storage.open(name, "rb") as stream:
        content: bytes = stream.read()
        return content
    return None
