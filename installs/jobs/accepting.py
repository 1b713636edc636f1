"""The office records an engineer's letter that accepts open checks of a draft: for exactly its figures."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.files.models import StoredFile
from installs.files.services import refuse_unbindable
from installs.jobs.confirming import EngineersWord, license_and_day, stored_letter
from installs.jobs.drafts import Draft
from installs.jobs.getters import locked
from installs.jobs.models import DraftAcceptance, Job
from installs.jobs.sealing import digest
from installs.jobs.services import LONGEST_REASON, engineer_answers, in_words, keep_acceptance
from installs.measures import short_words
from installs.people.models import User
from sitecalc.checks import Check
from sitecalc.wording import day_words


@transaction.atomic
def accept_by_letter(
    draft: Draft,
    part: str,
    checks: Iterable[Check],
    named: Collection[str],
    reason: str,
    *,
    by: User,
    at: datetime,
    word: EngineersWord,
    on_record: StoredFile | None = None,
) -> list[DraftAcceptance]:
    """Each check whose key is ``named`` is accepted by the letter, which is bound to the draft's figures.

    ``on_record`` is a letter of the job that was recorded before, for a part that it accepts too.

    ValidationError at its field: no engineer, no letter, one that is older than the draft, no check that
    is open. A figure that changes afterwards leaves the acceptance behind.
    """
    job = locked(draft.job)
    try:
        refuse_unbindable(word.paper)
    except ValidationError as error:
        raise ValidationError({"letter": error.messages}) from error
    letter = on_record or stored_letter(word.paper, by, at)
    engineer = engineer_answers(word.engineer, letter, by)
    why = short_words(reason, LONGEST_REASON, "reason")
    if not why:
        raise ValidationError({"reason": "Say what the letter says."})
    open_checks = [check for check in checks if check.key in named and check.needs_answer]
    if not open_checks or len(open_checks) != len(set(named)):
        raise ValidationError({"checks": "Choose the open checks that the letter accepts."})
    said = f"The {in_words(part).lower()} draft was changed"
    since = (said, draft.changed_at) if draft.changed_at else None
    licensed, written_on = license_and_day(word, engineer, since, job, by, at)
    given = {
        "engineer": engineer,
        "license": licensed,
        "written_on": written_on,
        "letter": letter,
        "recorded_by": by,
        "reason": why,
    }
    told = {
        "engineer": engineer.pk,
        "license": licensed,
        "written_on": written_on.isoformat(),
        "letter": letter.pk if letter else None,
        "file": letter.sha256 if letter else "",
        "part": part,
    }
    how = f", by {engineer.named}, license {licensed}, in a letter of {day_words(written_on, year=True)},"
    inputs = draft.inputs()
    kept = [
        keep_acceptance(job, part, inputs, check, given, by=by, at=at, told=told, how=how)
        for check in open_checks
    ]
    before = [each for each in kept if each.accepted_at != at]
    if before:
        raise ValidationError({"checks": f"{in_words(part)}: {before[0].check_key} is accepted already."})
    return kept


def accepted_of(draft: Draft, part: str) -> dict[str, DraftAcceptance]:
    """By the key of the check, of the draft as it stands."""
    given = draft.job.draft_acceptances.filter(part=part, inputs_sha256=digest(draft.inputs()))
    return {each.check_key: each for each in given.select_related("engineer", "letter", "recorded_by")}


def letters_of(job: Job) -> list[DraftAcceptance]:
    """The letters on record of a job's drafts, the newest first, each file once."""
    rows = job.draft_acceptances.exclude(letter=None).select_related("engineer", "letter")
    found = {row.letter_id: row for row in rows.order_by("accepted_at", "pk")}
    return list(found.values())[::-1]
