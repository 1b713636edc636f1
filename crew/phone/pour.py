"""The pour card on the phone: truck by truck, the next figure large, tickets newest first."""

from __future__ import annotations

import json
import uuid as uuids
from datetime import datetime, timedelta
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from crew.phone.offline import held_on_phone
from crew.phone.steps import corrected, figure_step, pour_steps, rejecting, ticket_data, ticket_step
from crew.phone.truck_forms import BY_CODE, FIGURES, Figure, FigureForm, OnSite, TicketForm
from installs.checklists.taking import take_entry
from installs.gates.by_card import CARD, by_card
from installs.gates.facts import facts_of
from installs.gates.rules import gate_ahead
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.measures import short_words
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.pour.drawing import narrow_section_svg
from installs.pour.field_log import DISCHARGED, RULE_OF, TruckTicket
from installs.pour.record_words import PourRecord, load_record
from installs.pour.review import table_of
from installs.pour.services import renumber_truck
from installs.pour.truck_asks import AHEAD_MIN, LATE_MIN
from installs.sent.once import ENTRIES, sends
from sitecalc.pour.cold import COLD_AIR_F, section_of
from sitecalc.pour.placing import CONCRETE, WATER, Limit
from sitecalc.wording import clock_words


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
@held_on_phone
def pour_card(request: JobRequest, number: str) -> HttpResponse:
    """``?truck=3&code=D03`` chooses a figure to enter or correct. POST records one, or rejects a truck."""
    job: Job = request.job
    now = timezone.now()
    if request.POST.get("do") == "renumber":
        return _renumbered(request, job, now)
    record = load_record(job, now)
    asked, step = _chosen(record, request.POST or request.GET)
    ticket = next((t for t in record.facts.log.trucks if t.number == asked), None)
    truck = OnSite(record, asked, ticket, now)
    form = _form(request, step, truck)
    refusing, faults = request.POST.get("do") == "refuse", list[str]()
    if request.method == "POST" and (refusing or form.is_valid()):
        try:
            _take(request, truck, form)
            return redirect("pour-card", number)
        except ValidationError as error:
            if refusing:  # said where the reason is asked; the figure's form was not sent
                faults = error.messages
            else:
                form.add_error(None, error.messages)
    return _page(request, truck, step, form, faults)


def _renumbered(request: PersonRequest, job: Job, now: datetime) -> HttpResponse:
    """Two phones gave one number to two trucks: what one of them wrote is of the next."""
    text = request.POST.get("truck", "")
    try:
        number = int(text) if text.isascii() and text.isdigit() and len(text) <= 3 else 0
        other = renumber_truck(job, number, request.POST.get("hand", ""), by=request.user, at=now)
        messages.success(request, f"Recorded: that was truck {other}.")
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("pour-card", job.number)


def _chosen(record: PourRecord, asked: Any) -> tuple[int, Figure | None]:
    """The truck and figure asked for, else the first open figure of the truck on site, else a new truck."""
    trucks = {t.number: t for t in record.facts.log.trucks}
    text = asked.get("truck", "")
    if text.isascii() and text.isdigit() and len(text) <= 2 and int(text) >= 1:
        return int(text), BY_CODE.get(asked.get("code", ""))
    for truck in trucks.values():
        if truck.on_site:
            return truck.number, next((s for s in FIGURES if s.code not in truck.told), FIGURES[-1])
    return max(trucks, default=0) + 1, None


def _form(request: PersonRequest, step: Figure | None, truck: OnSite) -> Any:
    data = request.POST if request.method == "POST" and request.POST.get("do") != "refuse" else None
    return FigureForm(data, figure=step, truck=truck) if step else TicketForm(data, truck=truck)


def _take(request: PersonRequest, truck: OnSite, form: Any) -> None:
    """One entry. A reading that corrects names what it corrects; nothing is written over."""
    fields: dict[str, Any]
    if request.POST.get("do") == "refuse":
        why = _why(request)
        if not why:
            raise ValidationError("Say why the truck is rejected.")
        fields = {"code": "D01", "text": why, "data": {**ticket_data(truck.ticket), "refused": True}}
    else:
        fields = form.entry()
    old = truck.ticket.told.get(fields["code"]) if truck.ticket else None
    if old is not None:
        fields["corrects"] = old.entry.uuid
        fields["text"] = fields.get("text") or _why(request)
    taken = take_entry(
        truck.record.job,
        by=request.user,
        received_at=truck.now,
        taken_at=truck.now,
        uuid=_uuid(request.POST.get("uuid")),
        subject=f"truck {truck.number}",
        **fields,
    )
    for deviation in taken.entry.deviations.all():
        messages.warning(request, f"Recorded. Deviation {deviation.number} stands: {deviation.title}.")


def _why(request: PersonRequest) -> str:
    return short_words(request.POST.get("why", ""), 300)


def _uuid(text: str | None) -> uuids.UUID:
    try:
        return uuids.UUID(str(text))
    except ValueError:
        raise ValidationError("The form is incomplete; load the page again.") from None


