"""The day of the pour on the phone: ready or not, its clocks, and what is recorded beside the trucks."""

from __future__ import annotations

import uuid as uuids
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from crew.phone.offline import held_on_phone
from installs.checklists.models import Entry
from installs.gates.services import take_entry
from installs.measures import QuantityInput, WithinRange
from installs.people.access import allow
from installs.pour.day import pour_day
from installs.pour.log import PourLog
from installs.pour.record import load_record
from sitecalc.pour.placing import EvaporationCase, evaporation

FURTHEST = timedelta(days=365)


def number(label: str, unit: str, low: float, high: float, **more: Any) -> QuantityInput:
    return QuantityInput(label=label, unit=unit, validators=[WithinRange(low, high, unit)], **more)


class Words(forms.Form):
    """Who was told, and what they said."""

    text = forms.CharField(label="Who, and what was said", max_length=300)

    def entries(self) -> list[dict[str, Any]]:
        return [{"text": self.cleaned_data["text"]}]


class Called(forms.Form):
    day = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}))
    hour = forms.TimeField(label="First truck at", widget=forms.TimeInput(attrs={"type": "time"}))

    def __init__(self, *args: Any, zone: Any, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zone, self.now = zone, now

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("day") and cleaned.get("hour"):
            at = datetime.combine(cleaned["day"], cleaned["hour"], self.zone)
            if abs(at - self.now) > FURTHEST:
                self.add_error("day", "That is more than a year from now.")
        return cleaned

    def entries(self) -> list[dict[str, Any]]:
        at = datetime.combine(self.cleaned_data["day"], self.cleaned_data["hour"], self.zone)
        said = f"{at:%a %b} {at.day}, {at:%H:%M}"
        return [{"text": said, "data": {"for": at.isoformat()}}]


class Air(forms.Form):
    air = number("Air now, F", "F", -60, 130)
    low = number("Lowest forecast of the next three nights, F", "F", -60, 130)

    def entries(self) -> list[dict[str, Any]]:
        given = self.cleaned_data
        return [{"subject": "air", "number": given["air"], "unit": "F", "data": {"low_f": given["low"]}}]


class Ready(forms.Form):
    text = forms.CharField(label="What is there", max_length=300)

    def entries(self) -> list[dict[str, Any]]:
        return [{"text": self.cleaned_data["text"]}]


class Thawed(forms.Form):
    ground = number("Ground under the pad, F", "F", -40, 120)
    form = number("Forms, F", "F", -40, 120)
    steel = number("Steel and bolts, F", "F", -40, 120)

    def entries(self) -> list[dict[str, Any]]:
        names = ("ground", "form", "steel")
        return [{"subject": n, "number": self.cleaned_data[n], "unit": "F"} for n in names]


class Cylinders(forms.Form):
    truck = forms.IntegerField(label="From truck", min_value=1, max_value=99)
    lab = forms.IntegerField(label="Lab set, cylinders", min_value=0, max_value=20)
    field = forms.IntegerField(label="Field set, cylinders", min_value=0, max_value=20)
    marks = forms.CharField(label="Marks", max_length=60)
    beside = forms.BooleanField(label="The field set stands beside the pad, under its covers", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not (cleaned.get("lab") or cleaned.get("field")) and not self.errors:
            self.add_error("lab", "No cylinder made?")
        if cleaned.get("field") and not cleaned.get("beside"):
            self.add_error(
                "beside", "Cured elsewhere they are no field-cured cylinders: put them there first."
            )
        return cleaned

    def entries(self) -> list[dict[str, Any]]:
        given = self.cleaned_data
        data = {"lab": given["lab"], "field": given["field"], "marks": given["marks"]}
        total = float(given["lab"] + given["field"])
        return [{"subject": f"truck {given['truck']}", "number": total, "text": given["marks"], "data": data}]


class Evaporating(forms.Form):
    """The rate is worked out here, so that it is the same one everywhere."""

    concrete_f = number("Concrete surface, F", "F", 32, 120)
    air_f = number("Air, F", "F", 0, 130)
    humidity_pct = number("Relative humidity, %", "%", 0, 100)
    wind_mph = number("Wind 20 in above the surface, mph", "mph", 0, 60)

    def entries(self) -> list[dict[str, Any]]:
        given = dict(self.cleaned_data)
        rate = evaporation(EvaporationCase(**given)).rate_lb_ft2_h
        return [{"number": round(rate, 3), "unit": "lb/ft2/h", "data": given}]


class Stopped(forms.Form):
    yards = number("Yards placed, yd³", "yd3", 0, 500)
    text = forms.CharField(label="Why, and how the face was left", max_length=300)

    def entries(self) -> list[dict[str, Any]]:
        given = self.cleaned_data
        return [{"number": given["yards"], "unit": "yd3", "text": given["text"]}]


BEFORE: dict[str, tuple[str, type[forms.Form]]] = {
    "D20": ("Pour called for", Called),
    "D15": ("Inspector told of the pour", Words),
    "D16": ("Plant has the order, read back", Words),
    "D17": ("Testing lab booked", Words),
    "D06": ("Air and the coming nights", Air),
    "D18": ("Heat and covers on site", Ready),
    "D19": ("Thawed: ground, forms, steel", Thawed),
}
DURING: dict[str, tuple[str, type[forms.Form]]] = {
    "D08": ("Cylinders made", Cylinders),
    "D22": ("Evaporation from the surface", Evaporating),
    "D21": ("Pour stopped, form not full", Stopped),
}
FORMS = {**BEFORE, **DURING}
PUT_RIGHT = ("D20", "D19", "D08", "D21")  # a newer record takes the place of the one before


@allow("record entries")
@require_http_methods(["GET", "POST"])
@held_on_phone
def pour_day_card(request: HttpRequest, number: str) -> HttpResponse:
    """``?code=D16`` chooses what to record. POST records it; what stands and is changed is corrected."""
    now = timezone.now()
    asked = request.POST or request.GET
    code = asked.get("code", "")
    record = load_record(request.job, now)
    form = _form(request, code, now) if code in FORMS else None
    if request.method == "POST" and form is not None and form.is_valid():
        try:
            _take(request, record.facts.log, code, form, now)
            return redirect("pour-day", number)
        except ValidationError as error:
            form.add_error(None, error.messages)
    context = {
        "job": request.job,
        "record": record,
        "day": pour_day(request.job, record),
        "code": code if form is not None else "",
        "form": form,
        "title": FORMS[code][0] if form is not None else "",
        "during": [(key, title) for key, (title, _) in DURING.items()],
        "now": request.job.local(now),
        "uuid": uuids.uuid4(),
    }
    status = 422 if form is not None and form.is_bound and form.errors else 200
    return render(request, "crew/phone/pour_day.html", context, status=status)


def _form(request: HttpRequest, code: str, now: datetime) -> Any:
    made = FORMS[code][1]
    more = {"zone": request.job.tz, "now": now} if made is Called else {}
    return made(request.POST if request.method == "POST" else None, **more)


def _take(request: HttpRequest, log: PourLog, code: str, form: Any, now: datetime) -> None:
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
    rows = [r.entry for r in log.told.get(code, ()) if r.entry.subject.strip().lower() == subject]
    return rows[-1] if rows else None
