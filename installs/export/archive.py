"""Everything of one job in a zip that is read without this program, years after it.

Rows and files go into it one after the other, so that it takes no more memory for a large job. Each member is
hashed while it is written; SHA256SUMS stands last, and the finished file is read through once and held to it.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from itertools import chain
from pathlib import Path
from typing import Any, BinaryIO

from installs.checklists.heads import heads, heads_words
from installs.checklists.services import numbers_of, sealed_under
from installs.export.places import Places, plain_name
from installs.export.tables import Table, cell, tables
from installs.export.words import read_me
from installs.files.keeping import kept_bytes
from installs.jobs.models import Job
from installs.jobs.sealing import canonical
from installs.measures import harmless
from installs.papers.models import Paper
from installs.record.models import RecordCheck
from installs.tower.log_words import recorded
from installs.tower.torque_log import load_torque

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
    job: Job, stream: BinaryIO, *, check: RecordCheck, at: datetime, progress: Progress
) -> dict[str, Any]:
    """Everything into the stream; gives how much it was, and which files were not whole."""
    places, archive, missing = Places(job), Archive(stream, at), list[str]()
    every = tables()
    progress("papers and photos", 0.0)
    files = list(places)
    for done, (name, file) in enumerate(files):
        progress(name, 0.6 * done / len(files))
        content = kept_bytes(file.sha256)
        if content is None or hashlib.sha256(content).hexdigest() != file.sha256:
            missing.append(name)
        if content is not None:
            archive.add(name, content, packed=file.content_type not in ("image/jpeg", "application/pdf"))
    for paper in Paper.objects.filter(job=job).order_by("pk").iterator(chunk_size=1):
        with archive.member(_figures_of(paper)) as write:
            write(canonical(paper.inputs).encode())
    progress("figures and record", 0.7)
    counts = _tables(archive, job, every, places)
    with archive.member("job.json") as write:
        for part in _json(job, every, places, check, at):
            write(part.encode())
    archive.rows("torque log.csv", TORQUE_HEAD, _torque(job))
    archive.add("README.txt", read_me(job, check, at, counts, every, missing).encode())
    archive.close()
    return {"members": len(archive.sums), "missing": missing}


def _figures_of(paper: Paper) -> str:
    return f"papers/{plain_name(paper.file_name)}, figures.json"


def _told(table: Table, job: Job, places: Places) -> Iterator[dict[str, Any]]:
    numbers = numbers_of(job) if table.label == "installs.Entry" else []
    for row in table.rows(job):
        told = table.told(row, places.of)
        if numbers:
            told["sealed_under"] = sealed_under(row, numbers)
        if table.label == "installs.Paper":
            told["figures"] = _figures_of(row)
        yield told


def _tables(archive: Archive, job: Job, every: list[Table], places: Places) -> dict[str, int]:
    """Each table as CSV; how many rows each has."""
    counts = {}
    for table in every:
        rows = _told(table, job, places)
        first = next(rows, None)
        if first is not None:
            counts[table.name] = archive.rows(
                f"{table.name}.csv",
                list(first),
                ([cell(value, job) for value in told.values()] for told in chain([first], rows)),
            )
    return counts


def _json(job: Job, every: list[Table], places: Places, check: RecordCheck, at: datetime) -> Iterator[str]:
    ends = heads(job, at)
    about = {
        "format": FORMAT,
        "job": job.number,
        "numbers": numbers_of(job),
        "written_at": at.astimezone(UTC).isoformat(),
        "record": {
            "checked_at": check.checked_at.astimezone(UTC).isoformat(),
            "whole": not check.faults,
            "faults": check.faults,
            "ends": heads_words(ends),
        },
    }
    yield json.dumps(about, ensure_ascii=False, indent=1)[:-2] + ',\n "tables": {'
    for index, table in enumerate(every):
        head = f'{json.dumps(table.name)}: {{"what": {json.dumps(table.what)}, "rows": ['
        yield ("," if index else "") + f"\n  {head}"
        for number, told in enumerate(_told(table, job, places)):
            yield ("," if number else "") + "\n   " + json.dumps(told, ensure_ascii=False, default=str)
        yield "]}"
    yield "\n }\n}\n"


TORQUE_HEAD = ["joint", "pass", "bolt", "what", "at", "wrench", "by", "checked", "moved"]


def _torque(job: Job) -> Iterator[list[Any]]:
    """As the printed torque log has it; of a check the pass is 0, of a whole pass the bolt is empty."""
    state = load_torque([job]).get(job.pk)
    for joint in state.joints if state else ():
        for line in recorded(job, joint):
            yield [
                joint.joint.number, line.step, line.bolt, line.what, line.at.isoformat(), line.wrench,
                line.by, " ".join(line.bolts), " ".join(line.moved),
            ]  # fmt: skip


def verify(path: Path) -> int:
    """Read the finished archive through; NotWhole unless every member is what its sum says."""
    with zipfile.ZipFile(path) as found:
        lines = (line.split("  ", 1) for line in found.read(SUMS).decode().splitlines())
        sums = {name: digest for digest, name in lines}
        names = [info.filename for info in found.infolist() if info.filename != SUMS]
        if sorted(names) != sorted(sums):
            raise NotWhole("The archive does not hold what was put into it.")
        for name in names:
            total = hashlib.sha256()
            with found.open(name) as stream:
                while chunk := stream.read(1 << 20):
                    total.update(chunk)
            if total.hexdigest() != sums[name]:
                raise NotWhole(f"{name} is not in the archive as it was put there.")
    return len(names)
