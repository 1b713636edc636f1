"""Whether what is decided by is as it was sealed: releases, and what engineers and signers gave, by the log.

A release is held to the hash of what it froze, and to the line of the log that released it. An acceptance, a
confirmation and a signature have no hash of their own: each counts while a line of the log, itself as it was
sealed, says it so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.db.models import Func, TextField
from django.db.models.functions import Cast, Concat

from installs.jobs.kept import Kept
from installs.jobs.models import Acceptance, Confirmation, DesignRevision, DraftAcceptance, Event, Job
from installs.jobs.reading import read_once
from installs.jobs.sealing import digest, is_as_sealed, is_hash_of, release_hash

RELEASED, ACCEPTED, CONFIRMED, SIGNED = (
    "design released", "check accepted", "release confirmed", "lift plan signed"
)  # fmt: skip
SHEET_KEPT = "signed sheet kept"
DECISIONS = (RELEASED, ACCEPTED, CONFIRMED, SIGNED, SHEET_KEPT)
FROZEN = ("inputs", "results", "checks", "stands_on")
# whether a release is as sealed is worked out once for the same words of the database: 1 ms, and a page of
# many jobs asks it of hundreds
_AS_SEALED = Kept(most=20_000)


class OfWords(Func):
    """SHA-256 of a text, worked out where it lies. SQLite has it from Django, PostgreSQL of its own."""

    function = "SHA256"
    output_field = TextField()

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template = "ENCODE(SHA256(CONVERT_TO(%(expressions)s, 'UTF8')), 'hex')"
        return super().as_sql(compiler, connection, template=template, **more)


def words_of_release() -> OfWords:
    """Of everything that a release froze, as the database has it now."""
    return OfWords(Concat(*(Cast(name, TextField()) for name in FROZEN)))


def altered(revisions: Iterable[Any]) -> set[int]:
    """Keys of those that are not what they were sealed as; each is annotated with ``words_of_release``."""
    wanted = {r.pk: (r.sha256, r.words) for r in revisions}

    def judged(keys: list[int]) -> dict[int, bool]:
        rows = DesignRevision.objects.filter(pk__in=keys)
        return {r.pk: is_hash_of(r.sha256, partial(release_hash, r)) for r in rows}

    return {pk for pk, whole in _AS_SEALED.each(wanted, judged).items() if not whole}


@dataclass(frozen=True)
class Decided:
    """Lines of a job's log by which something was decided; those that were altered say nothing."""

    lines: tuple[Event, ...]

    def tells(self, verb: str) -> bool:
        """Whether any line does."""
        return any(line.verb == verb for line in self.lines)

    def said(self, verb: str) -> Iterable[tuple[Event, Mapping[str, Any]]]:
        return ((line, line.data) for line in self.lines if line.verb == verb and isinstance(line.data, dict))

    def fault(self, release: DesignRevision, *, is_altered: bool) -> str:
        """Why a release may not be used, in words; "" where it is what was released."""
        if is_altered:
            return "was altered after it was released: its figures do not give its check code"
        asked = {"part": release.part, "letter": release.letter}
        told = [data for _, data in self.said(RELEASED) if asked.items() <= data.items()]
        if not any(data.get("sha256") == release.sha256 for data in told):
            return "was altered after it was released: no line of the log tells of it as it is"
        lost = [a.check_key for a in release.acceptances.all() if not self.accepted(release, a)]
        return f"has an acceptance that no engineer gave: {', '.join(lost)}" if lost else ""

    def accepted(self, release: DesignRevision, given: Acceptance) -> bool:
        return self._accepted(digest(release.inputs), given)

    def accepted_of_draft(self, given: DraftAcceptance) -> bool:
        return self._accepted(given.inputs_sha256, given)

    def _accepted(self, inputs: str, given: Acceptance | DraftAcceptance) -> bool:
        return any(
            (data.get("check"), data.get("inputs")) == (given.check_key, inputs)
            and (line.by_id, line.at) == (given.recorded_by_id or given.engineer_id, given.accepted_at)
            and data.get("engineer", line.by_id) == given.engineer_id
            and (data.get("license", ""), data.get("written_on"), data.get("letter")) == _of_letter(given)
            and says(line.what, f"accepted: {given.reason}")
            for line, data in self.said(ACCEPTED)
        )

    def confirmed(self, given: Confirmation) -> bool:
        """Facts that a line does not have are of a time after it."""
        told = {
            "part": given.revision.part,
            "letter": given.revision.letter,
            "in_force": given.in_force,
            "inputs": given.inputs_sha256,
            "license": given.license,
            "engineer": given.engineer_id,
        }
        return any(
            all(data.get(name, value) == value for name, value in told.items())
            and (line.by_id, line.at) == (given.recorded_by_id, given.confirmed_at)
            and says(line.what, f": {given.reason}")
            for line, data in self.said(CONFIRMED)
        )

    def signed(self, given: Any) -> bool:
        """A signature under a lift plan."""
        told = {
            "which": given.revision.part,
            "letter": given.revision.letter,
            "role": given.role,
            "sha256": given.revision.sha256,
            "person": given.person_id,
        }
        return any(
            all(data.get(name, value) == value for name, value in told.items())
            and (line.by_id, line.at) == (given.recorded_by_id, given.signed_at)
            for line, data in self.said(SIGNED)
        )

    def sheets(self, signature: Any) -> list[Any]:
        """The signed papers of a signature that the log tells of, the newest last."""
        told = {
            data.get("file") for _, data in self.said(SHEET_KEPT) if data.get("signature") == signature.pk
        }
        return [sheet for sheet in signature.sheets.all() if sheet.file.sha256 in told]


def _of_letter(given: Acceptance | DraftAcceptance) -> tuple[str, str | None, int | None]:
    """Of an engineer's own word nothing: it has no letter."""
    return given.license, given.written_on.isoformat() if given.written_on else None, given.letter_id


def says(line: str, words: str) -> bool:
    """Whether the line ends with the words, or with as much of them as a line of the log holds."""
    full = Event._meta.get_field("what").max_length
    return line.endswith(words) or (len(line) == full and words.startswith(line[line.find(words[:20]) :]))


@read_once
def decided(jobs: Sequence[Job]) -> dict[int, Decided]:
    """By job's key, in one query however many jobs there are."""
    keys = [job.pk for job in jobs]
    found: dict[int, list[Event]] = {key: [] for key in keys}
    for event in Event.objects.filter(job__in=keys, verb__in=DECISIONS).order_by("sequence"):
        if is_as_sealed(event):
            found[event.job_id].append(event)
    return {key: Decided(tuple(lines)) for key, lines in found.items()}
