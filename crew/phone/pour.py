"""The pour card on the phone: truck by truck, the next figure large, tickets newest first."""

from __future__ import annotations

import uuid as uuids
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_http_methods

from crew.phone.offline import held_on_phone
from crew.phone.steps import corrected, figure_step, pour_steps, rejecting, ticket_data, ticket_step
from installs.checklists.taking import take_entry
from installs.gates.by_card import CARD, by_card
from installs.gates.facts import facts_of
from installs.gates.rules import gate_ahead
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.measures import QuantityInput, WithinRange, short_words
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.pour.drawing import narrow_section_svg
from installs.pour.field_log import TruckTicket
from installs.pour.record_words import PourRecord, load_record
from installs.pour.review import coldest_air
from sitecalc.pour.cold import section_of
from sitecalc.pour.placing import air_range, slump_range, temperature_range
from sitecalc.wording import clock_words, quantity_words


@dataclass(frozen=True)
class Step:
    """One figure of a ticket: code of its item, what it is called, unit, and what can be typed at all."""

    code: str
    title: str
    unit: str
    low: float
    high: float


STEPS = (
    Step("D05", "Concrete temperature", "F", 20, 130),
    Step("D03", "Slump", "in", 0, 12),
    Step("D04", "Air", "%", 0, 20),
    Step("D07", "Water added", "gal", 0, 100),
    Step("D02", "Minutes from batching to discharge", "min", 1, 600),
)
BY_CODE = {step.code: step for step in STEPS}


class TicketForm(forms.Form):
    ticket = forms.CharField(max_length=30, label="Ticket number")
    yards = QuantityInput(label="Yards", validators=[WithinRange(0.25, 15, "yd3")])
    batched = forms.TimeField(label="Batched at (24 h)", required=False)


class FigureForm(forms.Form):
    number = QuantityInput(required=False)
    cannot = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, step: Step, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["number"].validators.append(WithinRange(step.low, step.high, step.unit))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("number") is None and not cleaned.get("cannot") and "number" not in self.errors:
            self.add_error("number", "Enter the reading, or say why it cannot be taken.")
        return cleaned


@allow("record entries")
@require_http_methods(["GET", "POST"])
@held_on_phone
def pour_card(request: JobRequest, number: str) -> HttpResponse:
    """``?truck=3&code=D03`` chooses a figure to enter or correct. POST records one, or rejects a truck."""
    job: Job = request.job
    record = load_record(job, timezone.now())
    truck, step = _chosen(record, request.POST or request.GET)
    form = _form(request, step)
    if request.method == "POST" and (request.POST.get("do") == "refuse" or form.is_valid()):
        try:
            _take(request, record, truck, step, form)
            return redirect("pour-card", number)
        except ValidationError as error:
            form.add_error(None, error.messages)
    return _page(request, record, truck, step, form)


def _chosen(record: PourRecord, asked: Any) -> tuple[int, Step | None]:
    """The truck and figure asked for, else the first open figure of the truck on site, else a new truck."""
    trucks = {t.number: t for t in record.facts.log.trucks}
    text = asked.get("truck", "")
    if text.isascii() and text.isdigit() and len(text) <= 2 and int(text) >= 1:
        return int(text), BY_CODE.get(asked.get("code", ""))
    for truck in trucks.values():
        if not truck.refused and not truck.discharged:
            return truck.number, next((s for s in STEPS if s.code not in truck.told), STEPS[-1])
    return max(trucks, default=0) + 1, None


def _form(request: PersonRequest, step: Step | None) -> Any:
    data = request.POST if request.method == "POST" and request.POST.get("do") != "refuse" else None
    return FigureForm(data, step=step) if step else TicketForm(data)


def _take(request: PersonRequest, record: PourRecord, truck: int, step: Step | None, form: Any) -> None:
    """One entry. A reading that corrects names what it corrects; nothing is written over."""
    now = timezone.now()
    ticket = next((t for t in record.facts.log.trucks if t.number == truck), None)
    fields: dict[str, Any]
    if request.POST.get("do") == "refuse":
        why = _why(request)
        if not why:
            raise ValidationError("Say why the truck is rejected.")
        fields = {"code": "D01", "text": why, "data": {**ticket_data(ticket), "refused": True}}
    elif step is None:
        fields = _ticket_fields(record.job, form.cleaned_data, now)
    else:
        figures = form.cleaned_data
        fields = {"code": step.code, "number": figures["number"], "text": figures["cannot"]}
        if figures["cannot"]:
            fields |= {"number": None, "data": {"cannot": True}}
    old = ticket.told.get(fields["code"]) if ticket else None
    if old is not None:
        fields["corrects"] = old.entry.uuid
        fields["text"] = fields.get("text") or _why(request)
    taken = take_entry(
        record.job,
        by=request.user,
        received_at=now,
        taken_at=now,
        uuid=_uuid(request.POST.get("uuid")),
        subject=f"truck {truck}",
        **fields,
    )
    for deviation in taken.entry.deviations.all():
        messages.warning(request, f"Recorded. Deviation {deviation.number} stands: {deviation.title}.")


