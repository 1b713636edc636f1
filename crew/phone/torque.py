"""The torque log on the phone: early passes a joint at a time with exceptions, the last bolt by bolt."""

from __future__ import annotations

import uuid as uuids
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from crew.phone.offline import held_on_phone
from crew.phone.steps import Step
from crew.phone.torque_steps import (
    bolt_told,
    check_told,
    joint_steps,
    new_bolt_told,
    pass_told,
    recorded,
)
from installs.checklists.taking import take_entry
from installs.equipment.models import Wrench
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.measures import short_words
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import ENTRIES, sends
from installs.tower.joint_drawing import joint_svg, legend_svg
from installs.tower.torque import JointState
from installs.tower.torque_log import CHECK_CODE, load_torque, pass_code


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
@held_on_phone
def torque_log(request: JobRequest, number: str) -> HttpResponse:
    """One joint at a time: ``?joint=2&bolt=D4``. POST records one entry of what was done."""
    job = request.job
    state = load_torque([job])[job.pk]
    joint = state.chosen(request.POST.get("joint") or request.GET.get("joint"))
    if request.method == "POST" and joint:
        try:
            _record(request, joint)
            return redirect(f"{request.path}?joint={joint.joint.number}")
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
    now = timezone.now()
    today = job.local(now).date()
    wrenches = [
        (w, w.valid_on(today)) for w in Wrench.objects.filter(archived_on=None).prefetch_related("records")
    ]
    context = {
        "job": job,
        "state": state,
        "now": job.local(now),
        "wrenches": wrenches,
        "wrench": request.session.get("wrench", ""),
        "uuid": uuids.uuid4(),
        "joint_steps": [joint_steps(job, each) for each in state.joints],
        **(_shown(joint, request.GET.get("bolt", ""), request.path) if joint else {}),
        "recorded": recorded(job, joint) if joint else [],
    }
    context["current"] = _current(job, context) if joint else None
    status = 422 if request.method == "POST" else 200
    return render(request, "crew/phone/torque.html", context, status=status)


def _current(job: Job, context: dict[str, Any]) -> Step:
    """What the phone is told of the form that the page shows."""
    joint, each, bolt = context["joint"], context["step"], context["bolt"]
    made = {
        "pass": lambda: pass_told(job, joint, each),
        "bolt": lambda: bolt_told(job, joint, each, bolt),
        "failed": lambda: new_bolt_told(job, joint, each, bolt),
        "check": lambda: check_told(job, joint),
    }
    told = made[context["mode"]]()
    return Step(told["key"], told)


def _shown(state: JointState, bolt: str, path: str) -> dict[str, Any]:
    joint = state.joint
    # where nothing else is to do, the bolt that failed is next
    number, next_bolt = state.next or (joint.last_pass.number, next(iter(state.failed), ""))
    torqued, failed, left = state.counted(number)
    # early passes are recorded for the whole joint; what is left of one once a bolt is new, by bolt
    by_bolt = number == joint.last_pass.number or torqued > 0
    if bolt in joint.bolts and (by_bolt or bolt in state.failed):
        next_bolt = bolt
    elif not by_bolt:
        next_bolt = ""
    mode = "bolt" if by_bolt else "pass"
    if state.next is None and not state.failed:
        mode = "check"
    if next_bolt in state.failed:
        mode = "failed"
    return {
        "joint": state,
        "mode": mode,
        "step": joint.passes[number - 1],
        "by_bolt": by_bolt,
        "bolt": next_bolt,
        "failed_bolt": next_bolt in state.failed,
        "all_torqued": state.next is None and not state.failed,
        "all_checked": state.to_check == len(joint.bolts),
        "passes": [(step, *state.counted(step.number)) for step in joint.passes],
        "torqued": torqued,
        "failed_count": failed,
        "left": left,
        "drawing": joint_svg(
            joint,
            state,
            next_bolt=next_bolt,
            link=(lambda b: f"{path}?joint={joint.number}&bolt={b}") if by_bolt or state.failed else None,
        ),
        "legend": legend_svg(joint),
    }


