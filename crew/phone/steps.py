"""The steps of a card as the phone works through them without signal: each with what its entry begins with.

A step goes to the page as JSON beside its form; what is typed is added on the phone. The server judges the
entry as if it had come from the form.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from installs.checklists.forms import EntryForm, tolerance_words
from installs.checklists.models import Item
from installs.jobs.models import Job
from installs.pour.log import TruckTicket
from installs.tower.torque import FAILED, TORQUED, JointState
from installs.tower.torque_log import CHECK_CODE, PASS_CODES


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

    @property
    def json(self) -> str:
        return json.dumps(self.told)


def item_step(job: Job, item: Item, *, done: bool = False) -> Step:
    told = {
        "build": "item",
        "key": item.code,
        "job": job.number,
        "code": item.code,
        "title": f"{item.code} {item.wording}",
        "kind": item.kind,
        "per": item.per,
        "low": item.low,
        "high": item.high,
        "words": tolerance_words(item),
    }
    return Step(item.code, told, done, EntryForm(item=item), item)


def torque_steps(job: Job, joints: tuple[JointState, ...]) -> list[Step]:
    """Early passes a joint at a time, the last bolt by bolt, then the second person's check."""
    return [step for state in joints for step in _of_joint(job, state)]


def _of_joint(job: Job, state: JointState) -> list[Step]:
    joint = state.joint
    found = []
    for each in joint.passes:
        torqued, _failed, left = state.counted(each.number)
        entry: dict[str, Any] = {"code": pass_code(each.number, len(joint.passes))}
        if each.torque_ft_lb is not None:
            entry |= {"number": each.torque_ft_lb, "unit": "ft-lb"}
        page = f"?joint={joint.number}"
        common = {"job": job.number, "torqued": each.torque_ft_lb is not None, "page": page}
        if each.number != joint.last_pass.number and not torqued:
            key = joint.subject(each.number, "")
            told = {
                **common,
                "build": "pass",
                "key": key,
                "title": f"{joint.title}, pass {each.number}",
                "bolts": len(joint.bolts),
                "entry": {**entry, "subject": key},
            }
            found.append(Step(key, told, not left, shown={"joint": state, "step": each, "mode": "pass"}))
            continue
        for bolt in joint.bolts:
            found.append(_bolt(state, each, bolt, common, entry))
    key = f"joint {joint.number}"
    told = {
        "build": "check",
        "key": key,
        "job": job.number,
        "page": f"?joint={joint.number}",
        "title": f"{joint.title}, check",
        "all": list(joint.bolts),
        "torqued": joint.last_pass.torque_ft_lb is not None,
        "entry": {"code": CHECK_CODE, "subject": key},
    }
    shown = {"joint": state, "mode": "check", "all_checked": state.to_check == len(joint.bolts)}
    return [*found, Step(key, told, state.complete, shown=shown)]


def _bolt(state: JointState, each: Any, bolt: str, common: dict[str, Any], entry: dict[str, Any]) -> Step:
    joint = state.joint
    key = joint.subject(each.number, bolt)
    told = {
        **common,
        "build": "bolt",
        "key": key,
        "title": f"{joint.title}, {bolt}",
        "entry": {**entry, "subject": key},
    }
    now = next(b.passes[each.number - 1] for b in state.bolts if b.bolt == bolt)
    torqued, failed, left = state.counted(each.number)
    shown = {
        "joint": state,
        "step": each,
        "bolt": bolt,
        "mode": "failed" if now == FAILED else "bolt",
        "torqued": torqued,
        "failed_count": failed,
        "left": left,
    }
    return Step(key, told, now == TORQUED, shown=shown)


def pass_code(number: int, passes: int) -> str:
    """Code of the item that a pass is recorded under: the first, those between, the last."""
    if number == passes:
        return PASS_CODES[-1]
    return PASS_CODES[0] if number == 1 else PASS_CODES[1]


TRUCKS_AHEAD = 8  # a day without signal


def pour_steps(job: Job, tickets: dict[int, TruckTicket], figures: tuple[Any, ...]) -> list[Step]:
    """Ticket and figures of every truck on record and of the next few; what is told of one is done."""
    last = max(tickets, default=0)
    found = []
    for truck in range(1, last + TRUCKS_AHEAD + 1):
        ticket = tickets.get(truck)
        closed = ticket is not None and (ticket.refused or ticket.discharged)
        told = ticket.told if ticket else {}
        if truck > last or not closed:
            found.append(ticket_step(job, truck, done=ticket is not None))
            reject = rejecting(job, truck, ticket)
            found += [figure_step(job, truck, figure, reject, done=figure.code in told) for figure in figures]
    return found


def ticket_step(job: Job, truck: int, *, done: bool = False) -> Step:
    key = f"truck {truck}"
    told = {
        "build": "ticket",
        "key": key,
        "job": job.number,
        "title": f"Ticket of truck {truck}",
        "entry": {"code": "D01", "subject": key, "unit": "yd3"},
    }
    return Step(key, told, done, shown={"truck": truck, "step": None})


def figure_step(job: Job, truck: int, figure: Any, reject: Step, *, done: bool = False) -> Step:
    key = f"truck {truck} {figure.code}"
    told = {
        "build": "figure",
        "key": key,
        "job": job.number,
        "title": f"{figure.title}, truck {truck}",
        "unit": figure.unit,
        "least": figure.low,
        "most": figure.high,
        "entry": {"code": figure.code, "subject": f"truck {truck}"},
    }
    return Step(key, told, done, shown={"truck": truck, "step": figure, "reject": reject}, unless=reject.key)


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
    return {**told.entry.data, "ticket": told.entry.text, "yards": told.entry.number}
