"""The office's page of phones: when each was heard, what waited on it, and an end to its access."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from crew.phone.ending import end_access
from installs.checklists.models import Device
from installs.jobs.models import Job
from installs.measures import plain_words
from installs.people.access import ABILITIES, OFFICE, allow
from installs.people.models import User
from installs.people.requests import PersonRequest
from installs.people.services import sign_out_everywhere
from installs.sent.once import once
from sitecalc.wording import span_words

# an open page of the phone reports every half minute
SILENT = timedelta(minutes=5)
CLOCK_RIGHT_S = 60


class EndForm(forms.Form):
    why = forms.CharField(label="Why", max_length=300, validators=[plain_words])
    sign_out = forms.BooleanField(label="Sign this person out everywhere", required=False)


@dataclass(frozen=True)
class Phone:
    """A phone in words. ``silence``: how long it has not been heard, empty while it reports."""

    device: Device
    silence: str
    waited: str
    clock: str


@allow("manage people")
@require_GET
def phones(request: PersonRequest) -> HttpResponse:
    now = timezone.now()
    devices = list(
        Device.objects.select_related("person", "ended_by").order_by("person__full_name", "-heard_at")
    )
    ended = [(d.ended_at, d) for d in devices if d.ended_at]
    told = [_phone(device, now) for device in devices]
    context = {
        "phones": [p for p in told if not p.device.ended_at],
        "ended": [d for _, d in sorted(ended, key=lambda each: each[0], reverse=True)],
        "unheard": _unheard(devices),
        "waiting": sum(p.device.waiting for p in told if not p.device.ended_at),
        "site": Job.objects.active().first(),
    }
    return render(request, "crew/phone/phones.html", context)


@allow("manage people")
@require_http_methods(["GET", "POST"])
def phone(request: PersonRequest, pk: int) -> HttpResponse:
    """End one phone's access: asks why, and says what it means before it is done."""
    device = get_object_or_404(Device.objects.select_related("person"), pk=pk)
    if request.method == "POST" and "sign_out_everywhere" in request.POST:
        # at any time, and whether or not the phone's access ended long ago
        ended = sign_out_everywhere(device.person, by=request.user, at=timezone.now())
        messages.success(request, f"{device.person.full_name}: {ended} sign-ins ended.")
        return redirect("phones")
    form = EndForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        fields = form.cleaned_data
        try:
            with once(request, redirect("phones")) as press:
                press.saw(get_object_or_404(Device.objects.select_for_update(), pk=pk))
                why, everywhere = fields["why"], fields["sign_out"]
                end_access(device, why, by=request.user, at=timezone.now(), sign_out=everywhere)
        except ValidationError as error:
            form.add_error(None, error.messages)
        else:
            messages.success(request, f"The access of {device.person.full_name}'s phone has ended.")
            return redirect("phones")
    context = {"phone": _phone(device, timezone.now()), "form": form, "site": Job.objects.active().first()}
    return render(
        request, "crew/phone/phone_end.html", context, status=422 if request.method == "POST" else 200
    )


def _phone(device: Device, now: datetime) -> Phone:
    since = now - device.heard_at
    silence = span_words(since.total_seconds()) if since > SILENT else ""
    return Phone(device, silence, waited_words(device), clock_words(device.skew_s))


def waited_words(device: Device) -> str:
    """Of the moment when it was heard: what was entered since then is not known here."""
    if not device.waiting:
        return "nothing unsent then"
    return f"{device.waiting} {'entry' if device.waiting == 1 else 'entries'} unsent then"


def clock_words(skew_s: float) -> str:
    if abs(skew_s) <= CLOCK_RIGHT_S:
        return "correct to a minute"
    return f"{span_words(abs(skew_s))} {'fast' if skew_s > 0 else 'slow'}"


def _unheard(devices: list[Device]) -> list[User]:
    """Who records entries in the field and has no phone on record: nothing is known of what they hold."""
    heard = {d.person_id for d in devices}
    outdoors = ABILITIES["record entries"] - {OFFICE}
    people = User.objects.current().filter(is_active=True, role__in=outdoors)
    return [p for p in people if p.pk not in heard]
