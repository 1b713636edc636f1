"""The day of the pour on the phone: ready or not, its clocks, and what is recorded beside the trucks."""

from __future__ import annotations

import uuid as uuids
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from crew.phone.offline import held_on_phone
from crew.phone.pour_forms import DURING, FORMS, PUT_RIGHT, Cylinders, form_of
from crew.phone.steps import Step
from installs.checklists.models import Entry
from installs.checklists.taking import take_entry
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.pour.field_log import PourLog
from installs.pour.pour_day import pour_day
from installs.pour.record_words import load_record
from installs.sent.once import ENTRIES, sends


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
@held_on_phone
def pour_day_card(request: JobRequest, number: str) -> HttpResponse:
    """``?code=D16`` chooses what to record. POST records it; what stands and is changed is corrected."""
    now = timezone.now()
    asked = request.POST or request.GET
    code = asked.get("code", "")
    record = load_record(request.job, now)
    here = request.job.local(now)
    posted = request.POST if request.method == "POST" else None
    form = form_of(code, here, posted, record.facts.log) if code in FORMS else None
    if request.method == "POST" and form is not None and form.is_valid():
        try:
            _take(request, record.facts.log, code, form, now)
            return redirect("pour-day", number)
        except ValidationError as error:
            form.add_error(None, error.messages)
    steps = [_step(request.job, record.facts.log, key, here) for key in FORMS]
    context = {
        "job": request.job,
        "day": pour_day(request.job, record),
        "form": form,
        "current": next((step for step in steps if step.key == code), None),
        "during": [(key, title) for key, (title, _) in DURING.items()],
        "steps": steps,
        "now": here,
        "uuid": uuids.uuid4(),
    }
    status = 422 if form is not None and form.is_bound and form.errors else 200
    return render(request, "crew/phone/pour_day.html", context, status=status)


def _step(job: Job, log: PourLog, code: str, here: datetime) -> Step:
    form = form_of(code, here)
    trucks = {"known": [t.number for t in log.trucks], "path": reverse("pour-card", args=[job.number])}
    told = {
        "build": "fields",
        "key": code,
        "code": code,
        "job": job.number,
        "title": FORMS[code][0],
        "once": True,
        "fields": form.told(),
        "asks": [ask.told for ask in form.asks],
        "says": form.says,
        "of_trucks": trucks if isinstance(form, Cylinders) else None,
        "stands": {e.subject.strip().lower(): str(e.uuid) for e in _told(log, code)}
        if code in PUT_RIGHT
        else None,
    }
    return Step(code, told, form=form)


def _take(request: JobRequest, log: PourLog, code: str, form: Any, now: datetime) -> None:
    try:
        uuid = uuids.UUID(request.POST.get("uuid", ""))
    except ValueError:
        raise ValidationError("The form is incomplete; load the page again.") from None
    for fields in form.entries():
        subject = fields.pop("subject", "")
        old = _standing(log, code, subject) if code in PUT_RIGHT else None
        take_entry(
            request.job, by=request.user, received_at=now, taken_at=now,
            uuid=uuids.uuid5(uuid, subject or code), code=code, subject=subject,
            corrects=old.uuid if old else None, **fields,
        )  # fmt: skip


def _standing(log: PourLog, code: str, subject: str) -> Entry | None:
    rows = [entry for entry in _told(log, code) if entry.subject.strip().lower() == subject]
    return rows[-1] if rows else None


def _told(log: PourLog, code: str) -> list[Entry]:
    return [row.entry for row in log.told.get(code, ())]
