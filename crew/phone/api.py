"""Entries as the phone sends them: a batch, each answered on its own.

POST /api/entries/ with {"device": uuid, "now": ISO time, "waiting": n, "entries": [...]}. Each entry:
uuid, job, code, taken_at, and subject, number, unit, text, data, photo (sha256 of a photo sent
before), corrects. The answer names every uuid: taken, already had, photo not here (send the photo once
more, then the entry), or refused with the reason.
"""

from __future__ import annotations

import json
import re
import uuid as uuids
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, JsonResponse
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_GET, require_POST

from crew.phone.ending import access_ended
from installs.checklists.models import Device
from installs.checklists.photos import may_name
from installs.checklists.taking import take_entry
from installs.files.keeping import fault_of
from installs.files.models import StoredFile
from installs.files.services import store_photo
from installs.gates.facts import facts_of
from installs.gates.rules import gate_ahead
from installs.jobs.getters import job_for
from installs.jobs.phases import GATES
from installs.jobs.requests import JobRequest
from installs.measures import plain_words
from installs.people.access import allow
from installs.people.models import User
from installs.people.requests import PersonRequest
from installs.record.files import unnamed

MOST_ENTRIES = 200
MOST_UNNAMED_PHOTOS = 500  # of a person; those of more than a week are taken away each night
MOST_NEW_PHONES = 20  # of a person in a day
NEEDED = {"uuid", "job", "code", "taken_at"}
OF_DESK = {"from_paper", "by", "file", "read"}  # a paper keyed in, a logger's file: never by a phone
FIELDS = NEEDED | {"subject", "number", "unit", "text", "data", "photo", "corrects"}


SHA256 = re.compile("[0-9a-f]{64}")


class Malformed(ValueError):
    """A field that cannot be read; its message goes back to the phone."""


class TooMany(ValueError):
    """More than anybody needs; its message goes back to the phone, which keeps what it holds."""


class PhotoNotHere(Malformed):
    """The photo that an entry names is not in the storage as it was sent, or was not sent by this person."""


@allow("record entries")
@require_POST
def entries(request: PersonRequest) -> JsonResponse:
    """Take a batch of entries; a bad one never keeps the others back."""
    try:
        batch = json.loads(request.body)
        if not isinstance(batch, dict) or not isinstance(batch.get("entries"), list):
            raise Malformed("The batch is not an object with a list of entries.")
        if len(batch["entries"]) > MOST_ENTRIES:
            raise Malformed(f"At most {MOST_ENTRIES} entries at once.")
    except (ValueError, UnicodeDecodeError, RecursionError) as error:
        return JsonResponse({"error": str(error)}, status=400)
    now = timezone.now()
    try:
        device = heard(batch, by=request.user, at=now)
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    except TooMany as error:
        return JsonResponse({"error": str(error)}, status=429)
    if device.ended_at:
        return JsonResponse({"error": "The office has ended this phone's access."}, status=403)
    answers = [_answer(entry, request.user, device, now) for entry in batch["entries"]]
    return JsonResponse({"now": now.isoformat(), "answers": answers})


def heard(batch: Mapping[str, Any], *, by: User, at: datetime) -> Device:
    """Note that the phone was heard, how many entries wait on it, and how far its clock is off."""
    fields: dict[str, Any] = {"person": by, "heard_at": at}
    if isinstance(batch.get("waiting"), int) and 0 <= batch["waiting"] < 1_000_000:
        fields["waiting"] = batch["waiting"]
    if "now" in batch:
        fields["skew_s"] = (_instant(batch["now"], "now") - at).total_seconds()
    oldest = batch.get("oldest_waiting_at")
    fields["oldest_waiting_at"] = _instant(oldest, "oldest_waiting_at") if oldest else None
    uuid = _uuid(batch.get("device"), "device")
    _room_for_another(uuid, by, at)
    device, _ = Device.objects.update_or_create(uuid=uuid, defaults=fields)
    return device


def _room_for_another(uuid: uuids.UUID, by: User, at: datetime) -> None:
    """A phone makes itself a new name when its storage is cleared: not twenty times a day."""
    heard_today = Device.objects.filter(person=by, heard_at__gt=at - timedelta(days=1))
    if heard_today.count() >= MOST_NEW_PHONES and not Device.objects.filter(uuid=uuid).exists():
        raise TooMany(f"{MOST_NEW_PHONES} phones have sent under your name since yesterday: tell the office.")


def _answer(sent: Any, by: User, device: Device, now: datetime) -> dict[str, Any]:
    named = sent.get("uuid") if isinstance(sent, dict) else None
    uuid = named if isinstance(named, str) else None  # given back: NaN is a number that no JSON holds
    try:
        taken = _take(sent, by, device, now)
    except Http404:
        return {"uuid": uuid, "state": "refused", "reason": "No such job for you."}
    except PhotoNotHere as error:
        return {"uuid": uuid, "state": "photo not here", "reason": str(error)}
    except Malformed as error:
        return {"uuid": uuid, "state": "refused", "reason": str(error)}
    except ValidationError as error:
        return {"uuid": uuid, "state": "refused", "reason": " ".join(error.messages)}
    answer = {
        "uuid": uuid,
        "state": "taken" if taken.new else "already had",
        "sequence": taken.entry.sequence,
    }
    deviations = [f"Deviation {d.number}: {d.title}." for d in taken.entry.deviations.all()]
    return {**answer, "deviations": deviations} if deviations else answer


