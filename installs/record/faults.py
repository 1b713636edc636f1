"""What is broken in a job's record, in words: log, field record, releases, acceptances, files.

Nothing here changes anything. A fault names the line, so that a copy of the database can be asked what
stood there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.apps import apps

from installs.checklists.models import Entry
from installs.checklists.services import entry_faults, notes_faults, numbers_of
from installs.files.models import StoredFile
from installs.jobs.models import Acceptance, Confirmation, DesignRevision, DraftAcceptance, Event, Job
from installs.jobs.sealed import Decided
from installs.jobs.sealing import digest, is_hash_of, log_faults, release_hash
from installs.people.firm_log import every_line, firm_log_faults
from installs.people.models import FirmEvent
from installs.record.files import file_faults, files_of
from installs.record.models import FirmLogCheck, RecordCheck
from installs.record.papers import PaperKept, paper_faults, papers_kept
from sitecalc.wording import day_words


@dataclass(frozen=True)
class Record:
    """All of it, as the database holds it now."""

    job: Job
    releases: Sequence[DesignRevision]
    drafts: Sequence[DraftAcceptance]
    confirmed: Sequence[Confirmation]
    signed: Sequence[Any]
    papers: Sequence[PaperKept]
    events: Sequence[Event]
    entries: Sequence[Entry]
    files: list[StoredFile]

    @classmethod
    def of(cls, job: Job) -> Record:
        signatures = apps.get_model("installs.LiftSignature").objects
        # releases, acceptances, papers and entries first: what is written meanwhile has its line in the log
        # by then
        papers, entries = papers_kept(job), _entries(job)
        return cls(
            job,
            list(job.revisions.prefetch_related("acceptances")),
            list(job.draft_acceptances.all()),
            list(Confirmation.objects.filter(revision__job=job).select_related("revision")),
            list(signatures.filter(revision__job=job).select_related("revision")),
            papers,
            list(job.events.order_by("sequence")),
            entries,
            files_of(job),
        )

    def faults(self, last: RecordCheck | None) -> list[str]:
        """In sentences without their stop; empty when it is whole. ``last`` says where it ended then."""
        return [
            *(f"Log: {words}" for words in log_faults(self.events)),
            *(f"Field record: {words}" for words in entry_faults(self.entries, numbers_of(self.job))),
            *(f"Field record: {words}" for words in notes_faults(self.entries, self.events)),
            *self._lost_ends(last),
            *paper_faults(self.papers, self.events, self.entries),
            *self._releases(),
            *self._acceptances(),
            *self._words(),
            *file_faults(self.files),
        ]

    def _lost_ends(self, last: RecordCheck | None) -> list[str]:
        if last is None or last.whole_at is None:
            return []
        day = self.job.local(last.whole_at)
        then = f"that ended it on {day_words(day, year=True)}, is gone or is another"
        found = []
        if last.log_end and (last.log_end, last.log_end_hash) not in (
            (e.sequence, e.hash) for e in self.events
        ):
            found.append(f"Log: line {last.log_end} {then}")
        ends = ((e.sequence, e.hash) for e in self.entries)
        if last.field_end and (last.field_end, last.field_end_hash) not in ends:
            found.append(f"Field record: entry {last.field_end} {then}")
        return found

    def _releases(self) -> list[str]:
        """A release is what it was frozen as, and what the log says was frozen."""
        logged = {
            (said.get("part"), said.get("letter")): (event, said)
            for event, said in self._said("design released")
        }
        found = []
        for release in self.releases:
            name = f"{release.part} release {release.letter}"
            event, said = logged.pop((release.part, release.letter), (None, {}))
            if not is_hash_of(release.sha256, partial(release_hash, release)):
                found.append(f"Releases: {name} was altered")
            if event is None:
                found.append(f"Releases: {name} is in no line of the log")
            elif said.get("sha256") != release.sha256:
                found.append(f"Releases: {name} is not the one of line {event.sequence} of the log")
        for (part, letter), (event, _) in logged.items():
            found.append(f"Releases: {part} release {letter} of line {event.sequence} is gone")
        return found

    def _said(self, verb: str) -> list[tuple[Event, dict[str, Any]]]:
        """Lines of the log with their further facts, where these are facts still."""
        lines = (event for event in self.events if event.verb == verb)
        return [(event, event.data if isinstance(event.data, dict) else {}) for event in lines]

    def _acceptances(self) -> list[str]:
        """Each stands on what a named engineer accepted for exactly the inputs that the release froze."""
        return [
            f"Acceptances: {given.check_key} of {release.part} release {release.letter}"
            " is not as the engineer gave it"
            for release in self.releases
            for given in release.acceptances.all()
            if not self._was_given(release, given)
        ]

    def _words(self) -> Iterator[str]:
        """Confirmations and signatures, each by its line of the log."""
        log = Decided(tuple(self.events))
        for name, rows, said in (
            ("Confirmations", self.confirmed, log.confirmed),
            ("Signatures", self.signed, log.signed),
        ):
            for row in rows:
                if not said(row):
                    release = f"{row.revision.part} release {row.revision.letter}"
                    yield f"{name}: one of {release} is not as the log tells of it"

    def _was_given(self, release: DesignRevision, given: Acceptance) -> bool:
        inputs = digest(release.inputs)
        drafted = any(
            (d.part, d.inputs_sha256, d.check_key) == (release.part, inputs, given.check_key)
            and (d.engineer_id, d.reason, d.accepted_at, d.letter_id, d.license, d.written_on)
            == (
                given.engineer_id,
                given.reason,
                given.accepted_at,
                given.letter_id,
                given.license,
                given.written_on,
            )
            for d in self.drafts
        )
        return drafted and Decided(tuple(self.events)).accepted(release, given)


def _entries(job: Job) -> list[Entry]:
    return list(job.entries.select_related("photo", "corrects", "device").order_by("sequence"))


@dataclass(frozen=True)
class FirmRecord:
    """The firm's log gone over once, from its first line to its last."""

    lines: int
    end: int
    end_hash: str
    faults: list[str]

    @classmethod
    def of(cls, last: FirmLogCheck | None) -> FirmRecord:
        """``last`` says where it ended when it was last whole."""
        wanted = (last.end, last.end_hash) if last is not None and last.end else None
        lines, end, end_hash, there = 0, 0, "", False

        def read() -> Iterator[FirmEvent]:
            nonlocal lines, end, end_hash, there
            for line in every_line():
                lines, end, end_hash = lines + 1, line.sequence, line.hash
                there = there or (end, end_hash) == wanted
                yield line

        faults = firm_log_faults(read())
        if last is not None and last.whole_at is not None and wanted and not there:
            day = day_words(last.whole_at, year=True)
            faults.append(f"line {last.end} that ended it on {day}, is gone or is another")
        return cls(lines, end, end_hash, faults)
