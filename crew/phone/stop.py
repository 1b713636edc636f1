"""Stop work on the phone: two taps, words when there is time for them; held without signal as every card."""

from __future__ import annotations

import uuid as uuids
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from crew.phone.offline import held_on_phone
from crew.phone.pour_forms import DayForm
from crew.phone.steps import Step
from installs.checklists.taking import take_entry
from installs.gates.facts import facts_of
from installs.gates.said import STOP
from installs.gates.states import Standing, phase_states
from installs.jobs.models import Job
from installs.jobs.phases import PHASES, SITE, STARTABLE, title_of
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.sent.once import ENTRIES, sends


class StopForm(DayForm):
    """The press is what stops it; why can be said then or later."""

    text = forms.CharField(label="What is wrong, if there is time to say it", max_length=300, required=False)


def called(stops: str) -> str:
    return "all work on this site" if stops == SITE else title_of(stops).lower()


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
@held_on_phone
def stop_work(request: JobRequest, number: str) -> HttpResponse:
    """A button for each phase under way, one for the whole site; what is stopped already is said first."""
    job, now = request.job, timezone.now()
    facts, here = facts_of(job, now), job.local(now)
    states = phase_states(facts)
    under_way = [p.key for p in PHASES if states[p.key] == Standing.UNDER_WAY and not p.by_facts]
    posted = request.POST if request.method == "POST" else None
    code = posted.get("code", "") if posted else ""
    fault = ""
    if posted is not None:
        try:
            _take(request, job, code, posted)
            return redirect("stop-work", number)
        except ValidationError as error:
            fault = " ".join(error.messages)
    stopped = [words for key in (SITE, *under_way) for words in facts.stopped.get(key, ())]
    context = {
        "job": job,
        "now": here,
        "stopped": stopped,
        "steps": [_step(job, key, here) for key in (*under_way, SITE)],
        "uuid": uuids.uuid4(),
        "fault": fault,
    }
    return render(request, "crew/phone/stop.html", context, status=422 if fault else 200)


def _form(stops: str, here: Any, posted: Any = None) -> StopForm:
    form = StopForm(posted, now=here, auto_id=f"id_{stops.replace(' ', '-')}_%s")
    form.says = ({"subject": stops, "text": "{text}"},)
    return form


def _step(job: Job, stops: str, here: Any) -> Step:
    form = _form(stops, here)
    told = {
        "build": "fields",
        "key": stops,
        "code": STOP,
        "job": job.number,
        "title": f"Stop {called(stops)}",
        "fields": form.told(),
        "asks": [],
        "says": form.says,
        "of_trucks": None,
        "stands": None,
    }
    return Step(stops, told, form=form, shown=called(stops))


def _take(request: JobRequest, job: Job, stops: str, posted: Any) -> None:
    now = timezone.now()
    if stops not in (SITE, *STARTABLE):
        raise ValidationError("Say what is stopped.")
    try:
        uuid = uuids.UUID(posted.get("uuid", ""))
    except ValueError:
        raise ValidationError("The form is incomplete; load the page again.") from None
    form = _form(stops, job.local(now), posted)
    if not form.is_valid():
        raise ValidationError([words for faults in form.errors.values() for words in faults])
    for fields in form.entries():
        key = uuids.uuid5(uuid, stops)
        take_entry(job, by=request.user, received_at=now, taken_at=now, uuid=key, code=STOP, **fields)