def _why(request: PersonRequest) -> str:
    return short_words(request.POST.get("why", ""), 300)


def _ticket_fields(job: Job, figures: dict[str, Any], now: datetime) -> dict[str, Any]:
    data: dict[str, Any] = {"ticket": figures["ticket"]}
    if figures["batched"]:
        data["batched_at"] = _batched(job, figures["batched"], now).isoformat()
    return {"code": "D01", "number": figures["yards"], "unit": "yd3", "text": figures["ticket"], "data": data}


def _batched(job: Job, at: time, now: datetime) -> datetime:
    """The newest such time of the site's clock that is not in the future: a truck batched before midnight."""
    local = datetime.combine(job.local(now).date(), at, job.tz)
    return local if local <= now else local - timedelta(days=1)


def _uuid(text: str | None) -> uuids.UUID:
    try:
        return uuids.UUID(str(text))
    except ValueError:
        raise ValidationError("The form is incomplete; load the page again.") from None


def _page(
    request: PersonRequest, record: PourRecord, truck: int, step: Step | None, form: Any
) -> HttpResponse:
    ticket = next((t for t in record.facts.log.trucks if t.number == truck), None)
    old = ticket.told.get(step.code if step else "D01") if ticket else None
    current = (
        figure_step(record.job, truck, step, rejecting(record.job, truck, ticket))
        if step
        else ticket_step(record.job, truck)
    )
    on_site = ticket is not None and not ticket.discharged and not ticket.refused
    context = {
        "current": corrected(current, old.entry.uuid) if old else current,
        "rejecting": rejecting(record.job, truck, ticket) if on_site else None,
        "steps": pour_steps(record.job, {t.number: t for t in record.facts.log.trucks}, STEPS),
        "job": record.job,
        "record": record,
        "truck": truck,
        "step": step,
        "figures": STEPS,
        "form": form,
        "old": old.entry if old else None,
        "accepted": accepted(record, step.code if step else ""),
        "rule": rule(record, step.code if step else ""),
        "to_come": to_come(record),
        "deadline": deadline(record, ticket),
        **_gate(record),
        "tickets": list(reversed(record.tickets)),
        "section": narrow_section_svg(record.section) if record.section else "",
        "now": record.job.local(record.at),
        "uuid": uuids.uuid4(),
    }
    return render(request, "crew/phone/pour.html", context, status=422 if form.errors else 200)


def _gate(record: PourRecord) -> dict[str, Any]:
    """The pour's gate while the pour has not begun; where it is closed, how far it goes by the card."""
    job, at = record.job, record.at
    if job.phases.filter(key="pour").exists():
        return {}
    facts = facts_of(job, at)
    state = gate_ahead("pour", facts, job.local(at).date())
    return {"gate": state, "card": None if state.open else by_card(job, at, facts), "card_code": CARD}


def accepted(record: PourRecord, code: str) -> str:
    """ "Accepted 3 to 5 in." from the release's limits; blank where there are none."""
    limits = record.terms.limits() if record.terms else None
    if limits is None:
        return ""
    if code == "D02":
        return f"At most {limits.most_minutes:g} min."
    ranges = {"D03": (slump_range, "in"), "D04": (air_range, "%")}
    if code in ranges:
        worked, unit = ranges[code]
        low, high = worked(limits)
    elif code == "D05":
        log = record.facts.log
        day = log.poured_on or record.job.local(record.at).date()
        air = coldest_air(log, day, record.job.tz)
        (low, high), unit = temperature_range(limits, air), "F"
        if air is not None and high < limits.highest_f:
            unit = f"F, cold weather, air {air:.0f} F"
    else:
        return ""
    return f"Accepted {low:g} to {quantity_words(high, unit)}."


def rule(record: PourRecord, code: str) -> str:
    """Where the accepted range comes from."""
    limits = record.terms.limits() if record.terms else None
    if limits is None or code == "D07":
        return ""
    if code == "D05":
        return f"Section {limits.least_dimension_in:g} in: {section_of(limits.least_dimension_in).words}."
    return "ASTM C94 (from memory); figures of this job's release."


def to_come(record: PourRecord) -> str:
    """ "16.5 yd³ of 36.5 ordered still to come." """
    if record.order is None:
        return ""
    left = record.order.order_yd3 - record.facts.log.yards
    ordered = f"{record.order.order_yd3:g} yd³ ordered"
    return f"{left:.1f} of {ordered} still to come." if left > 0.05 else f"All {ordered} have come."


def deadline(record: PourRecord, ticket: TruckTicket | None) -> str:
    """ "Discharge truck 3 by 09:42, 36 min left." """
    batched = ticket.more("batched_at") if ticket and not ticket.discharged and not ticket.refused else None
    limits = record.terms.limits() if record.terms else None
    at = parse_datetime(batched) if isinstance(batched, str) else None
    if ticket is None or at is None or limits is None:
        return ""
    end = at + timedelta(minutes=limits.most_minutes)
    left = int((end - record.at).total_seconds() // 60)
    words = f"{left} min left" if left >= 0 else f"{-left} min over"
    return f"Discharge truck {ticket.number} by {clock_words(record.job.local(end), hours=24)}, {words}."
