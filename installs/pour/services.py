"""What is written down about a pour: tickets, temperatures, a logger's file, strength, early release."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.models import Entry
from installs.checklists.standing import standing
from installs.checklists.taking import take_entry
from installs.files.services import store_bytes, store_paper
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.services import LONGEST_REASON, write_event
from installs.measures import short_words
from installs.people.models import Role, User
from installs.pour.field_log import CODES, TRUCK, read_log, truck_number
from installs.pour.judging import judge_notice
from installs.pour.models import CureKind, EarlyRelease, StrengthNotice
from installs.pour.review import notice_fact
from installs.pour.temperatures import CONCRETE
from installs.sent.seen import Seen, of_lines
from sitecalc.pour.logger import LoggerLog
from sitecalc.wording import day_words

# --- field record -----------------------------------------------------------------------------------


@transaction.atomic
def record_truck(job: Job, ticket: Mapping[str, Any], *, by: User, at: datetime) -> list[Entry]:
    """One truck's ticket and readings as entries; what already stands and differs is corrected.

    ``ticket`` has the fields of forms.TruckForm with instants. ValidationError if something that stands
    is changed without saying why.
    """
    job = locked(job)
    subject = f"truck {ticket['truck']}"
    taken_at = ticket.get("discharged") or ticket["batched"]
    stands = _standing_truck(job, ticket["truck"])
    wanted = _truck_entries(ticket)
    changed = [code for code, fields in wanted.items() if code in stands and _differs(stands[code], fields)]
    if changed and not ticket.get("why"):
        raise ValidationError({"why": f"Truck {ticket['truck']} is on record with other terms. Say why."})
    taken = []
    for code, fields in wanted.items():
        kept = stands.get(code)
        if kept is not None and code not in changed:
            continue
        if kept is not None and code != "D01":
            fields = {**fields, "text": ticket["why"]}
        taken.append(
            take_entry(
                job, by=by, received_at=at, taken_at=taken_at, code=code, subject=subject,
                corrects=kept.uuid if kept is not None else None, **fields,
            ).entry
        )  # fmt: skip
    return taken


@transaction.atomic
def renumber_truck(job: Job, number: int, key: str, *, by: User, at: datetime) -> int:
    """What one hand wrote of a truck that another wrote of too is of another truck: it gets the next number.

    Each entry is corrected by the same under the new number, with its own time. ``key`` is the hand's, as it
    was read. ValidationError where nobody differs any more.
    """
    job = locked(job)
    trucks = read_log(job.entries.filter(code__in=CODES).select_related("person"), job.zone).trucks
    asked = next((t for t in trucks if t.number == number), None)
    hand = next((h for h in asked.hands if h.key == key), None) if asked else None
    if hand is None:
        raise ValidationError(f"What was written of truck {number} has changed. Read it again.")
    other = max(t.number for t in trucks) + 1
    for entry in hand.entries.values():
        take_entry(
            job, by=by, received_at=at, taken_at=entry.happened_at, code=entry.code, subject=f"truck {other}",
            corrects=entry.uuid, number=entry.number, unit=entry.unit, text=entry.text, photo=entry.photo,
            data={**entry.data},
        )  # fmt: skip
    return other


def _standing_truck(job: Job, number: int) -> dict[str, Entry]:
    entries = standing(job.entries.filter(code__in=TRUCK))
    return {e.code: e for e in entries if truck_number(e.subject) == number}


def _differs(kept: Entry, fields: Mapping[str, Any]) -> bool:
    same_number = (kept.number is None and fields.get("number") is None) or (
        kept.number is not None
        and fields.get("number") is not None
        and abs(kept.number - fields["number"]) < 1e-9
    )
    told, was = (
        {k: v for k, v in d.items() if k != "confirmed"} for d in (fields.get("data") or {}, kept.data)
    )
    return not same_number or (bool(told) and was != told)


def _truck_entries(ticket: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Fields of the entries by code; nothing for what was not measured."""
    data = {"ticket": ticket["ticket"], "batched_at": ticket["batched"].isoformat()}
    if ticket.get("discharged"):
        data["discharged_at"] = ticket["discharged"].isoformat()
    if ticket.get("water_allowed") is not None:
        data["water_allowed_gal"] = ticket["water_allowed"]
    if ticket.get("refused"):
        data["refused"] = True
    if ticket.get("confirmed"):
        data["confirmed"] = ticket["confirmed"]
    found: dict[str, dict[str, Any]] = {
        "D01": {
            "number": ticket["yards"],
            "unit": "yd3",
            "text": ticket.get("why") or ticket["ticket"],
            "data": data,
        }
    }
    if ticket.get("discharged"):
        minutes = (ticket["discharged"] - ticket["batched"]).total_seconds() / 60
        found["D02"] = {"number": minutes, "unit": "min"}
    for code, name, unit in (
        ("D03", "slump", "in"), ("D04", "air", "%"), ("D05", "concrete", "F"), ("D07", "water", "gal"),
    ):  # fmt: skip
        if ticket.get(name) is not None:
            found[code] = {"number": ticket[name], "unit": unit}
    return found


@transaction.atomic
def record_temperature(job: Job, fields: Mapping[str, Any], *, by: User, at: datetime) -> Entry:
    """A temperature read by hand, or a sensor taken out, as one entry."""
    job = locked(job)
    data: dict[str, Any] = {"removed": True} if fields.get("removed") else {}
    if fields.get("confirmed"):
        data["confirmed"] = fields["confirmed"]
    same = job.entries.filter(
        code=CONCRETE, subject=fields["sensor"][:60], taken_at=fields["taken"], number=fields.get("temp")
    )
    if any(e.data == data for e in standing(same)):
        raise ValidationError({"temp": "This reading is on record already."})
    taken = take_entry(
        job, by=by, received_at=at, taken_at=fields["taken"], code=CONCRETE, subject=fields["sensor"],
        number=fields.get("temp"), unit=fields["unit"], text=fields.get("note", ""), data=data,
    )  # fmt: skip
    return taken.entry