def _take(sent: Any, by: User, device: Device, now: datetime) -> Any:
    if not isinstance(sent, dict):
        raise Malformed("The entry is not an object.")
    unknown = set(sent) - FIELDS
    if unknown:
        raise Malformed(f"Unknown field {sorted(unknown)[0]}.")
    number = sent.get("number")
    if number is not None and (isinstance(number, bool) or not isinstance(number, (int, float))):
        raise Malformed("The number is not a number.")
    data = sent.get("data") or {}
    if not isinstance(data, dict) or not _keepable(data) or len(json.dumps(data)) > 4000:
        raise Malformed("The further figures are not a small object of words and numbers.")
    if OF_DESK & set(data):
        raise Malformed("A line of a paper and a logger's file are entered at a desk.")
    return take_entry(
        job_for(by, _text(sent, "job", 12)),
        by=by,
        received_at=now,
        uuid=_uuid(sent.get("uuid"), "uuid"),
        taken_at=_instant(sent.get("taken_at"), "taken_at"),
        code=_text(sent, "code", 20),
        subject=_text(sent, "subject", 60, ""),
        number=_finite(number),
        unit=_text(sent, "unit", 20, ""),
        text=_text(sent, "text", 1000, ""),
        data=data,
        photo=_photo(sent.get("photo"), by),
        corrects=_uuid(sent["corrects"], "corrects") if sent.get("corrects") else None,
        device=device,
    )


def _finite(number: int | float | None) -> float | None:
    try:
        return None if number is None else float(number)
    except OverflowError:
        raise Malformed("The number is too large.") from None


def _text(sent: Mapping[str, Any], name: str, most: int, default: str | None = None) -> str:
    value = sent.get(name, default)
    if not isinstance(value, str) or (default is None and not value):
        raise Malformed(f"{name} is missing.")
    if len(value) > most:
        raise Malformed(f"{name} is longer than {most} characters.")
    try:
        plain_words(value)
    except ValidationError as error:
        raise Malformed(f"{name}: {' '.join(error.messages)}") from None
    return value


def _keepable(value: Any, depth: int = 0) -> bool:
    """Whether every database can keep and give back this JSON value."""
    if depth > 5:
        return False
    if isinstance(value, dict):
        return all(_keepable(k, depth + 1) and _keepable(v, depth + 1) for k, v in value.items())
    if isinstance(value, list):
        return all(_keepable(v, depth + 1) for v in value)
    if isinstance(value, str):
        try:
            plain_words(value)
        except ValidationError:
            return False
    return not isinstance(value, (int, float)) or abs(value) < 1e15


def _uuid(value: Any, name: str) -> uuids.UUID:
    try:
        return uuids.UUID(str(value))
    except ValueError:
        raise Malformed(f"{name} is not a UUID.") from None


def _instant(value: Any, name: str) -> datetime:
    """An instant with its zone, however wrong the phone's clock: its skew is measured beside it."""
    try:
        instant = parse_datetime(value) if isinstance(value, str) else None
    except ValueError:
        instant = None
    if instant is None or instant.tzinfo is None:
        raise Malformed(f"{name} is not a time with its zone.")
    if not 1970 <= instant.year < 2200:
        raise Malformed(f"{name} is in no year that a phone's clock shows.")
    return instant


def _photo(sha256: Any, by: User) -> StoredFile | None:
    """Whole, and sent by this person or shown to them in a record: a hash alone opens nobody's file."""
    if not sha256:
        return None
    if not isinstance(sha256, str) or not SHA256.fullmatch(sha256):
        raise Malformed("The photo is not named by its SHA-256.")
    found = StoredFile.objects.filter(sha256=sha256).first()
    if found is None or not may_name(found, by) or fault_of(found):
        raise PhotoNotHere("The photo has not arrived; send it first.")
    return found


@allow("record entries")
@require_POST
def photos(request: PersonRequest) -> JsonResponse:
    """Take one photo; the same picture sent again is the same file. ``?device=`` names the phone."""
    try:
        device = _uuid(request.GET.get("device"), "device")
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    if access_ended(device):
        return JsonResponse({"error": "The office has ended this phone's access."}, status=403)
    sent = request.FILES.get("photo")
    if sent is None:
        return JsonResponse({"error": "There is no photo in the request."}, status=400)
    if unnamed().filter(stored_by=request.user).count() >= MOST_UNNAMED_PHOTOS:
        words = f"{MOST_UNNAMED_PHOTOS} photos from you stand in no record yet: tell the office."
        return JsonResponse({"error": words}, status=429)
    try:
        kept = store_photo(sent, by=request.user, at=timezone.now())
    except ValidationError as error:
        return JsonResponse({"error": " ".join(error.messages)}, status=422)
    return JsonResponse({"sha256": kept.sha256})


@allow("see")
@require_GET
def gates(request: JobRequest, number: str) -> JsonResponse:
    """The job's gates as judged now, each for its own day, for the phone to show with their age."""
    now = timezone.now()
    day = request.job.local(now).date()
    facts = facts_of(request.job, now)
    judged = [gate_ahead(key, facts, day) for key in GATES]
    return JsonResponse(
        {
            "judged_at": now.isoformat(),
            "gates": [
                {
                    "key": g.key,
                    "title": g.title,
                    "day": g.day.isoformat() if g.day else None,
                    "open": g.open,
                    "sentence": g.sentence,
                    "expected": g.expected.isoformat() if g.expected else None,
                }
                for g in judged
            ],
        }
    )
