"""Ordering a paper, trying it again, attaching what the engineer sealed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.heads import heads
from installs.files.models import StoredFile
from installs.files.services import bounded, pages_of, store_bytes
from installs.jobs.getters import locked
from installs.jobs.models import DesignRevision, Job
from installs.jobs.sealing import digest
from installs.jobs.services import next_letter, write_event
from installs.papers.catalog import Packet, packet_of, part_title
from installs.papers.freezing import frozen
from installs.papers.gathering import (
    before,
    cited,
    early_releases,
    gather,
    open_deviations,
    released_parts,
    sealed_words,
)
from installs.papers.models import Paper, SealedSheets
from installs.papers.pages import sheets_of
from installs.papers.standing import papers_of
from installs.people.models import Role, User
from installs.sent.once import OldPage
from installs.sent.seen import Read
from installs.work.models import State
from installs.work.services import request_work, try_again
from sitecalc.wording import day_words

RENDER = "papers.render"
MOST_SEALED_PAGES = 300


# what a paper is kept in: a transaction, or one of more than that
Saving = Callable[[], AbstractContextManager[Any]]


def order_paper(job: Job, kind: str, *, by: User, at: datetime, saving: Saving = transaction.atomic) -> Paper:
    """Freeze what the paper prints and ask a worker to print it. ValidationError says what is missing."""
    packet = packet_of(kind)
    letter = letter_for(job, packet)
    seal = seal_for(job, packet, cited(packet, released_parts(job)))
    # drawn outside the transaction: nobody waits for a lock while sheets are drawn
    gathered = gather(job, packet, letter, by=by, at=at, seal=seal)
    with saving():
        job = locked(job)
        still = {revision.pk for revision in cited(packet, released_parts(job))}
        if letter != letter_for(job, packet) or still != {revision.pk for revision in gathered.cites}:
            raise ValidationError("Something was released or ordered at the same time. Order it again.")
        return _kept(job, kind, letter, gathered.inputs, gathered.cites, seal, by=by, at=at)


def letter_for(job: Job, packet: Packet) -> str:
    return next_letter(job.papers.filter(kind=packet.kind).values_list("letter", flat=True))


def seal_for(job: Job, packet: Packet, cites: Iterable[DesignRevision]) -> SealedSheets | None:
    """The newest sealed sheets of this kind of paper that stand on exactly these releases."""
    wanted = {revision.pk for revision in cites}
    sealed = SealedSheets.objects.filter(job=job, paper__kind=packet.kind).select_related(
        "paper", "engineer", "file"
    )
    for seal in sealed.prefetch_related("paper__cites").order_by("-attached_at", "-pk"):
        if {revision.pk for revision in seal.paper.cites.all()} == wanted:
            return seal
    return None


def _kept(
    job: Job,
    kind: str,
    letter: str,
    inputs: dict[str, Any],
    cites: Iterable[DesignRevision],
    seal: SealedSheets | None,
    *,
    by: User,
    at: datetime,
) -> Paper:
    """The paper's row, its work request and one line in the log; the job is locked by the caller."""
    cited = list(cites)
    paper = Paper.objects.create(
        job=job,
        kind=kind,
        letter=letter,
        inputs=inputs,
        inputs_sha256=digest(inputs),
        seal=seal,
        ordered_by=by,
        ordered_at=at,
    )
    paper.cites.set(cited)
    paper.work = request_work(RENDER, {"paper": paper.pk}, by=by, at=at, key=f"paper {paper.pk}")
    paper.save(update_fields=["work"])
    said = ", ".join(f"{part_title(r.part).lower()} release {r.letter}" for r in cited)
    write_event(
        job,
        "paper ordered",
        f"{paper.get_kind_display()} {letter} ordered{f', citing {said}' if said else ''}.",
        by=by,
        at=at,
        data={"paper": paper.pk, "inputs": paper.inputs_sha256},
    )
    return paper


@transaction.atomic
def print_again(paper: Paper, *, by: User, at: datetime) -> None:
    """Try a failed or cancelled paper again, from the same frozen inputs."""
    job = locked(paper.job)
    if paper.work is None or paper.work.state not in (State.FAILED, State.CANCELLED):
        raise ValidationError("This paper has not failed; there is nothing to try again.")
    try_again(paper.work, by=by, at=at)
    write_event(
        job,
        "paper tried again",
        f"{paper.get_kind_display()} {paper.letter} is printed again.",
        by=by,
        at=at,
    )


