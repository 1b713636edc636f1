"""Entries as the phone sends them: a batch, each answered on its own.

POST /api/entries/ with {"device": uuid, "now": ISO time, "waiting": n, "entries": [...]}. Each entry:
uuid, job, code, taken_at, and subject, number, unit, text, data, photo (sha256 of a photo sent
before), corrects. The answer names every uuid: taken, already had, photo not here (send the photo once
more, then the entry), refused with the reason, or later (a fault of ours: it stays on the phone and is sent
again). A value that cannot be read never loses its entry: it is taken, and the answer says so.
"""

from __future__ import annotations

import json
import logging
import re
import uuid as uuids
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, JsonResponse
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_GET, require_POST

from crew.phone.ending import refusal
from installs.checklists.models import Device
from installs.checklists.photos import may_name
from installs.checklists.said import AS_SENT, LARGEST_READING, OF_DESK
from installs.checklists.services import Taken
from installs.checklists.taking import note_refused, take_entry
from installs.files.keeping import fault_of
from installs.files.models import StoredFile
from installs.files.services import store_photo
from installs.gates.facts import facts_of
from installs.gates.rules import gate_ahead
from installs.jobs.getters import job_to_record_in
from installs.jobs.phases import GATES
from installs.jobs.requests import JobRequest
from installs.measures import plain_words
from installs.people.access import allow
from installs.people.middleware import asked_by_page, note_refusal
from installs.people.models import User
from installs.people.requests import PersonRequest
from installs.record.files import unnamed
from installs.sent.once import ENTRIES, sends
from installs.work.passing import passing
from installs.work.request_id import current_request_id

MOST_ENTRIES = 200
MOST_UNNAMED_PHOTOS = 500  # of a person; those of more than a week are taken away each night
MOST_NEW_PHONES = 20  # of a person in a day
NEEDED = {"uuid", "job", "code", "taken_at"}
FIELDS = NEEDED | {"subject", "number", "unit", "text", "data", "photo", "corrects"}


SHA256 = re.compile("[0-9a-f]{64}")
LONGEST_KEPT = 600  # characters of a value that cannot be kept as what it is
FARTHEST_OFFSET = timedelta(hours=15, minutes=59)
log = logging.getLogger(__name__)


class Malformed(ValueError):
    """A field that cannot be read; its message goes back to the phone."""


class TooMany(ValueError):
    """More than anybody needs; its message goes back to the phone, which keeps what it holds."""


class PhotoNotHere(Malformed):
    """The photo that an entry names is not in the storage as it was sent, or was not sent by this person."""


@asked_by_page
@allow("record entries")
@sends(ENTRIES)
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
        if refused := refusal(request.session, _uuid(batch.get("device"), "device"), now):
            return JsonResponse({"error": refused}, status=403)
        device = heard(batch, by=request.user, at=now)
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    except TooMany as error:
        return JsonResponse({"error": str(error)}, status=429)
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
    fields["oldest_waiting_at"] = _instant(oldest, "oldest_waiting_at").astimezone(UTC) if oldest else None
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
        asked = str(sent["job"])[:12]
        note_refusal(f"No job of theirs: an entry for {asked}", by, path="/api/entries/")
        return {"uuid": uuid, "state": "refused", "reason": "No such job for you."}
    except PhotoNotHere as error:
        return {"uuid": uuid, "state": "photo not here", "reason": str(error)}
    except Malformed as error:
        return {"uuid": uuid, "state": "refused", "reason": str(error)}
    except ValidationError as error:
        return {"uuid": uuid, "state": "refused", "reason": " ".join(error.messages)}
    except Exception as error:
        if passing(error):
            raise  # the database or the disk: nothing behind it would be kept either, and all comes again
        log.exception("an entry could not be taken: %s", uuid)
        words = f"A fault of ours; it stays here and is sent again. Tell the office: {current_request_id()}."
        return {"uuid": uuid, "state": "later", "reason": words}
    answer = {
        "uuid": uuid,
        "state": "taken" if taken.new else "already had",
        "sequence": taken.entry.sequence,
    }
    said = [f"Deviation {d.number}: {d.title}." for d in taken.entry.deviations.all()]
    if taken.entry.unreadable:
        said.append(f"{taken.entry} is kept, and cannot be read: {taken.entry.unreadable}. Record it again.")
    return {**answer, "deviations": said} if said else answer


