"""The material lists of a job, from the released designs of its parts."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from installs.jobs.material_lines import Line
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE, Part
from installs.jobs.phases import PHASES
from installs.jobs.sealing import digest
from installs.jobs.services import in_words
from installs.jobs.standing import footing
from installs.measures import harmless


@dataclass(frozen=True)
class PartList:
    """Lines of one released part; ``changed`` when its draft is no longer what was released.

    ``void``: why the release no longer stands, in a sentence; nothing is ordered from it then.
    """

    part: str
    revision: DesignRevision
    lines: tuple[Line, ...]
    changed: bool
    void: str = ""


def part_lists(job: Job) -> list[PartList]:
    """Every part that is released and has materials, in the order of the table of parts."""
    standing = footing(job)
    return [
        PartList(
            part.key,
            revision,
            tuple(part.materials(revision)),
            _changed(part, job, revision),
            standing.void(revision),
        )
        for part in TABLE.values()
        if part.materials is not None and (revision := standing.in_force.get(part.key)) is not None
    ]


def _changed(part: Part, job: Job, revision: DesignRevision) -> bool:
    """Whether the draft differs from its release. A part without a draft is unchanged."""
    draft = part.draft_of(job)
    return draft.pk is not None and digest(draft.inputs()) != digest(revision.inputs)


def by_phase(lists: list[PartList]) -> list[tuple[str, list[tuple[PartList, Line]]]]:
    """Lines by phase title, in the order of the phases."""
    found = []
    for phase in PHASES:
        lines = [(kept, line) for kept in lists for line in kept.lines if line.phase == phase.key]
        if lines:
            found.append((phase.title, lines))
    return found


def as_csv(job: Job, lists: list[PartList]) -> str:
    """One row a line, with the release it stands on. Cells that a spreadsheet would run are quoted."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(
        ["job", "phase", "item", "detail", "needed", "allowance", "order", "unit", "release", "standing"]
    )
    for title, lines in by_phase(lists):
        for kept, line in lines:
            standing = (
                f"VOID: {kept.void}" if kept.void else "draft changed since" if kept.changed else "in force"
            )
            release = f"{in_words(kept.part)} {kept.revision.letter}"
            row = [job.number, title, line.item, line.detail, _number(line.quantity), _number(line.allowance)]
            writer.writerow(
                [*map(harmless, row), _number(line.order), line.unit, release, harmless(standing)]
            )
    return out.getvalue()


def _number(value: float) -> str:
    return f"{value:.6g}"