def attach_seal(
    paper: Paper,
    upload: Any,
    engineer: User,
    sealed_on: date,
    *,
    sheets: Sequence[str],
    by: User,
    at: datetime,
    read: Read | None = None,
    saving: Saving = transaction.atomic,
) -> Paper:
    """Keep the engineer's sealed PDF and order the next letter, where it stands in place of our sheets.

    ``sheets`` are the numbers of those that were sealed. The paper that was reviewed stays as it is.
    ``read`` is what the page showed of it (``PaperState.shown``): OldPage where something else stands now.
    ValidationError at ``file``, ``engineer``, ``sealed_on`` or ``sheets``.
    """
    content, pages = sealed_pdf(upload)
    _require_sheets(paper, sheets, pages)
    if engineer.role != Role.ENGINEER:
        raise ValidationError({"engineer": "Only an engineer can seal sheets."})
    if sealed_on > paper.job.local(at).date():
        raise ValidationError({"sealed_on": "The seal's date is in the future."})
    if paper.file_id is None:
        raise ValidationError("This paper is not printed yet, so nobody can have sealed it.")
    _refuse_old(paper, read)  # before the file is kept, and again under the lock
    file = store_bytes(content, "application/pdf", getattr(upload, "name", "sealed.pdf"), by=by, at=at)
    with saving():
        job = locked(paper.job)
        _refuse_old(paper, read)
        seal = SealedSheets.objects.create(
            job=job,
            paper=paper,
            engineer=engineer,
            sealed_on=sealed_on,
            file=file,
            pages=pages,
            sheets=list(sheets),
            attached_by=by,
            attached_at=at,
        )
        write_event(
            job,
            "seal attached",
            f"Sheets {', '.join(sheets)} sealed by {engineer.named} on {day_words(sealed_on, year=True)} "
            f"attached to {paper.kind} {paper.letter}.",
            by=by,
            at=at,
            data={"sha256": file.sha256, "paper": paper.pk, "sheets": list(sheets)},
        )
        return _bound_with(job, paper, seal, by=by, at=at)


def _refuse_old(paper: Paper, read: Read | None) -> None:
    now = next(state.shown for state in papers_of([paper.job])[paper.job_id] if state.paper.pk == paper.pk)
    if read is not None and not read.is_of(now):
        raise OldPage(read, now)


def _require_sheets(paper: Paper, sheets: Sequence[str], pages: int) -> None:
    known = dict(sheets_of(paper.inputs))
    strange = [number for number in sheets if number not in known]
    if not sheets or strange:
        said = f"This paper has no sheet {strange[0]}." if strange else "Say which sheets bear the seal."
        raise ValidationError({"sheets": said})
    if pages < len(sheets):
        raise ValidationError(
            {"sheets": f"{len(sheets)} sheets are named, and the sealed PDF has {pages} pages."}
        )


def _bound_with(job: Job, paper: Paper, seal: SealedSheets, *, by: User, at: datetime) -> Paper:
    """The next letter: the sheets as reviewed, the sealed ones in their place, today's open deviations."""
    if digest(paper.inputs) != paper.inputs_sha256:
        raise ValidationError(
            "What was frozen for this paper no longer matches its hash. Order a new letter."
        )
    packet = packet_of(paper.kind)
    letter = letter_for(job, packet)
    changed = {
        "letter": letter,
        "printed": job.local(at),
        "by": by,
        "before": before(job, packet),
        "deviations": open_deviations(job),
        "early_releases": early_releases(job, at),
        "seal": sealed_words(seal),
        "heads": heads(job, at),
    }
    inputs = {**paper.inputs, **frozen(changed)}
    return _kept(job, paper.kind, letter, inputs, paper.cites.all(), seal, by=by, at=at)


def sealed_pdf(upload: Any) -> tuple[bytes, int]:
    """Bytes and number of pages; ValidationError at ``file`` when it cannot be bound."""
    try:
        content = bounded(upload)
        if not content.startswith(b"%PDF-"):
            raise ValidationError("This is not a PDF.")
        pages = pages_of(content)
    except ValidationError as error:
        raise ValidationError({"file": error.messages}) from error
    if pages > MOST_SEALED_PAGES:
        raise ValidationError({"file": f"A sealed set has 1 to {MOST_SEALED_PAGES} pages; this has {pages}."})
    return content, pages


def keep_printed(paper: Paper, content: bytes, pages: int, *, at: datetime) -> StoredFile:
    """The finished file of a paper; called in the transaction that marks the work done."""
    job = locked(paper.job, archived_too=True)  # it was ordered before
    file = store_bytes(content, "application/pdf", paper.file_name, by=paper.ordered_by, at=at)
    Paper.objects.filter(pk=paper.pk).update(file=file, pages=pages)
    write_event(
        job,
        "paper printed",
        f"{paper.get_kind_display()} {paper.letter} printed, {pages} page{'s' if pages != 1 else ''}.",
        by=paper.ordered_by,
        at=at,
        data={"paper": paper.pk, "inputs": paper.inputs_sha256, "pdf": file.sha256},
    )
    return file
