"""A named engineer's written word that a void release stands, by the engineer or by a letter."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.files.models import StoredFile
from installs.files.services import store_paper
from installs.jobs.getters import locked
from installs.jobs.models import Confirmation, DesignRevision, Job
from installs.jobs.sealing import digest
from installs.jobs.services import LONGEST_REASON, engineer_answers, in_words, write_event
from installs.jobs.standing import Footing, footing
from installs.measures import short_words
from installs.people.models import CertificateKind, Role, User
from installs.sent.once import OldPage
from installs.sent.seen import Read, Seen, of_lines
from sitecalc.wording import day_words

LONGEST_LICENSE = 60


@dataclass(frozen=True, kw_only=True)
class EngineersWord:
    """What the office records of an engineer who does not sign in. ``paper`` is the letter as it was sent."""

    engineer: User | None = None
    license: str = ""
    written_on: date | None = None
    paper: Any = None


def confirm_shown(revision: DesignRevision, standing: Footing) -> Seen:
    """What is read of the release in force by who gives their word that it stands."""
    return of_lines(
        (
            ("release", "Release in force", revision.letter),
            ("void", "Why it is void", standing.void(revision) or "it stands; there is nothing to confirm"),
            ("inputs", "Hash of its figures", digest(revision.inputs)),
            ("stands on", "Stands on", standing.in_words(revision) or "nothing"),
        )
    )


@transaction.atomic
def confirm_release(
    revision: DesignRevision,
    reason: str,
    *,
    by: User,
    at: datetime,
    read: Read | None = None,
    word: EngineersWord | None = None,
) -> Confirmation:
    """A named engineer's written word that a void release stands for what is in force now.

    By the engineer, or by the office with the engineer's letter: ``word``. ``read`` is what the page showed
    of it (``confirm_shown``) when the word was given: OldPage where something else stands now.
    ValidationError at its field, and where the release is not void.
    """
    job = locked(revision.job)
    standing = footing(job)
    newest = standing.in_force[revision.part]
    now = confirm_shown(newest, standing)
    if read is not None and not read.is_of(now):
        raise OldPage(read, now)
    said = word or EngineersWord()
    letter = stored_letter(said.paper, by, at)
    engineer = engineer_answers(by if by.role == Role.ENGINEER else said.engineer, letter, by)
    why = short_words(reason, LONGEST_REASON, "reason")
    if not why:
        raise ValidationError({"reason": "Say why it stands."})
    sentence = standing.void(revision)
    if newest.pk != revision.pk:
        raise ValidationError(f"Not confirmed: release {newest.letter} is in force. Read that one.")
    if not sentence:
        raise ValidationError("This release stands; there is nothing to confirm.")
    if standing.altered.get(revision.pk):
        raise ValidationError(f"Not confirmed: {sentence}. Release it again.")
    newest_below = standing.newest_below(revision)
    since = (
        (f"{in_words(newest_below.part)} {newest_below.letter} was released", newest_below.released_at)
        if newest_below
        else None
    )
    licensed, written_on = license_and_day(said, engineer, since, job, by, at)
    kept = Confirmation.objects.create(
        revision=revision, engineer=engineer, letter=letter, reason=why, recorded_by=by, confirmed_at=at,
        license=licensed, written_on=written_on, inputs_sha256=digest(revision.inputs),
        in_force=standing.fingerprint(revision), was_void=sentence[:500],
    )  # fmt: skip
    write_event(
        job,
        "release confirmed",
        f"{in_words(revision.part)} {revision.letter} stands, confirmed by {kept.in_words}: {why}",
        by=by,
        at=at,
        data={
            "part": revision.part,
            "letter": revision.letter,
            "in_force": kept.in_force,
            "was_void": sentence,
            "inputs": kept.inputs_sha256,
            "license": licensed,
            "engineer": engineer.pk,
            "written_on": written_on.isoformat(),
            "file": letter.sha256 if letter else "",
        },
    )
    return kept


def stored_letter(paper: Any, by: User, at: datetime) -> StoredFile | None:
    try:
        return store_paper(paper, by=by, at=at) if paper else None
    except ValidationError as error:
        raise ValidationError({"letter": error.messages}) from error


def license_and_day(
    word: EngineersWord,
    engineer: User,
    since: tuple[str, datetime] | None,
    job: Job,
    by: User,
    at: datetime,
) -> tuple[str, date]:
    """License and date of the word; an engineer's own is of today, under the license on record.

    ``since`` says what it is about and from when that is: a letter from before cannot mean it.
    """
    today = job.local(at).date()
    if engineer == by:
        return short_words(word.license, LONGEST_LICENSE, "license") or license_of(engineer, today), today
    licensed = short_words(word.license, LONGEST_LICENSE, "license")
    if not licensed:
        raise ValidationError({"license": f"{engineer.full_name}'s license, as the letter says it."})
    if word.written_on is None:
        raise ValidationError({"written_on": "The date of the letter."})
    if word.written_on > today:
        raise ValidationError({"written_on": "This date has not come yet."})
    if since is not None and word.written_on < (from_day := job.local(since[1]).date()):
        said = f"{since[0]} {day_words(from_day, year=True)}"
        raise ValidationError({"written_on": f"{said}: an older letter cannot mean it."})
    return licensed, word.written_on


def license_of(engineer: User, day: date) -> str:
    """The number of the license on record that is valid on a day; "" where none is."""
    held = engineer.certificates.filter(kind=CertificateKind.ENGINEER).exclude(number="")
    valid = [card for card in held if card.valid_on(day)]
    return max(valid, key=lambda card: card.expires_on or day).number if valid else ""
