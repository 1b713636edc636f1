"""Each paper held to the log that ordered it, and the chains to the ends that the paper was printed with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps

from installs.checklists.heads import ENTRIES, LOG, Heads, lost_ends
from installs.checklists.models import Entry
from installs.jobs.models import Event, Job
from installs.jobs.sealing import digest
from sitecalc.wording import day_words


@dataclass(frozen=True)
class PaperKept:
    """Of a paper what the record is held to; what it prints is too large to be kept at hand."""

    pk: int
    name: str
    heads: Heads
    sha256: str
    is_as_frozen: bool
    pdf_sha256: str


def papers_kept(job: Job) -> list[PaperKept]:
    rows = apps.get_model("installs.Paper").objects.filter(job=job).select_related("file").order_by("pk")
    return [_kept(job, paper) for paper in rows.iterator(chunk_size=1)]


def _kept(job: Job, paper: Any) -> PaperKept:
    day = day_words(job.local(paper.ordered_at), year=True)
    inputs = paper.inputs if isinstance(paper.inputs, dict) else {}
    return PaperKept(
        paper.pk,
        f"{paper.kind} {paper.letter} of {day}",
        _ends(inputs.get("heads")),
        paper.inputs_sha256,
        digest(paper.inputs) == paper.inputs_sha256,
        paper.file.sha256 if paper.file else "",
    )


def _ends(heads: Any) -> Heads:
    """A paper from before they were printed has none; of one that was altered what can still be read."""
    if not isinstance(heads, dict):
        return {}
    return {
        word: end
        for word, end in heads.items()
        if isinstance(end, list) and [type(each) for each in end] == [int, str]
    }


def paper_faults(
    papers: Sequence[PaperKept], events: Sequence[Event], entries: Iterable[Entry]
) -> Iterator[str]:
    """In words, without their stop. A paper that was altered bears no witness."""
    ordered, printed = _said(events, "paper ordered"), _said(events, "paper printed")
    chains = {
        LOG: {event.sequence: event.hash for event in events},
        ENTRIES: {entry.sequence: entry.hash for entry in entries},
    }
    for paper in papers:
        lines = ordered.pop(paper.pk, [])
        if not paper.is_as_frozen:
            yield f"Papers: what {paper.name} is printed from was altered"
        else:
            yield from (
                f"Papers: {paper.name} was printed at {lost}" for lost in lost_ends(paper.heads, chains)
            )
            if not any(event.data.get("inputs") == paper.sha256 for event in lines):
                yield f"Papers: no line of the log orders {paper.name} as it is"
        of_file = [event.data.get("pdf") for event in printed.get(paper.pk, [])]
        if paper.pdf_sha256 and paper.pdf_sha256 not in of_file:
            yield f"Papers: the PDF of {paper.name} is not one that the log says was printed"
    for lines in ordered.values():
        yield f"Papers: the one that line {lines[0].sequence} of the log ordered is gone"


def _said(events: Iterable[Event], verb: str) -> dict[Any, list[Event]]:
    found: dict[Any, list[Event]] = {}
    for event in events:
        if event.verb == verb and isinstance(event.data, dict):
            found.setdefault(event.data.get("paper"), []).append(event)
    return found
