"""Everything a paper prints, gathered once when it is ordered and frozen as JSON."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.template.loader import select_template

from installs.checklists.heads import heads
from installs.files.keeping import read_bytes
from installs.jobs.figures import figures_of
from installs.jobs.getters import letters_in_force
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE
from installs.jobs.standing import Footing, footing
from installs.materials.standing import valuation_of
from installs.papers.catalog import (
    From,
    Packet,
    cited_words,
    part_title,
)
from installs.papers.freezing import frozen
from installs.papers.models import Paper, PaperKind, SealedSheets
from installs.papers.standing import void_words
from installs.people.models import Certificate, CertificateKind, Firm, User
from installs.picture.gathering import picture_of
from installs.picture.sheet import PAPER, TITLE
from installs.pour.review import load_cures

PLAIN_BODY = "installs/papers/_body.html"


@dataclass(frozen=True)
class Gathered:
    inputs: dict[str, Any]
    cites: list[DesignRevision]


def missing_for(packet: Packet, released: Mapping[str, DesignRevision], standing: Footing) -> list[str]:
    """Why the paper cannot be ordered yet, in words: what is not released, and what no longer stands."""
    missing = [f"{part_title(part)} is not released." for part in packet.parts if part not in released]
    cites = cited(packet, released)
    altered = [r for r in cites if standing.altered.get(r.pk)]
    missing += [f"{_sentence(standing.void(r))} Release it again." for r in altered]
    return missing + [
        f"{_sentence(words)} Release it again, or a named engineer confirms in writing that it stands."
        for words in void_words([r for r in cites if r not in altered], standing)
    ]


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def released_parts(job: Job) -> dict[str, DesignRevision]:
    return letters_in_force(job)


def cited(packet: Packet, released: Mapping[str, DesignRevision]) -> list[DesignRevision]:
    wanted = dict.fromkeys((*packet.parts, *packet.also_cites))
    return [released[part] for part in wanted if part in released]


def gather(
    job: Job, packet: Packet, letter: str, *, by: User, at: datetime, seal: SealedSheets | None = None
) -> Gathered:
    """What the paper of this letter prints. ValidationError says what is missing."""
    ends = heads(job, at)  # first: whatever is written meanwhile stands behind them
    released = released_parts(job)
    cites, standing = cited(packet, released), footing(job)
    missing = missing_for(packet, released, standing)
    if missing:
        raise ValidationError(missing)
    sheets = _sheets(job, packet, released)
    if not sheets and not packet.title_sheet:
        raise ValidationError("There is nothing to print yet.")
    releases = [release(revision, standing) for revision in cites]
    inputs = {
        "kind": packet.kind.value,
        "title": packet.title,
        "letter": letter,
        "size": packet.size,
        "title_sheet": packet.title_sheet,
        "appendix": packet.appendix,
        "printed": job.local(at),
        "by": by,
        **_firm(),
        "job": _job(job),
        "sheets": sheets,
        "equipment": equipment(cites) if packet.equipment_sheet else [],
        "criteria": criteria(cites) if packet.title_sheet else [],
        "picture": side_view(job, packet, at),
        "releases": releases,
        "has_confirmed": any(each["confirmed"] for each in releases),
        "deviations": open_deviations(job),
        "early_releases": early_releases(job, at),
        "before": before(job, packet),
        "seal": sealed_words(seal) if seal else None,
        "sealed_in": sealed_in(job, cites),
        "heads": ends,
    }
    return Gathered(frozen(inputs), cites)


def side_view(job: Job, packet: Packet, at: datetime) -> dict[str, Any]:
    """The job in one picture: for the title sheet, and for the list by which it is handed over."""
    if packet.title_sheet:
        return picture_of(job, at).on_paper(TITLE)
    return picture_of(job, at).on_paper(PAPER) if packet.kind == PaperKind.CHECKLISTS else {}


def _firm() -> dict[str, Any]:
    """The firm's row, its insurance in words, and its mark as a picture that the paper carries in itself."""
    firm = Firm.objects.first()
    mark = firm.mark if firm else None
    return {
        "firm": firm,
        "insured": firm.insured if firm else "",
        "mark": f"data:{mark.content_type};base64,{b64encode(read_bytes(mark)).decode()}" if mark else "",
    }


