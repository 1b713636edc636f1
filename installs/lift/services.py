"""Signing a lift plan."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.jobs.getters import locked
from installs.jobs.models import DesignRevision, Job
from installs.jobs.services import write_event
from installs.jobs.standing import footing
from installs.lift.card import limits
from installs.lift.checking import review_figures
from installs.lift.models import LiftDesign, LiftSignature, SignatureRole, row_of
from installs.lift.review import changed_since
from installs.people.access import may
from installs.people.models import Firm, User

NAMED_AS = {SignatureRole.DIRECTOR: "lift_director", SignatureRole.OPERATOR: "operator"}


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


def _limits(revision: DesignRevision) -> list[dict[str, str]]:
    """The limits of the card as they stand under the signature."""
    firm = Firm.objects.first()
    found = limits(review_figures(revision.inputs), stop_word=firm.stop_word if firm else "stop")
    return [{"word": limit.word, "text": limit.text} for limit in found]


@transaction.atomic
def sign_plan(job: Job, which: str, letter: str, role: str, *, by: User, at: datetime) -> LiftSignature:
    """Sign the plan in force. ``letter`` is the one the signer had on the page: another is refused."""
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
    if kept:
        return kept
    signature = LiftSignature.objects.create(
        revision=revision,
        role=role,
        person=signer,
        signed_at=at,
        recorded_by=by,
        limits=_limits(revision),
    )
    seen = "" if by.pk == signer.pk else f", on paper, seen by {by.full_name}"
    write_event(
        job,
        "lift plan signed",
        f"Plan {letter} of the {which} signed by {signer.full_name}, {role}{seen}.",
        by=by,
        at=at,
        data={"which": which, "letter": letter, "role": role, "sha256": revision.sha256, "person": signer.pk},
    )
    return signature
