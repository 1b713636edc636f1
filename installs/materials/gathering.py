"""The material lists of a job, from the released designs of its parts."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from installs.jobs.getters import letters_in_force
from installs.jobs.material_lines import Line
from installs.jobs.models import DesignRevision, Job
from installs.jobs.phases import PHASES
from installs.jobs.services import digest, in_words

# part as released -> the room that lists its materials
ROOMS = {
    "foundation": "foundation",
    "pour": "pour",
    "tower": "tower",
    "ground_station": "ground_station",
    "turbine": "turbine",
}


@dataclass(frozen=True)
class PartList:
    """Lines of one released part; ``changed`` when its draft is no longer what was released."""

    part: str
    revision: DesignRevision
    lines: tuple[Line, ...]
    changed: bool


def part_lists(job: Job) -> list[PartList]:
    """Every part that is released, in the order of the work."""
    found = []
    for part, revision in letters_in_force(job).items():
        room = ROOMS.get(part)
        if room and find_spec(f"installs.{room}.materials"):
            lines: Callable[[Any], list[Line]] = import_module(f"installs.{room}.materials").lines
            found.append(PartList(part, revision, tuple(lines(revision)), _changed(job, room, revision)))
    order = list(ROOMS)
    return sorted(found, key=lambda p: order.index(p.part))


def _changed(job: Job, room: str, revision: DesignRevision) -> bool:
    """Whether the draft differs from its release. A part without a draft is unchanged."""
    draft = getattr(job, room, None)
    return draft is not None and digest(draft.inputs()) != digest(revision.inputs)


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
            standing = "draft changed since" if kept.changed else "in force"
            release = f"{in_words(kept.part)} {kept.revision.letter}"
            row = [job.number, title, line.item, line.detail, _number(line.quantity), _number(line.allowance)]
            writer.writerow([*map(harmless, row), _number(line.order), line.unit, release, standing])
    return out.getvalue()


def _number(value: float) -> str:
    return f"{value:.6g}"


def harmless(cell: str) -> str:
    """A text that begins like a formula gets a mark in front, so that no spreadsheet runs it."""
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
