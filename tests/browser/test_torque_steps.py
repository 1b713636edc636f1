"""The phone reads on in the torque log as the office does: after any entries the same bolts are to do."""

from __future__ import annotations

import json
import random
from typing import Any
from uuid import UUID

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.checklists.models import Entry
from installs.people.models import User
from installs.tower.torque import FAILED, TO_DO, TORQUED, JointState
from installs.tower.torque_log import CHECK_CODE, load_torque, pass_code, torque_state

pytestmark = [pytest.mark.browser, pytest.mark.slow]

OPEN = """(all) => all.map((rows) => {
  const stand = Steps.standing(rows.map((entry) => ({ entry, key: entry.subject })));
  const open = Steps.all(stand).filter((step) => step.open && `${step.key} `.startsWith("joint 1 "));
  return open.map((step) => step.key).sort();
})"""


class AnyWrench(dict):
    """Every serial names one in calibration: what is asked here is which bolts are to do."""

    def get(self, serial: str, _: Any = None) -> Any:
        return self

    def valid_on(self, day: Any) -> bool:
        return True


def some_entries(joint: Any, dice: random.Random) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    for n in range(dice.randrange(1, 40)):
        old = dice.choice(rows) if rows and dice.random() < 0.15 else None
        row = struck(old) if old else an_entry(joint, dice)
        rows.append({"uuid": str(UUID(int=n)), **row})
    return rows


def struck(old: dict[str, Any]) -> dict[str, Any]:
    """Any line may be struck, a striking too."""
    return {"code": old["code"], "subject": old["subject"], "corrects": old["uuid"], "data": {"struck": True}}


def an_entry(joint: Any, dice: random.Random) -> dict[str, Any]:
    number, bolt = dice.randint(1, len(joint.passes)), dice.choice(joint.bolts)
    last = number == len(joint.passes)
    do = dice.choice(["whole", "whole", "torqued", "torqued", "turning", "new", "check", "moved"])
    if do in ("check", "moved"):
        data: dict[str, Any] = {"bolts": list(joint.bolts), "wrench": "w"}
        return {
            "code": CHECK_CODE,
            "subject": f"joint {joint.number}",
            "data": data | ({"failed": [bolt]} if do == "moved" else {}),
        }
    whole = do == "whole" and not last
    data = {"wrench": "w"}
    if whole:
        data["failed"] = dice.sample(joint.bolts, dice.choice([0, 0, 1, 2]))
    elif do in ("turning", "new"):
        data |= {"failed": True} if do == "turning" else {"new_bolt": True}
    code = pass_code(number, len(joint.passes))
    return {"code": code, "subject": joint.subject(number, "" if whole else bolt), "data": data}


def office_reads(joint: Any, rows: list[dict[str, Any]]) -> JointState:
    torquer, checker, now = User(pk=1), User(pk=2), timezone.now()
    entries = []
    for n, row in enumerate(rows, start=1):
        person = checker if row["code"] == CHECK_CODE else torquer
        said = {**row, "corrects": next((e for e in entries if e.uuid == row.get("corrects")), None)}
        entries.append(Entry(pk=n, sequence=n, taken_at=now, person=person, **said))
    return torque_state(entries, [joint], AnyWrench(), lambda entry: timezone.now().date()).joints[0]


def still_open(state: JointState) -> list[str]:
    """Keys of the steps that the office would ask for."""
    joint, found = state.joint, []
    for each in joint.passes:
        states = {b.bolt: b.passes[each.number - 1] for b in state.bolts}
        if each.number != joint.last_pass.number and TORQUED not in states.values():
            found += [joint.subject(each.number)] if TO_DO in states.values() else []
        else:
            found += [
                joint.subject(each.number, b)
                for b, s in states.items()
                if s == TO_DO and b not in state.failed
            ]
    found += [f"joint {joint.number} new {bolt}" for bolt in state.failed]
    if all(s == TORQUED for b in state.bolts for s in b.passes) and not state.complete:
        found.append(f"joint {joint.number}")
    return sorted(found)


def test_after_any_entries_the_phone_asks_for_what_the_office_asks_for(site) -> None:
    job = site.job("Aasen Dairy")
    page = site.page("tilda")
    page.goto(reverse("torque-log", args=[job.number]))
    joint = load_torque([job])[job.pk].joints[0].joint
    told = json.loads(page.locator("template[data-joint]").first.get_attribute("data-joint"))
    assert set(told["states"].values()) == {"-" * len(joint.passes)}  # nothing is recorded of it yet
    dice = random.Random(20310505)
    logs = [some_entries(joint, dice) for _ in range(400)]
    asked = page.evaluate(OPEN, logs)
    expected = [still_open(office_reads(joint, rows)) for rows in logs]
    assert any(FAILED in b.passes for rows in logs for b in office_reads(joint, rows).bolts)
    for rows, phone, office in zip(logs, asked, expected, strict=True):
        assert phone == office, rows
