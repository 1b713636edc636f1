"""The torque log as the phone works through it without signal: the state of every bolt, and a form for each
thing that can be done at a joint. The phone reads on from the state as installs.tower.torque_log does."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from crew.phone.steps import Step
from installs.jobs.models import Job
from installs.tower.torque import FAILED, TORQUED, JointState
from installs.tower.torque_log import CHECK_CODE, pass_code

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
    told = {"build": "pass", "key": key, "title": title, "bolts": len(state.joint.bolts)}
    return {**told, **_common(job, state, each), "entry": {**_torque(state, each), "subject": key}}


def bolt_told(job: Job, state: JointState, each: Any, bolt: str) -> dict[str, Any]:
    key = state.joint.subject(each.number, bolt)
    told = {"build": "bolt", "key": key, "title": f"{state.joint.title}, {bolt}"}
    return {**told, **_common(job, state, each), "entry": {**_torque(state, each), "subject": key}}


def new_bolt_told(job: Job, state: JointState, each: Any, bolt: str) -> dict[str, Any]:
    told = bolt_told(job, state, each, bolt)
    key = f"joint {state.joint.number} new {bolt}"
    return {**told, "key": key, "title": f"{state.joint.title}, new bolt in {bolt}"}


def check_told(job: Job, state: JointState) -> dict[str, Any]:
    """The second person's check."""
    joint = state.joint
    key = f"joint {joint.number}"
    told = {"build": "check", "key": key, "title": f"{joint.title}, check", "all": list(joint.bolts)}
    return {**told, **_common(job, state, joint.last_pass), "entry": {"code": CHECK_CODE, "subject": key}}


def _common(job: Job, state: JointState, each: Any) -> dict[str, Any]:
    page = f"?joint={state.joint.number}"
    return {"job": job.number, "torqued": each.torque_ft_lb is not None, "page": page}


def _torque(state: JointState, each: Any) -> dict[str, Any]:
    entry: dict[str, Any] = {"code": pass_code(each.number, len(state.joint.passes))}
    if each.torque_ft_lb is not None:
        entry |= {"number": each.torque_ft_lb, "unit": "ft-lb"}
    return entry