def _take(sent: Any, by: User, device: Device, now: datetime) -> Taken:
    if not isinstance(sent, dict):
        raise Malformed("The entry is not an object.")
    unknown = set(sent) - FIELDS
    if unknown:
        raise Malformed(f"Unknown field {sorted(unknown)[0]}.")
    if isinstance(sent.get("data"), dict) and OF_DESK & set(sent["data"]):
        raise Malformed("A line of a paper and a logger's file are entered at a desk.")
    uuid, code = _uuid(sent.get("uuid"), "uuid"), _text(sent, "code", 20)
    taken_at, odd = _taken_at(sent)
    happened_at = taken_at - timedelta(seconds=device.skew_s)
    standing = job_to_record_in(by, _text(sent, "job", 12), happened_at, now)
    if standing.closed:
        note_refused(standing.job, code, uuid, standing.closed, by=by, at=now)
        raise Malformed(standing.closed)
    values, unread = _values(sent)
    if unread or odd:
        values["data"] = {**values.get("data", {}), AS_SENT: {**odd, **unread}}
    return take_entry(
        standing.job,
        by=by,
        received_at=now,
        from_phone=True,
        uuid=uuid,
        taken_at=taken_at,
        code=code,
        photo=_photo(sent.get("photo"), by),
        corrects=_uuid(sent["corrects"], "corrects") if sent.get("corrects") else None,
        device=device,
        noted={"late": standing.noted} if standing.noted else None,
        **values,
    )


def _taken_at(sent: Mapping[str, Any]) -> tuple[datetime, dict[str, str]]:
    """The instant in UTC, and what it came as where no clock shows such an offset."""
    at = _instant(sent.get("taken_at"), "taken_at")
    odd = abs(at.utcoffset() or timedelta()) > FARTHEST_OFFSET
    return at.astimezone(UTC), {"taken_at": _as_text(sent["taken_at"])} if odd else {}


def _values(sent: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """What an entry says, and of that what no database keeps, as the text that came: a fact seen in the field
    is not thrown away for how it was written down."""
    values: dict[str, Any] = {}
    unread: dict[str, str] = {}
    for name, read in VALUES.items():
        try:
            values[name] = read(sent)
        except Malformed:
            unread[name] = _as_text(sent[name])
    return values, unread


def _as_text(value: Any) -> str:
    try:
        return json.dumps(value)[:LONGEST_KEPT]
    except (RecursionError, ValueError):
        return "what cannot be written down"


def _number(sent: Mapping[str, Any]) -> float | None:
    number = sent.get("number")
    if number is None:
        return None
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        raise Malformed("The number is not a number.")
    try:
        kept = float(number)
    except OverflowError:
        raise Malformed("The number is too large.") from None
    if not abs(kept) <= LARGEST_READING:
        raise Malformed("The number is none that is read off anything.")
    return kept


def _data(sent: Mapping[str, Any]) -> dict[str, Any]:
    data = sent.get("data") or {}
    if not isinstance(data, dict) or not _keepable(data) or len(json.dumps(data)) > 4000:
        raise Malformed("The further figures are not a small object of words and numbers.")
    return data


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


# what an entry says, each by how it is read
VALUES: dict[str, Callable[[Mapping[str, Any]], Any]] = {
    "subject": lambda sent: _text(sent, "subject", 60, ""),
    "number": _number,
    "unit": lambda sent: _text(sent, "unit", 20, ""),
    "text": lambda sent: _text(sent, "text", 1000, ""),
    "data": _data,
}


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
@sends(ENTRIES)
@require_POST
def photos(request: PersonRequest) -> JsonResponse:
    """Take one photo; the same picture sent again is the same file. ``?device=`` names the phone."""
    try:
        device = _uuid(request.GET.get("device"), "device")
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    if refused := refusal(request.session, device, timezone.now()):
        return JsonResponse({"error": refused}, status=403)
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
