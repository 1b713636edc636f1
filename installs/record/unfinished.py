"""Where a large file is written until it is whole: beside its place, for its owner alone.

The folder is locked as long as its writer lives. One that is not was left by a writer that was killed: the
next one takes it away, however young it is.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

BEGUN = ".backup-"
EARLIER = "*.mastwright.tar.part"  # of an earlier version, which wrote beside the finished ones


@contextmanager
def folder_for(place: Path) -> Iterator[Path]:
    """A folder in ``place`` to write in, gone when it is left."""
    with ExitStack() as mine:
        with _locked(place):  # or another might take the new one away before it is locked
            _remove_left(place)
            folder = Path(mine.enter_context(tempfile.TemporaryDirectory(dir=place, prefix=BEGUN)))
            mine.enter_context(_locked(folder))
        yield folder


def private(path: Path) -> BinaryIO:
    """A new file that its owner alone reads and writes, whatever the umask."""
    number = os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600)
    os.fchmod(number, 0o600)
    return os.fdopen(number, "w+b")


def _remove_left(place: Path) -> None:
    for left in [*place.glob(f"{BEGUN}*"), *place.glob(EARLIER)]:
        with suppress(BlockingIOError, FileNotFoundError), _locked(left, wait=False):
            shutil.rmtree(left) if left.is_dir() else left.unlink()


@contextmanager
def _locked(path: Path, *, wait: bool = True) -> Iterator[None]:
    """BlockingIOError where another holds it and nobody waits. The lock ends with its process."""
    number = os.open(path, os.O_RDONLY)
    try:
        fcntl.flock(number, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(number)
