"""What the database says of a job, all of it as of one moment, put into files to be written out from.

Rows are read at once and quickly, for SQLite may keep writers waiting meanwhile. They stand on the disk and
not in memory; photos and PDFs, which never change under their hash, are read later.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from installs.checklists.heads import heads
from installs.checklists.services import numbers_of, sealed_under
from installs.export.places import Places, plain_name
from installs.export.tables import Table, tables
from installs.files.models import StoredFile
from installs.jobs.models import Job
from installs.jobs.sealing import canonical
from installs.papers.models import Paper
from installs.record.faults import Record
from installs.record.moment import one_moment
from installs.tower.log_words import recorded
from installs.tower.torque_log import load_torque


@dataclass
class Gathered:
    """``figures`` are the names of papers' figures in the archive, by the file that holds them here."""

    job: Job
    folder: Path
    record: Record
    numbers: list[str]
    ends: dict[str, Any]
    files: list[tuple[str, StoredFile]]
    torque: list[list[Any]]
    tables: list[Table] = field(default_factory=tables)
    figures: dict[Path, str] = field(default_factory=dict)

    def rows(self, table: Table) -> Iterator[dict[str, Any]]:
        with self._place(table).open(encoding="utf-8") as lines:
            for line in lines:
                yield json.loads(line)

    def _place(self, table: Table) -> Path:
        return self.folder / f"{table.label}.rows"

    def keep(self, places: Places) -> None:
        for table in self.tables:
            with self._place(table).open("w", encoding="utf-8") as lines:
                for told in _told(table, self.job, places, self.numbers):
                    lines.write(json.dumps(told, ensure_ascii=False, default=str) + "\n")
        for paper in Paper.objects.filter(job=self.job).order_by("pk").iterator(chunk_size=1):
            file = self.folder / f"{paper.pk}.figures"
            file.write_text(canonical(paper.inputs), encoding="utf-8")
            self.figures[file] = figures_of(paper)


def gather(pk: int, folder: Path, at: datetime) -> Gathered:
    with one_moment():
        job = Job.objects.get(pk=pk)
        places = Places(job)
        found = Gathered(
            job=job,
            folder=folder,
            record=Record.of(job),
            numbers=numbers_of(job),
            ends=heads(job, at),
            files=list(places),
            torque=list(_torque(job)),
        )
        found.keep(places)
    return found


def figures_of(paper: Paper) -> str:
    return f"papers/{plain_name(paper.file_name)}, figures.json"


def _told(table: Table, job: Job, places: Places, numbers: list[str]) -> Iterator[dict[str, Any]]:
    for row in table.rows(job):
        told = table.told(row, places.of)
        if table.label == "installs.Entry":
            told["sealed_under"] = sealed_under(row, numbers)
        if table.label == "installs.Paper":
            told["figures"] = figures_of(row)
        yield told


def _torque(job: Job) -> Iterator[list[Any]]:
    """As the printed torque log has it; of a check the pass is 0, of a whole pass the bolt is empty."""
    state = load_torque([job]).get(job.pk)
    for joint in state.joints if state else ():
        for line in recorded(job, joint):
            yield [
                joint.joint.number, line.step, line.bolt, line.what, line.at.isoformat(), line.wrench,
                line.by, " ".join(line.bolts), " ".join(line.moved),
            ]  # fmt: skip
