"""The material lists of a job, from the released designs of its parts."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from installs.jobs.material_lines import Good, Line
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE, Part
from installs.jobs.phases import PHASES
from installs.jobs.sealing import digest
from installs.jobs.services import in_words
from installs.jobs.standing import footing
from installs.materials.models import Price
from installs.materials.pricing import Cost, Priced, cost_of, priced
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


@dataclass(frozen=True)
class Takeoff:
    """Lists with what they come to. A void release's lines are priced, and counted in no sum."""

    phases: list[tuple[str, list[tuple[PartList, Priced]], Cost]]
    cost: Cost


def with_prices(lists: list[PartList], prices: Mapping[Good, Price], today: date) -> Takeoff:
    phases, every = [], []
    for title, lines in by_phase(lists):
        rows = [(kept, priced(line, prices)) for kept, line in lines]
        counted = [row for kept, row in rows if not kept.void]
        phases.append((title, rows, cost_of(counted, today)))
        every += counted
    return Takeoff(phases, cost_of(every, today))


def goods_of(lists: list[PartList]) -> list[Good]:
    """What the job buys, each once, in the order of its lists."""
    return list(dict.fromkeys(line.sold_as for _, lines in by_phase(lists) for _, line in lines))


def as_csv(job: Job, lists: list[PartList], prices: Mapping[Good, Price] | None = None) -> str:
    """One row a line, with the release it stands on; with ``prices`` also what it costs and by which quote.

    Cells that a spreadsheet would run are quoted.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    heads = ["job", "phase", "item", "detail", "needed", "allowance", "order", "unit", "release", "standing"]
    sold = ["good", "sold", "sold by", "price, $", "amount, $", "quoted on", "quote or invoice"]
    writer.writerow(heads + (sold if prices is not None else []))
    for title, lines in by_phase(lists):
        for kept, line in lines:
            standing = (
                f"VOID: {kept.void}" if kept.void else "draft changed since" if kept.changed else "in force"
            )
            release = f"{in_words(kept.part)} {kept.revision.letter}"
            row = [job.number, title, line.item, line.detail, _number(line.quantity), _number(line.allowance)]
            cells = [*map(harmless, row), _number(line.order), line.unit, release, harmless(standing)]
            writer.writerow(cells + (_sold(priced(line, prices)) if prices is not None else []))
    return out.getvalue()


def _sold(row: Priced) -> list[str]:
    good, price = row.line.sold_as, row.price
    cells = [harmless(good.name), _number(row.line.sold), good.unit]
    if price is None or price.usd is None or row.usd is None:
        return [*cells, "", "", "", ""]
    return [
        *cells,
        f"{price.usd:.10g}",
        f"{row.usd:.2f}",
        price.quoted_on.isoformat(),
        harmless(price.source),
    ]


def _number(value: float) -> str:
    return f"{value:.6g}"
