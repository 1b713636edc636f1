"""What a paper is worth today: whether a release it cites has been superseded or no longer stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from installs.jobs.models import DesignRevision, Job
from installs.jobs.standing import Footing, footings
from installs.papers.catalog import cited_words, in_order, part_title
from installs.papers.models import Paper, PaperKind
from installs.sent.seen import Seen, of_lines
from installs.work.models import State


@dataclass(frozen=True)
class PaperState:
    """A paper as its page shows it."""

    paper: Paper
    cites: str
    superseded: tuple[str, ...]
    void: tuple[str, ...]
    replaced_by: str

    @property
    def is_waiting(self) -> bool:
        work = self.paper.work
        return work is not None and work.state in (State.QUEUED, State.RUNNING)

    @property
    def is_stopped(self) -> bool:
        return self.paper.work is None or self.paper.work.state in (State.FAILED, State.CANCELLED)

    @property
    def why_stopped(self) -> str:
        work = self.paper.work
        if work is None:
            return "Nobody was asked to print it."
        return work.error or "It was cancelled before it was printed."

    @property
    def can_be_sealed(self) -> bool:
        """The newest letter of the packet, printed, and not sealed yet."""
        paper = self.paper
        printed = paper.kind == PaperKind.PERMIT_PACKET and paper.file_id is not None
        return printed and not self.replaced_by and paper.seal_id is None

    @property
    def shown(self) -> Seen:
        """What is read of it by who attaches the seal that it was given."""
        printed = self.paper.file.sha256[:8] if self.paper.file else "not printed"
        return of_lines(
            (
                ("paper", self.paper.get_kind_display(), f"{self.paper.letter}, check code {printed}"),
                ("newer", "Newer letter", self.replaced_by or "none"),
                ("cites", "Stands on", self.cites),
                ("superseded", "Superseded", "; ".join(self.superseded) or "no"),
                ("void", "Void", "; ".join(self.void) or "no"),
                ("seal", "Seal", f"of {self.paper.seal.engineer.named}" if self.paper.seal else "none yet"),
            )
        )

    @property
    def percent(self) -> int:
        return round(100 * self.paper.work.progress_share) if self.paper.work else 0


def papers_of(jobs: Iterable[Job]) -> dict[int, list[PaperState]]:
    """The papers of many jobs by job pk, newest first, in a constant number of queries."""
    standing = footings(list(jobs))
    keys = list(standing)
    papers = (
        Paper.objects.filter(job__in=keys)
        .defer("inputs")
        .select_related("job", "work", "file", "ordered_by", "seal__engineer")
        .prefetch_related("cites")
    )
    found: dict[int, list[PaperState]] = {key: [] for key in keys}
    newest: dict[tuple[int, str], str] = {}
    for paper in papers:
        newer = newest.setdefault((paper.job_id, paper.kind), paper.letter)
        found[paper.job_id].append(
            state_of(paper, standing[paper.job_id], newer if newer != paper.letter else "")
        )
    return found


def state_of(paper: Paper, standing: Footing, replaced_by: str) -> PaperState:
    cites = in_order(paper.cites.all())
    old = tuple(superseded(cites, standing.in_force))
    return PaperState(paper, cited_words(cites), old, tuple(void_words(cites, standing)), replaced_by)


def superseded(cites: Iterable[DesignRevision], in_force: Mapping[str, DesignRevision]) -> Iterable[str]:
    """ "foundation release B is in force" for each cited release that no longer is."""
    for revision in cites:
        newest = in_force.get(revision.part)
        if newest is not None and newest.pk != revision.pk:
            yield f"{part_title(revision.part).lower()} release {newest.letter} is in force"


def void_words(cites: Iterable[DesignRevision], standing: Footing) -> Iterable[str]:
    """Why cited releases that are in force no longer stand, a sentence each."""
    in_force = {revision.pk for revision in standing.in_force.values()}
    found = (standing.void(revision) for revision in cites if revision.pk in in_force)
    return dict.fromkeys(sentence for sentence in found if sentence)
