"""Everything of one job in a zip that is read without this program, years after it.

Rows are as of one moment (gathered.py). They and the files go into it one after the other, so that it takes
no more memory for a large job. Each member is hashed while it is written; SHA256SUMS stands last, and the
finished file is read through once and held to it.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from itertools import chain
from pathlib import Path
from typing import Any, BinaryIO

from installs.checklists.heads import heads_words
from installs.export.gathered import Gathered
from installs.export.tables import cell
from installs.export.words import read_me
from installs.files.keeping import kept_bytes
from installs.jobs.sealing import canonical
from installs.measures import harmless
from installs.record.models import RecordCheck

SUMS = "SHA256SUMS"
FORMAT = 1
Progress = Callable[[str, float], None]


class NotWhole(Exception):
    """The archive does not hold what was put into it."""


class Archive:
    """A zip under way. ``sums`` are the hashes of what is in it, by name."""

    def __init__(self, stream: BinaryIO, at: datetime) -> None:
        self.zip = zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED)
        self.sums: dict[str, str] = {}
        self._at = at.astimezone(UTC)

    @contextmanager
    def member(self, name: str, *, packed: bool = True) -> Iterator[Callable[[bytes], None]]:
        info = zipfile.ZipInfo(name, self._at.timetuple()[:6])
        info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        info.external_attr = 0o600 << 16
        total = hashlib.sha256()
        with self.zip.open(info, "w", force_zip64=True) as out:

            def write(content: bytes) -> None:
                total.update(content)
                out.write(content)

            yield write
        self.sums[name] = total.hexdigest()

    def add(self, name: str, content: bytes, *, packed: bool = True) -> None:
        with self.member(name, packed=packed) as write:
            write(content)

    def rows(self, name: str, head: list[str], rows: Iterable[Iterable[Any]]) -> int:
        """A CSV file, and how many rows it has. What a spreadsheet would run gets a mark in front."""
        count = 0
        with self.member(name) as write:
            write(_line(head))
            for count, each in enumerate(rows, start=1):  # noqa: B007
                write(_line(each))
        return count

    def close(self) -> None:
        lines = "".join(f"{digest}  {name}\n" for name, digest in sorted(self.sums.items()))
        self.zip.writestr(zipfile.ZipInfo(SUMS, self._at.timetuple()[:6]), lines)
        self.zip.close()


def _line(row: Iterable[Any]) -> bytes:
    out = io.StringIO()
    csv.writer(out).writerow(_cell(value) for value in row)
    return out.getvalue().encode()


def _cell(value: Any) -> Any:
    if isinstance(value, (dict, list)):
        return harmless(canonical(value)) if value else ""
    return harmless(value) if isinstance(value, str) else value


def write_archive(
    found: Gathered, stream: BinaryIO, *, check: RecordCheck, at: datetime, progress: Progress
) -> dict[str, Any]:
    """Everything into the stream; gives how much it was, and which files were not whole."""
    archive = Archive(stream, at)
    try:
        told = _write(archive, found, check, at, progress)
        archive.close()
    except BaseException:
        with suppress(OSError, ValueError):  # what is broken off is thrown away: nothing has to be whole
            archive.zip.close()
        raise
    return told


def _write(
    archive: Archive, found: Gathered, check: RecordCheck, at: datetime, progress: Progress
) -> dict[str, Any]:
    job, missing = found.job, list[str]()
    for done, (name, file) in enumerate(found.files):
        progress(name, 0.1 + 0.6 * done / len(found.files))
        content = kept_bytes(file.sha256)
        if content is None or hashlib.sha256(content).hexdigest() != file.sha256:
            missing.append(name)
        if content is not None:
            archive.add(name, content, packed=file.content_type not in ("image/jpeg", "application/pdf"))
    progress("figures and record", 0.7)
    for kept, name in found.figures.items():
        archive.add(name, kept.read_bytes())
    counts = _tables(archive, found)
    with archive.member("job.json") as write:
        for part in _json(found, check, at):
            write(part.encode())
    archive.rows("torque log.csv", TORQUE_HEAD, found.torque)
    archive.add("README.txt", read_me(job, check, at, counts, found.tables, missing).encode())
    return {"members": len(archive.sums), "missing": missing}


def _tables(archive: Archive, found: Gathered) -> dict[str, int]:
    """Each table as CSV; how many rows each has."""
    counts = {}
    for table in found.tables:
        rows = found.rows(table)
        first = next(rows, None)
        if first is not None:
            counts[table.name] = archive.rows(
                f"{table.name}.csv",
                list(first),
                ([cell(value, found.job) for value in told.values()] for told in chain([first], rows)),
            )
    return counts


def _json(found: Gathered, check: RecordCheck, at: datetime) -> Iterator[str]:
    about = {
        "format": FORMAT,
        "job": found.job.number,
        "numbers": found.numbers,
        "written_at": at.astimezone(UTC).isoformat(),
        "record": {
            "checked_at": check.checked_at.astimezone(UTC).isoformat(),
            "whole": not check.faults,
            "faults": check.faults,
            "ends": heads_words(found.ends),
        },
    }
    yield json.dumps(about, ensure_ascii=False, indent=1)[:-2] + ',\n "tables": {'
    for index, table in enumerate(found.tables):
        head = f'{json.dumps(table.name)}: {{"what": {json.dumps(table.what)}, "rows": ['
        yield ("," if index else "") + f"\n  {head}"
        for number, told in enumerate(found.rows(table)):
            yield ("," if number else "") + "\n   " + json.dumps(told, ensure_ascii=False)
        yield "]}"
    yield "\n }\n}\n"


TORQUE_HEAD = ["joint", "pass", "bolt", "what", "at", "wrench", "by", "checked", "moved"]


def verify(path: Path, progress: Progress = lambda text, share: None) -> int:
    """Read the finished archive through; NotWhole unless every member is what its sum says."""
    with zipfile.ZipFile(path) as found:
        lines = (line.split("  ", 1) for line in found.read(SUMS).decode().splitlines())
        sums = {name: digest for digest, name in lines}
        names = [info.filename for info in found.infolist() if info.filename != SUMS]
        if sorted(names) != sorted(sums):
            raise NotWhole("The archive does not hold what was put into it.")
        for done, name in enumerate(names):
            progress("reading it through", 0.9 + 0.1 * done / len(names))
            total = hashlib.sha256()
            with found.open(name) as stream:
                while chunk := stream.read(1 << 20):
                    total.update(chunk)
            if total.hexdigest() != sums[name]:
                raise NotWhole(f"{name} is not in the archive as it was put there.")
    return len(names)
