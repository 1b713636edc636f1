"""Signing a lift plan."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.files.services import store_paper
from installs.jobs.firm import the_firm
from installs.jobs.getters import locked
from installs.jobs.models import DesignRevision, Job
from installs.jobs.reading import read_once
from installs.jobs.sealed import SHEET_KEPT
from installs.jobs.services import write_event
from installs.jobs.standing import footing
from installs.lift.card import limits
from installs.lift.checking import review_figures
from installs.lift.models import LiftDesign, LiftSignature, SignatureRole, SignedSheet, row_of
from installs.lift.review import changed_since
from installs.people.access import may
from installs.people.models import User
from installs.sent.seen import Seen, of_lines
from sitecalc.wording import day_words

NAMED_AS = {SignatureRole.DIRECTOR: "lift_director", SignatureRole.OPERATOR: "operator"}


@read_once
def signers(revision: DesignRevision) -> dict[str, User | None]:
    """Who may sign a released plan, by role: the people it names."""
    keys = {role: row_of(revision.inputs, name).get("record") for role, name in NAMED_AS.items()}
    people = User.objects.in_bulk([pk for pk in keys.values() if pk])
    return {role: people.get(pk) for role, pk in keys.items()}


def may_record(by: User, signer: User) -> bool:
    """Oneself; or, for somebody who cannot sign in, the office or a foreman who saw the paper signed."""
    if by.pk == signer.pk:
        return True
    return not signer.is_active and (may(by, "order papers") or by.role == "foreman")


@read_once
def limits_of_plan(revision: DesignRevision) -> list[dict[str, str]]:
    """The limits of the card as they stand under the signature."""
    firm = the_firm()
    found = limits(review_figures(revision.inputs), stop_word=firm.stop_word if firm else "stop")
    return [{"word": limit.word, "text": limit.text} for limit in found]


def sign_shown(job: Job, which: str, role: str) -> Seen:
    """What who signs as ``role`` has read: the plan in force, its limits, who signs, why it would be void."""
    return _shown_by_role(job, which).get(role, {})


@read_once
def _shown_by_role(job: Job, which: str) -> dict[str, Seen]:
    standing = footing(job)
    revision = standing.in_force.get(which)
    if revision is None:
        return {}
    draft = LiftDesign.objects.filter(job=job, which=which).first()
    void = "; ".join(changed_since(revision, draft, standing)) or "no"
    limits = [(limit["word"], limit["word"], limit["text"]) for limit in limits_of_plan(revision)]
    signed = {kept.role: kept for kept in LiftSignature.objects.filter(revision=revision)}

    def shown(role: str, signer: User | None) -> Seen:
        kept = signed.get(role)
        words = f"of {day_words(job.local(kept.signed_at), year=True)}" if kept else "none yet"
        return of_lines(
            [
                ("plan", "Plan in force", f"{revision.letter}, check code {revision.sha256[:8]}"),
                ("signer", f"Signs as {role}", signer.full_name if signer else "nobody named"),
                ("signed", "Signature", words),
                ("void", "Void", void),
                *limits,
            ]
        )

    return {role: shown(role, signer) for role, signer in signers(revision).items()}


@transaction.atomic
def sign_plan(
    job: Job, which: str, letter: str, role: str, *, by: User, at: datetime, sheet: Any = None
) -> LiftSignature:
    """Sign the plan in force. ``letter`` is the one the signer had on the page: another is refused.

    ``sheet`` is the signed paper, as photo or PDF, of who does not sign by the own hand. Without it the
    signature is recorded all the same, and card and paper say by whom and that nobody sees the sheet here. It
    may come later, by the same call.
    """
    job = locked(job)
    revision = job.revisions.newest(which)
    if revision is None:
        raise ValidationError(f"No plan of the {which} is released.")
    if revision.letter != letter:
        raise ValidationError(f"Plan {letter} is superseded by {revision.letter}. Read and sign that one.")
    if role not in NAMED_AS:
        raise ValidationError("The lift director and the operator sign.")
    changed = changed_since(revision, LiftDesign.objects.filter(job=job, which=which).first(), footing(job))
    if changed:
        raise ValidationError(
            [f"{said[:1].upper()}{said[1:]}. Release it again before it is signed." for said in changed]
        )
    signer = signers(revision)[role]
    if signer is None:
        raise ValidationError(f"The plan names no {role}.")
    if not may_record(by, signer):
        raise ValidationError(f"Only {signer.full_name} signs as {role}.")
    kept = LiftSignature.objects.filter(revision=revision, role=role).first()
    signature = kept or _signed(revision, role, signer, by, at)
    if sheet:
        _keep_sheet(signature, sheet, by, at)
    return signature


def _signed(revision: DesignRevision, role: str, signer: User, by: User, at: datetime) -> LiftSignature:
    job, which, letter = revision.job, revision.part, revision.letter
    signature = LiftSignature.objects.create(
        revision=revision,
        role=role,
        person=signer,
        signed_at=at,
        recorded_by=by,
        limits=limits_of_plan(revision),
    )
    seen = f", by the word of {by.full_name}" if signature.by_another_hand else ""
    write_event(
        job,
        "lift plan signed",
        f"Plan {letter} of the {which} signed by {signer.full_name}, {role}{seen}.",
        by=by,
        at=at,
        data={"which": which, "letter": letter, "role": role, "sha256": revision.sha256, "person": signer.pk},
    )
    return signature


def _keep_sheet(signature: LiftSignature, upload: Any, by: User, at: datetime) -> None:
    try:
        file = store_paper(upload, by=by, at=at)
    except ValidationError as error:
        raise ValidationError(
            [f"The signed sheet was not kept: {words}" for words in error.messages]
        ) from error
    _, new = SignedSheet.objects.get_or_create(
        signature=signature, file=file, defaults={"kept_at": at, "kept_by": by}
    )
    if new:
        plan, signer = signature.revision, f"{signature.person.full_name}, {signature.role}"
        write_event(
            plan.job,
            SHEET_KEPT,
            f"Signed sheet of plan {plan.letter} of the {plan.part} kept: {signer}.",
            by=by,
            at=at,
            data={"signature": signature.pk, "file": file.sha256, "letter": plan.letter},
        )