def _job(job: Job) -> dict[str, Any]:
    engineer = job.engineer
    license_number = ""
    if engineer:
        held = Certificate.objects.filter(
            person=engineer, kind=CertificateKind.ENGINEER, archived_on=None
        ).first()
        license_number = held.number if held else ""
    return {
        **{
            name: getattr(job, name)
            for name in (
                "number", "owner", "place", "county", "state", "address", "parcel", "authority", "utility",
                "description",
            )
        },
        "engineer": engineer.named if engineer else "",
        "electrician": ", ".join(_electricians(job)),
        "valuation": valued.in_words if (valued := valuation_of(job)) else "",
        "engineer_license": license_number,
        "permits": [
            {
                "kind": p.get_kind_display(),
                "asked_of": p.asked_of,
                "number": p.number,
                "granted_on": p.granted_on,
                "expires_on": p.expires_on,
            }
            for p in job.permits.filter(withdrawn_on=None)
        ],
    }  # fmt: skip


def _electricians(job: Job) -> list[str]:
    """ "Nadia Brandt, license ME-0000": those of the job, each with the license on file."""
    held = Certificate.objects.filter(
        person__memberships__job=job,
        person__memberships__until=None,
        kind=CertificateKind.ELECTRICIAN,
        archived_on=None,
    ).select_related("person")
    return [
        f"{each.person.named}, license {each.number}" for each in held.order_by("person__full_name", "pk")
    ]


def _sheets(job: Job, packet: Packet, released: Mapping[str, DesignRevision]) -> list[dict[str, Any]]:
    made = []
    for source in packet.sheets:
        revision = released.get(source.released_part)
        sheets = source.sheets()
        if source.if_released and revision is None:
            continue
        if sheets:
            made += [
                context
                for sheet in sheets
                for context in _given(source, sheet.name, sheet.make(job, revision))
            ]
        elif revision is not None:
            made.append(plain_sheet(source, revision))
    return made


def _given(source: From, name: str, given: Any) -> list[dict[str, Any]]:
    """A room gives one sheet, or a list of them where it has one for each list or lift."""
    contexts = [given] if isinstance(given, Mapping) else given
    return [_sheet(source, name, context) for context in contexts]


def _sheet(source: From, name: str, context: Mapping[str, Any]) -> dict[str, Any]:
    body = select_template([f"installs/{source.room}/_paper_{name}.html", PLAIN_BODY])
    return {
        "number": str(context["sheet"]),
        "title": str(context["title"]),
        "template": body.template.name,
        "part": source.released_part,
        "context": {**context, **({"size": source.size} if source.size else {})},
    }


def plain_sheet(source: From, revision: DesignRevision) -> dict[str, Any]:
    """The figures and checks of a release whose room draws no sheet of its own."""
    title = part_title(source.part)
    return {
        "number": f"{TABLE[source.part].sheet}-1",
        "title": title,
        "template": PLAIN_BODY,
        "part": source.released_part,
        "context": {
            "title": title,
            "drawings": {},
            "checks": revision.checks,
            "figures": figures_of(revision.part, revision.inputs, revision.stands_on),
        },
    }


def confirmed_words(standing: Footing, revision: DesignRevision) -> dict[str, Any] | None:
    """The engineer's word by which a release stands, as the appendix prints it."""
    word = standing.confirmation(revision)
    if word is None:
        return None
    return {
        "engineer": word.engineer.named,
        "words": word.in_words,
        "recorded_by": word.recorded_by.named if word.recorded_by_id != word.engineer_id else "",
        "letter_sha256": word.letter.sha256 if word.letter else "",
        "reason": word.reason,
        "was_void": word.was_void,
        "at": revision.job.local(word.confirmed_at),
    }


