"""The queue's rules against the real views, whatever the line does.

Any interleaving of adding, sending, losing and restarting ends with what was added, once each, in an
unbroken chain.
"""

from __future__ import annotations

import json
import random
import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from installs.checklists.models import Entry
from installs.checklists.services import chain_faults
from installs.jobs.services import add_member
from tests.make import make_person

pytestmark = pytest.mark.django_db


class Phone:
    """The rules of static/installs/queue.js over a line that is told what to do."""

    def __init__(self, person, job) -> None:
        self.person, self.job, self.device = person, job, str(uuid.uuid4())
        self.store: list[dict] = []  # what outlives a restart
        self.added: list[str] = []
        self.restart()

    def restart(self) -> None:
        self.client = Client()
        self.client.force_login(self.person)

    def add(self, code: str) -> None:
        entry = {
            "uuid": str(uuid.uuid4()),
            "job": self.job.number,
            "code": code,
            "subject": f"place {len(self.added)}",
            "taken_at": datetime.now(UTC).isoformat(),
        }
        self.store.append(entry)
        self.added.append(entry["uuid"])

    def post(self, batch: list[dict]) -> list[dict]:
        body = {"device": self.device, "now": datetime.now(UTC).isoformat(), "entries": batch}
        answer = self.client.post("/api/entries/", json.dumps(body), content_type="application/json")
        assert answer.status_code == 200
        return answer.json()["answers"]

    def flush(self) -> None:
        named = {a["uuid"] for a in self.post(self.store[:5]) if a["state"] in ("taken", "already had")}
        self.store = [entry for entry in self.store if entry["uuid"] not in named]

    def do(self, step: str) -> None:
        if step.startswith("add "):
            self.add(step.removeprefix("add "))
        elif step == "restart":
            self.restart()
        elif step == "send":
            self.flush()
        elif step == "reply lost" and self.store:
            self.post(self.store[:5])
        elif step == "sent twice" and self.store:
            self.post(self.store[:5])
            self.flush()
        # "request lost": nothing arrives


STEPS = st.lists(
    st.sampled_from(
        ["add C07", "add D03", "add C14", "send", "request lost", "reply lost", "sent twice", "restart"]
    ),
    max_size=25,
)


# a fixture's job serves all examples: each is undone
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS, others=STEPS)
def test_whatever_the_line_does_the_office_has_what_was_added(ben, job, steps, others) -> None:
    """Two phones of one person on one job, step by step in turn."""
    with transaction.atomic():
        phones = [Phone(ben, job), Phone(ben, job)]
        for n in range(max(len(steps), len(others))):
            for phone, own in zip(phones, (steps, others), strict=True):
                if n < len(own):
                    phone.do(own[n])
        for phone in phones:
            while phone.store:
                phone.flush()
        there = [str(found) for found in job.entries.order_by("sequence").values_list("uuid", flat=True)]
        faults = chain_faults(job)
        transaction.set_rollback(True)
    assert sorted(there) == sorted(uuid for phone in phones for uuid in phone.added)
    assert faults == []
    for phone in phones:
        assert [found for found in there if found in phone.added] == phone.added


def test_entries_that_arrive_in_another_order_are_the_same_entries(ben, job) -> None:
    phone = Phone(ben, job)
    for _ in range(12):
        phone.add("C07")
    shuffled = phone.store[:]
    random.Random(7).shuffle(shuffled)
    for entry in [*reversed(phone.store), *shuffled]:
        assert phone.post([entry])[0]["state"] in ("taken", "already had")
    assert sorted(str(e.uuid) for e in job.entries.all()) == sorted(phone.added)
    assert chain_faults(job) == []


@pytest.mark.parametrize("off", [timedelta(days=2), timedelta(days=-2), timedelta(days=-365)])
def test_the_phones_clock_orders_nothing(ben, job, off) -> None:
    phone = Phone(ben, job)
    for _ in range(3):
        phone.add("C07")
    phone.store[1]["taken_at"] = (timezone.now() + off).isoformat()
    phone.flush()
    assert [str(e.uuid) for e in job.entries.order_by("sequence")] == phone.added


def test_a_rejected_truck_corrects_the_ticket_sent_in_the_same_batch(ben, job) -> None:
    phone = Phone(ben, job)
    phone.add("D01")
    phone.add("D01")
    phone.store[0] |= {"subject": "truck 1", "number": 9.5, "text": "48833"}
    phone.store[1] |= {"subject": "truck 1", "text": "air 8.9 %", "data": {"refused": True}}
    phone.store[1]["corrects"] = phone.store[0]["uuid"]
    phone.flush()
    first, second = job.entries.order_by("sequence")
    assert second.corrects == first
    assert not phone.store


def test_entries_of_another_person_are_never_taken_for_those_of_the_one_signed_in(ben, job) -> None:
    """The same UUID under another name is other content: refused and said."""
    phone = Phone(ben, job)
    phone.add("C07")
    kept = phone.store[0]
    phone.flush()
    other = make_person("Tess Other")
    add_member(job, other, by=ben, at=timezone.now())
    answer = Phone(other, job).post([kept])[0]
    assert answer["state"] == "refused"
    assert Entry.objects.get().person == ben