@transaction.atomic
def import_log(
    job: Job, content: bytes, log: LoggerLog, how: Mapping[str, Any], name: str, *, by: User, at: datetime
) -> Entry:
    """Keep a logger's file as it is, and one entry that stands for its readings.

    ``log`` is the file already read with ``how`` (unit, clock, sure). ValidationError for a file that is
    in the job already.
    """
    file = store_bytes(content, "text/csv", name, by=by, at=at)
    job = locked(job)
    kept = standing(job.entries.filter(code=CONCRETE))
    if any(e.said.get("file") == file.sha256 for e in kept):
        raise ValidationError({"file": "This file is on record already."})
    data = {
        "file": file.sha256,
        "read": {"unit": how["unit"], "clock": how["clock"], "sure": how["sure"]},
        "sensors": list(log.sensors),
        "readings": log.readings,
        "first": log.first.isoformat(),
        "last": log.last.isoformat(),
    }
    taken = take_entry(
        job, by=by, received_at=at, taken_at=min(log.last, at), code=CONCRETE, subject="logger",
        text=name[:160], data=data,
    )  # fmt: skip
    return taken.entry


# --- papers of others -------------------------------------------------------------------------------


@transaction.atomic
def record_notice(
    job: Job,
    notice: StrengthNotice,
    paper: Any = None,
    *,
    by: User,
    at: datetime,
    confirmed: Sequence[str] = (),
) -> StrengthNotice:
    """A strength notice as received; the average is worked out here. ValidationError for a bad paper.

    ``confirmed`` is what was asked of it and pressed through.
    """
    file = store_paper(paper, by=by, at=at) if paper else None
    job = locked(job)
    notice.job, notice.file = job, file
    same = job.strength_notices.filter(
        written_on=notice.written_on, cure=notice.cure, age_days=notice.age_days, corrections=None
    )
    if any(kept.cylinders == notice.cylinders and kept != notice.corrects for kept in same):
        raise ValidationError({"cylinders": "This notice is on record already."})
    notice.average_psi = sum(float(c["psi"]) for c in notice.cylinders) / len(notice.cylinders)
    notice.recorded_at, notice.recorded_by = at, by
    notice.full_clean(exclude=["job", "recorded_by", "file"])
    notice.save(force_insert=True)
    cured = "field-cured" if notice.cure == CureKind.FIELD else "lab-cured"
    write_event(
        job,
        "strength notice",
        f"Strength notice of {day_words(notice.written_on, year=True)} by {notice.signer}, "
        f"{notice.firm}: {notice.average_psi:,.0f} psi {cured} at {notice.age_days:g} days.",
        by=by,
        at=at,
        data={
            "notice": notice.pk,
            "cylinders": notice.cylinders,
            "cure": notice.cure,
            **({"confirmed": list(confirmed)} if confirmed else {}),
        },
    )
    judge_notice(job, notice_fact(notice), by, at)
    return notice


def released_on(job: Job) -> Seen:
    """What is read by who releases the pad early: the strength on record, and what was released before."""
    notices = job.strength_notices.filter(corrections=None).order_by("pk")
    releases = job.early_releases.select_related("engineer").order_by("pk")
    strengths = (
        (f"notice {n.pk}", f"Strength notice of {day_words(n.written_on)}", f"{n.average_psi:,.0f} psi")
        for n in notices
    )
    said = ((f"release {r.pk}", f"Early release by {r.engineer.named}", r.in_words) for r in releases)
    return of_lines([*strengths, *said])


@transaction.atomic
def release_early(
    job: Job, engineer: User, reason: str, paper: Any = None, *, by: User, at: datetime
) -> EarlyRelease:
    """A named engineer's release before the curing days: by the engineer, or with the engineer's letter."""
    file = store_paper(paper, by=by, at=at) if paper else None
    job = locked(job)
    if engineer.role != Role.ENGINEER:
        raise ValidationError({"engineer": "Only an engineer can release early."})
    if by != engineer and file is None:
        raise ValidationError({"paper": f"{engineer.full_name}'s letter is needed."})
    why = short_words(reason, LONGEST_REASON, "reason")
    if not why:
        raise ValidationError({"reason": "Give the engineer's statement."})
    release = EarlyRelease.objects.create(
        job=job, engineer=engineer, reason=why, file=file, released_at=at, recorded_by=by
    )
    write_event(
        job,
        "early release",
        f"{engineer.named} releases the pad for the tower before the curing days: {release.reason}",
        by=by,
        at=at,
        data={"early_release": release.pk},
    )
    return release


@transaction.atomic
def withdraw_release(release: EarlyRelease, reason: str, *, by: User, at: datetime) -> EarlyRelease:
    """Take an early release back, by the engineer or the office; both stay on record."""
    job = locked(release.job)
    if release.withdraws_id or release.withdrawals.exists():
        raise ValidationError("This release no longer stands.")
    why = short_words(reason, LONGEST_REASON, "reason")
    if not why:
        raise ValidationError({"reason": "Say why."})
    kept = EarlyRelease.objects.create(
        job=job, engineer=release.engineer, reason=why, withdraws=release, released_at=at,
        recorded_by=by,
    )  # fmt: skip
    write_event(
        job,
        "early release",
        f"The early release by {release.engineer.named} is withdrawn: {kept.reason}",
        by=by,
        at=at,
    )
    return kept