def _record(request: JobRequest, state: JointState) -> None:
    """Take one entry; ValidationError in words where the form does not say what was done."""
    joint = state.joint
    do = request.POST.get("do", "")
    bolt = request.POST.get("bolt", "")
    serial = short_words(request.POST.get("wrench", ""), 40)
    if bolt and bolt not in joint.bolts:
        raise ValidationError("There is no such bolt in this joint.")
    if serial:
        request.session["wrench"] = serial
    number = 0 if do == "strike" else _pass_number(request.POST.get("pass"), len(joint.passes))
    fields: dict[str, Any] = {"data": {"wrench": serial}}
    if do == "strike":
        fields |= _strike(request, joint)
    elif do == "check":
        fields |= _check(request, joint)
    else:
        fields |= {"code": pass_code(number, len(joint.passes)), "subject": joint.subject(number, bolt)}
        torque = joint.passes[number - 1].torque_ft_lb
        if do in ("torqued", "whole pass") and torque is not None:
            if not serial:
                raise ValidationError("Which wrench?")
            fields |= {"number": torque, "unit": "ft-lb"}
        if do == "whole pass":
            fields["data"]["failed"] = _bolts(request, "failed", joint)
            fields["data"]["torqued"] = len(joint.bolts) - len(fields["data"]["failed"])
        elif do == "kept turning" and bolt:
            fields["data"]["failed"] = True
        elif do == "new bolt" and bolt:
            fields["data"]["new_bolt"] = True
        elif not (do == "torqued" and bolt):
            raise ValidationError("What was done, and at which bolt?")
    now = timezone.now()
    take_entry(
        request.job,
        by=request.user,
        received_at=now,
        taken_at=now,
        uuid=_uuid(request.POST.get("uuid")),
        text=short_words(request.POST.get("why", "") or request.POST.get("note", ""), 300),
        **fields,
    )


def _strike(request: JobRequest, joint: Any) -> dict[str, Any]:
    """One line of the joint's log was not so, and why."""
    old = request.job.entries.filter(uuid=_uuid(request.POST.get("entry"))).first()
    if old is None or f"{old.subject} ".partition(f"joint {joint.number} ")[0]:
        raise ValidationError("There is no such line in this joint.")
    data = {"struck": True}
    return {"code": old.code, "subject": old.subject, "corrects": old.uuid, "data": data}


def _bolts(request: PersonRequest, name: str, joint: Any) -> list[str]:
    """The bolts ticked, each once and each of this joint."""
    ticked = list(dict.fromkeys(request.POST.getlist(name)))
    if any(bolt not in joint.bolts for bolt in ticked):
        raise ValidationError("There is no such bolt in this joint.")
    return ticked


def _check(request: PersonRequest, joint: Any) -> dict[str, Any]:
    """The second person's check of some bolts, and which of them moved."""
    bolts, moved = _bolts(request, "checked", joint), _bolts(request, "moved", joint)
    if request.POST.get("all_bolts"):
        bolts = list(joint.bolts)
    if not bolts and not moved:
        raise ValidationError("Which bolts were checked?")
    if joint.last_pass.torque_ft_lb is not None and not request.POST.get("wrench"):
        raise ValidationError("Checked with which wrench?")
    data: dict[str, Any] = {"bolts": bolts, "wrench": short_words(request.POST.get("wrench", ""), 40)}
    if moved:
        data["failed"] = moved
    return {"code": CHECK_CODE, "subject": f"joint {joint.number}", "data": data}


def _pass_number(text: str | None, passes: int) -> int:
    if text and text.isascii() and text.isdigit() and len(text) <= 2 and 1 <= int(text) <= passes:
        return int(text)
    raise ValidationError("Which pass?")


def _uuid(text: str | None) -> uuids.UUID:
    try:
        return uuids.UUID(str(text))
    except ValueError:
        raise ValidationError("The form is incomplete; load the page again.") from None