def _page(
    request: PersonRequest, truck: OnSite, step: Figure | None, form: Any, faults: list[str]
) -> HttpResponse:
    """``faults`` are of a rejection that was not taken."""
    record, ticket, number = truck.record, truck.ticket, truck.number
    old = ticket.told.get(step.code if step else "D01") if ticket else None
    reject = rejecting(record.job, number, ticket)
    current = (
        figure_step(record.job, number, step, reject, _limits(truck, step.code))
        if step
        else ticket_step(record.job, number)
    )
    on_site = ticket is not None and ticket.on_site
    words = {t.number: t.decision_words for t in record.tickets}
    context = {
        "current": corrected(current, old.entry.uuid) if old else current,
        "rejecting": reject if on_site or faults else None,
        "faults": faults,
        "steps": pour_steps(
            record.job, {t.number: t for t in record.facts.log.trucks}, FIGURES, record_limits(record)
        ),
        "job": record.job,
        "record": record,
        "truck": number,
        "folded": record.all_came and ticket is None and not form.errors,
        "step": step,
        "figures": FIGURES,
        "form": form,
        "old": old.entry if old else None,
        "limits": _limits(truck, step.code if step else ""),
        "verdict": words.get(number, ""),
        "minutes_now": _minutes_now(truck, step),
        "deadline": deadline(record, ticket),
        **_gate(record),
        "tickets": list(reversed(record.tickets)),
        "section": narrow_section_svg(record.section) if record.section else "",
        "pour": json.dumps(told_to_phone(record)),
        "now": record.job.local(record.at),
        "uuid": uuids.uuid4(),
    }
    return render(request, "crew/phone/pour.html", context, status=422 if form.errors or faults else 200)


def _minutes_now(truck: OnSite, step: Figure | None) -> int | None:
    """Since batching, where the next thing is the discharge of a truck whose ticket says when."""
    if step is None or step.code != DISCHARGED or truck.ticket is None or not truck.ticket.on_site:
        return None
    age = truck.ticket.minutes(truck.now) if truck.ticket.batched_at else None
    return None if age is None else int(age)


def _gate(record: PourRecord) -> dict[str, Any]:
    """The pour's gate while the pour has not begun; where it is closed, how far it goes by the card."""
    job, at = record.job, record.at
    if job.phases.filter(key="pour").exists():
        return {}
    facts = facts_of(job, at)
    state = gate_ahead("pour", facts, job.local(at).date())
    return {"gate": state, "card": None if state.open else by_card(job, at, facts), "card_code": CARD}


def record_limits(record: PourRecord) -> dict[str, dict[str, str]]:
    """What each figure is held to and where that comes from, for a truck whose ticket nobody has read yet."""
    return {f.code: _limits(OnSite(record, 0, None, record.at), f.code) for f in FIGURES}


def _limits(truck: OnSite, code: str) -> dict[str, str]:
    """ "Accepted 3 to 5 in." and its rule; blank where no limits are in force."""
    limit = truck.limit(code)
    if limit is None or (limit.rule is WATER and limit.high is None):
        return {"accepted": "", "rule": ""}
    return {"accepted": _accepted(limit, truck.record.air_f), "rule": _rule(limit, truck.record)}


def _accepted(limit: Limit, air_f: float | None) -> str:
    words = limit.accepted.removesuffix(" accepted")
    if limit.low > 0:
        words = f"accepted {words}"
    if limit.rule is CONCRETE and air_f is not None and air_f < COLD_AIR_F:
        words = f"{words}, cold weather, air {air_f:.0f} F"
    return f"{words[:1].upper()}{words[1:]}."


def _rule(limit: Limit, record: PourRecord) -> str:
    limits = record.terms.limits() if record.terms else None
    if limit.rule is CONCRETE and limits is not None:
        return f"Section {limits.least_dimension_in:g} in: {section_of(limits.least_dimension_in).words}."
    rule = limit.rule
    return f"{rule.known.beside(rule.source)}; figures of this job's release. Out of it: {limit.out}."


def told_to_phone(record: PourRecord) -> dict[str, Any]:
    """What the phone judges and sums by without signal (static/installs/trucks.js)."""
    return {
        "table": [
            {
                "code": code, "title": row.rule.title, "unit": row.rule.unit,
                "low": row.low, "high": row.high, "out": row.out, "only_if_any": row.only_if_any,
                "source": row.judge(None).source_note,
            }
            for row in table_of(None, record.terms, record.air_f)
            for code, rule in RULE_OF.items()
            if rule is row.rule
        ],
        "trucks": {t.number: _truck_told(t) for t in record.facts.log.trucks},
        "net_yd3": record.section.net_yd3 if record.section else None,
        "order_yd3": record.order.order_yd3 if record.order else None,
        "truck_yd3": record.terms.figures.truck_yd3 if record.terms else None,
        "step_yd3": record.terms.figures.order_step_yd3 if record.terms else None,
        "late_min": LATE_MIN,
        "ahead_min": AHEAD_MIN,
        "zone": record.job.zone,
    }  # fmt: skip


def _truck_told(ticket: TruckTicket) -> dict[str, Any]:
    batched = ticket.batched_at
    return {
        "ticket": ticket.ticket,
        "yards": ticket.yards,
        "batched_at": batched.isoformat() if batched else None,
        "water": ticket.more("water_allowed_gal"),
        "refused": ticket.refused,
        "readings": {code: value for code in RULE_OF if (value := ticket.figure(code)) is not None},
        "cannot": sorted(ticket.cannot),
    }


def deadline(record: PourRecord, ticket: TruckTicket | None) -> str:
    """ "Discharge truck 3 by 09:42, 36 min left." """
    batched = ticket.batched_at if ticket and ticket.on_site else None
    limits = record.terms.limits() if record.terms else None
    if ticket is None or batched is None or limits is None:
        return ""
    end = batched + timedelta(minutes=limits.most_minutes)
    left = int((end - record.at).total_seconds() // 60)
    words = f"{left} min left" if left >= 0 else f"{-left} min over"
    return f"Discharge truck {ticket.number} by {clock_words(record.job.local(end))}, {words}."
