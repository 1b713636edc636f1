"""The torque log as the phone works through it without signal: the state of every bolt, and a form for each
thing that can be done at a joint. The phone reads on from the state as installs.tower.torque_log does."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from crew.phone.steps import Step
from installs.checklists.models import Entry
from installs.checklists.standing import struck_keys
from installs.jobs.models import Job
from installs.tower.torque import FAILED, TORQUED, JointState
from installs.tower.torque_log import CHECK_CODE, PASS_CODES, pass_code

BOLT = "{bolt}"  # stands in a form for the bolt that the phone puts there
LETTERS = {TORQUED: "t", FAILED: "f"}  # any other state is to do


@dataclass(frozen=True)
class JointSteps:
    """``forms`` are keyed by what they do: "pass 2", "bolt 3", "new", "check", "check all"."""

    state: JointState
    forms: tuple[Step, ...]

    @property
    def json(self) -> str:
        joint = self.state.joint
        states = {b.bolt: "".join(LETTERS.get(s, "-") for s in b.passes) for b in self.state.bolts}
        return json.dumps(
            {
                "number": joint.number,
                "bolts": list(joint.bolts),
                "passes": len(joint.passes),
                "states": states,
                "complete": self.state.complete,
                "check_all": self.state.to_check == len(joint.bolts),
            }
        )


def joint_steps(job: Job, state: JointState) -> JointSteps:
    return JointSteps(state, tuple(_forms(job, state)))


def _forms(job: Job, state: JointState) -> Iterator[Step]:
    joint = state.joint
    for each in joint.passes:
        if each.number != joint.last_pass.number:
            yield Step(
                f"pass {each.number}", pass_told(job, state, each), shown={"mode": "pass", "step": each}
            )
        bolt = {"mode": "bolt", "step": each, "bolt": BOLT}
        yield Step(f"bolt {each.number}", bolt_told(job, state, each, BOLT), shown=bolt)
    last = joint.last_pass
    failed = {"mode": "failed", "step": last, "bolt": BOLT}
    yield Step("new", new_bolt_told(job, state, last, BOLT), shown=failed)
    for key, every in (("check", False), ("check all", True)):
        yield Step(key, check_told(job, state), shown={"mode": "check", "all_checked": every})


def pass_told(job: Job, state: JointState, each: Any) -> dict[str, Any]:
    """All bolts of a joint in an early pass, with those that kept turning."""
    key = state.joint.subject(each.number, "")
    title = f"{state.joint.title}, pass {each.number}"
    back = f"pass {each.number}"
    told = {"build": "pass", "key": key, "title": title, "bolts": len(state.joint.bolts), "back": back}
    return {**told, **_common(job, state, each), "entry": {**_torque(state, each), "subject": key}}


def bolt_told(job: Job, state: JointState, each: Any, bolt: str) -> dict[str, Any]:
    key = state.joint.subject(each.number, bolt)
    told = {"build": "bolt", "key": key, "title": f"{state.joint.title}, {bolt}", "back": bolt}
    return {**told, **_common(job, state, each), "entry": {**_torque(state, each), "subject": key}}


def new_bolt_told(job: Job, state: JointState, each: Any, bolt: str) -> dict[str, Any]:
    told = bolt_told(job, state, each, bolt)
    key = f"joint {state.joint.number} new {bolt}"
    title = f"{state.joint.title}, new bolt in {bolt}"
    return {**told, "key": key, "title": title, "back": f"new bolt in {bolt}"}


def check_told(job: Job, state: JointState) -> dict[str, Any]:
    """The second person's check."""
    joint = state.joint
    key = f"joint {joint.number}"
    entry = {"code": CHECK_CODE, "subject": key}
    told = {
        "build": "check",
        "key": key,
        "title": f"{joint.title}, check",
        "back": "the check",
        "entry": entry,
    }
    return {**told, **_common(job, state, joint.last_pass), "all": list(joint.bolts)}


@dataclass(frozen=True)
class Recorded:
    """One line of a joint's log: ``said`` is what was done, ``struck`` says that it was not so."""

    entry: Entry
    said: str
    struck: Entry | None
    told: dict[str, Any]

    @property
    def json(self) -> str:
        return json.dumps(self.told)


def recorded(job: Job, state: JointState) -> list[Recorded]:
    """What is on record of a joint, newest first, each with what strikes it. One query."""
    joint = state.joint
    of = rf"^joint {joint.number}( |$)"
    rows = job.entries.filter(code__in=(*PASS_CODES, CHECK_CODE), subject__regex=of)
    in_order = list(rows.select_related("person").order_by("sequence"))
    gone = struck_keys(in_order)
    by = {e.corrects_id: e for e in in_order if e.struck and e.pk not in gone}
    shown = [e for e in in_order if not e.struck]
    return [Recorded(e, _done(e), by.get(e.pk), _strike_told(job, state, e)) for e in reversed(shown)]


def _done(entry: Entry) -> str:
    """ "pass 3, B4 kept turning"."""
    if entry.unreadable:
        return f"cannot be read: {entry.unreadable}"
    said, where = entry.said, entry.subject.partition(" ")[2].partition(" ")[2]
    place = where.replace(" bolt ", ", ")
    if entry.code == CHECK_CODE:
        moved = said.get("failed")
        return f"check, {_names(moved)} moved" if moved else f"check of {_names(said.get('bolts'))}"
    if said.get("cannot"):
        return f"{place} not done"
    if said.get("new_bolt"):
        return f"{place} new bolt"
    failed = said.get("failed")
    if failed is True or not failed:
        return f"{place} {'kept turning' if failed else 'torqued'}"
    return f"{place} torqued, {_names(failed)} kept turning"


def _names(said: Any) -> str:
    return ", ".join(said) if isinstance(said, tuple) else str(said or "no bolt")


def _strike_told(job: Job, state: JointState, entry: Entry) -> dict[str, Any]:
    """The form by which a line is struck, as the phone is told of it."""
    number = state.joint.number
    return {
        "build": "strike",
        "key": f"joint {number} strike {entry.uuid}",
        "job": job.number,
        "title": f"Crossed out: joint {number}, {_done(entry)}",
        "page": f"?joint={number}",
        "entry": {"code": entry.code, "subject": entry.subject, "corrects": str(entry.uuid)},
    }


def _common(job: Job, state: JointState, each: Any) -> dict[str, Any]:
    page = f"?joint={state.joint.number}"
    return {"job": job.number, "torqued": each.torque_ft_lb is not None, "page": page}


def _torque(state: JointState, each: Any) -> dict[str, Any]:
    entry: dict[str, Any] = {"code": pass_code(each.number, len(state.joint.passes))}
    if each.torque_ft_lb is not None:
        entry |= {"number": each.torque_ft_lb, "unit": "ft-lb"}
    return entry