def release(revision: DesignRevision, standing: Footing) -> dict[str, Any]:
    """A cited release with all that the calculation appendix prints of it."""
    return {
        "part": revision.part,
        "title": part_title(revision.part),
        "letter": revision.letter,
        "sha256": revision.sha256,
        "released_at": revision.job.local(revision.released_at),
        "released_by": revision.released_by.named,
        "figures": figures_of(revision.part, revision.inputs, revision.stands_on),
        "checks": revision.checks,
        "stands_on": standing.in_words(revision),
        "confirmed": confirmed_words(standing, revision),
        "acceptances": {
            a.check_key: {
                "engineer": a.in_words,
                "reason": a.reason,
                "recorded_by": a.recorded_by.named if a.recorded_by else "",
                "at": revision.job.local(a.accepted_at),
            }
            for a in revision.acceptances.select_related("engineer", "recorded_by")
        },
        "letters": letters_of(revision, standing),
    }


def letters_of(revision: DesignRevision, standing: Footing) -> list[dict[str, Any]]:
    """The engineers' letters that a release stands by, each once: they are bound in behind the paper."""
    words = [a for a in revision.acceptances.select_related("engineer", "letter") if a.letter]
    confirmed = standing.confirmation(revision)
    found = {
        word.letter.sha256: {
            "sha256": word.letter.sha256,
            "content_type": word.letter.content_type,
            "words": word.in_words,
        }
        for word in [*words, *([confirmed] if confirmed else [])]
        if word.letter
    }
    return list(found.values())


def equipment(cites: Iterable[DesignRevision]) -> list[dict[str, Any]]:
    """Lines of the equipment list, of each part that has equipment."""
    lines: list[dict[str, Any]] = []
    for revision in cites:
        part = TABLE[revision.part]
        if part.equipment is not None:
            lines += [{"part": part.title, **line} for line in part.equipment(revision)]
    return lines


def criteria(cites: Iterable[DesignRevision]) -> list[dict[str, Any]]:
    """What the structure is designed for, as the releases have it: what nobody has given says so."""
    lines: list[dict[str, Any]] = []
    for revision in cites:
        names = TABLE[revision.part].criteria
        if names:
            kept = {name: revision.inputs.get(name) for name in names}
            found = figures_of(revision.part, {**revision.inputs, **kept}, revision.stands_on)
            lines += [line for line in found if line["name"] in names]
    return lines


def open_deviations(job: Job) -> list[dict[str, Any]]:
    standing = job.deviations.prefetch_related("answers").order_by("number")
    return [
        {
            "number": d.number,
            "title": d.title,
            "what": d.what,
            "opened_at": job.local(d.opened_at),
            "ordered": d.ordered,
        }
        for d in standing
        if d.is_open
    ]


def early_releases(job: Job, at: datetime) -> list[str]:
    """Early release of the cure gate by a named engineer: printed on every later paper."""
    state = load_cures([job], at).get(job.pk)
    return [state.early_release] if state and state.early_release else []


def before(job: Job, packet: Packet) -> list[dict[str, Any]]:
    """Earlier letters of the same paper, for the revision block."""
    papers = job.papers.filter(kind=packet.kind).select_related("ordered_by").prefetch_related("cites")
    return [_earlier(job, paper) for paper in papers.order_by("pk")]


def _earlier(job: Job, paper: Paper) -> dict[str, Any]:
    return {
        "letter": paper.letter,
        "at": job.local(paper.ordered_at),
        "by": paper.ordered_by.initials,
        "cites": cited_words(paper.cites.all()),
        "sealed": paper.seal_id is not None,
    }


def sealed_in(job: Job, cites: Iterable[DesignRevision]) -> dict[str, Any] | None:
    """The newest sealed set that stands on all of these releases, for a sheet printed alone."""
    wanted = {revision.pk for revision in cites}
    sealed = job.sealed_sheets.select_related("paper", "engineer", "file").prefetch_related("paper__cites")
    for seal in sealed.order_by("-attached_at", "-pk") if wanted else ():
        if wanted <= {revision.pk for revision in seal.paper.cites.all()}:
            return sealed_words(seal)
    return None


def sealed_words(seal: SealedSheets) -> dict[str, Any]:
    return {
        "engineer": seal.engineer.named,
        "sealed_on": seal.sealed_on,
        "pages": seal.pages,
        "sheets": seal.sheets,
        "sha256": seal.file.sha256,
        "paper": f"{seal.paper.kind} {seal.paper.letter}",
    }
