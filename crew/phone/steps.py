"""The steps of a card as the phone works through them without signal: each with what its entry begins with.

A step goes to the page as JSON beside its form; what is typed is added on the phone. The server judges the
entry as if it had come from the form.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from installs.checklists.forms import EntryForm
from installs.checklists.library import likely
from installs.checklists.services import strikeable
from installs.checklists.standing import needs_photo
from installs.checklists.state import ItemState
from installs.jobs.models import Job
from installs.pour.field_log import CLOCKS_APART, DISCHARGED, TRUCK, TruckTicket


@dataclass(frozen=True)
class Step:
    """``key`` names it within its page, ``told`` is what the phone is told; the rest is for its form.

    Once the step named ``unless`` is done this one is asked for no more.
    """

    key: str
    told: dict[str, Any]
    done: bool = False
    form: Any = None
    shown: Any = None
    unless: str = ""
    still: tuple[str, ...] = ()  # subjects of the item that are open
    wants_photo: bool = False  # it stays open without one

    @property
    def json(self) -> str:
        return json.dumps(self.told)


def item_step(job: Job, state: ItemState) -> Step:
    item, limit = state.item, state.limit
    told = {
        "build": "item",
        "key": item.code,
        "job": job.number,
        "code": item.code,
        "title": f"{item.code} {item.wording}",
        "kind": item.kind,
        "per": item.per,
        "names": state.allowed,
        "tickets": TRUCK[0],
        "likely": [known.least, known.most] if (known := likely(item.code)) else None,
        "unit": item.unit,
        "low": limit.low,
        "high": limit.high,
        "words": limit.words,
        "named": limit.named,
        "back": item.code if strikeable(item) else "",
        **({"plan": limit.letter} if limit.letter and limit.given else {}),
    }
    still = state.lacking if state.names else ()
    return Step(item.code, told, state.done, form_of(state), item, still=still, wants_photo=needs_photo(item))


def form_of(state: ItemState, *typed: Any) -> EntryForm:
    return EntryForm(*typed, item=state.item, names=state.allowed, limit=state.limit)


TRUCKS_AHEAD = 8  # a day without signal


def pour_steps(
    job: Job, tickets: dict[int, TruckTicket], figures: tuple[Any, ...], limits: dict[str, Any]
) -> list[Step]:
    """Ticket and figures of every truck on record and of the next few; what is told of one is done.

    ``limits`` are the words of what each figure is held to, by its code.
    """
    last = max(tickets, default=0)
    found = []
    for truck in range(1, last + TRUCKS_AHEAD + 1):
        ticket = tickets.get(truck)
        closed = ticket is not None and (ticket.refused or ticket.discharged)
        told = ticket.told if ticket else {}
        if truck > last or not closed:
            found.append(ticket_step(job, truck, done=ticket is not None))
            reject = rejecting(job, truck, ticket)
            found += [
                figure_step(job, truck, f, reject, limits.get(f.code), done=f.code in told) for f in figures
            ]
    return found


def ticket_step(job: Job, truck: int, *, done: bool = False) -> Step:
    key = f"truck {truck}"
    told = {
        "build": "ticket",
        "key": key,
        "job": job.number,
        "title": f"Ticket of truck {truck}",
        "zone": job.zone,
        "ahead_min": CLOCKS_APART.total_seconds() / 60,
        "entry": {"code": "D01", "subject": key, "unit": "yd3"},
    }
    return Step(key, told, done, shown={"truck": truck, "step": None})


def figure_step(
    job: Job, truck: int, figure: Any, reject: Step, limits: Any = None, *, done: bool = False
) -> Step:
    key, known = f"truck {truck} {figure.code}", figure.likely
    told = {
        "build": "figure",
        "key": key,
        "job": job.number,
        "title": f"{figure.title}, truck {truck}",
        "unit": figure.unit,
        "likely": [known.least, known.most] if known else None,
        "truck": truck,
        "discharge": figure.code == DISCHARGED,
        "entry": {"code": figure.code, "subject": f"truck {truck}"},
    }
    shown = {"truck": truck, "step": figure, "reject": reject, "limits": limits}
    return Step(key, told, done, shown=shown, unless=reject.key)


def corrected(step: Step, uuid: Any) -> Step:
    """The same step as a correction of an entry."""
    told = {**step.told, "entry": {**step.told.get("entry", {}), "corrects": str(uuid)}}
    return replace(step, told=told)


def rejecting(job: Job, truck: int, ticket: TruckTicket | None) -> Step:
    """The whole truck sent back: it corrects its ticket, which only the phone may know yet."""
    key = f"truck {truck} rejected"
    entry: dict[str, Any] = {
        "code": "D01",
        "subject": f"truck {truck}",
        "data": {**ticket_data(ticket), "refused": True},
    }
    if ticket is not None and "D01" in ticket.told:
        entry["corrects"] = str(ticket.told["D01"].entry.uuid)
    told = {
        "build": "reject",
        "key": key,
        "of": f"truck {truck}",
        "job": job.number,
        "title": f"Reject truck {truck}",
        "entry": entry,
    }
    return Step(key, told)


def ticket_data(ticket: TruckTicket | None) -> dict[str, Any]:
    """What was on the ticket stays with it when the truck is refused."""
    told = ticket.told.get("D01") if ticket else None
    if told is None:
        return {}
    data = {} if told.entry.unreadable else told.entry.data
    return {**data, "ticket": told.entry.text, "yards": told.entry.reading}
