"""Work that somebody stopped stands still until a named person of the office says that it goes on."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.gates.facts import facts_of
from installs.gates.rules import gate, may_start, stops_of
from installs.gates.said import STOP
from installs.gates.services import finish_phase, start_phase
from installs.jobs.phases import GATES, SITE, STARTABLE
from installs.jobs.services import answer_deviation
from tests.make import AT, alma, make_job

pytestmark = pytest.mark.django_db
DAY = AT.date()


@pytest.fixture
def job(ben):
    job = make_job(members=(ben,))
    copy_lists(job, by=ben, at=AT)
    return job


def stop(job, ben, phase, text="rebar cage leans", **fields):
    return take_entry(
        job, by=ben, received_at=AT, taken_at=AT, code=STOP, subject=phase, text=text, **fields
    ).entry


def answered(job, decision):
    answer_deviation(job.deviations.get(), decision, "Cage braced, looked at it myself.", by=alma(), at=AT)


def test_a_phase_that_was_stopped_neither_starts_nor_ends_until_the_office_answers(job, ben) -> None:
    start_phase(job, "survey", by=ben, at=AT)
    stop(job, ben, "survey")
    with pytest.raises(ValidationError, match=r"stop work by Ben Osgood: rebar cage leans\) not answered"):
        finish_phase(job, "survey", by=ben, at=AT)
    stop(job, ben, "tower assembly", uuid=uuid4())
    with pytest.raises(ValidationError, match=r"Tower assembly cannot start: deviation 2 \(stop work"):
        start_phase(job, "tower assembly", by=ben, at=AT)


@pytest.mark.parametrize(("decision", "goes_on"), [("accept", True), ("repair", False), ("remove", False)])
def test_only_who_accepts_lets_it_go_on(job, ben, decision, goes_on) -> None:
    stop(job, ben, "pour")
    assert stops_of("pour", facts_of(job, AT))
    answered(job, decision)
    assert (stops_of("pour", facts_of(job, AT)) == ()) == goes_on


def test_the_site_stops_every_gate_and_every_phase(job, ben) -> None:
    stop(job, ben, SITE)
    facts = facts_of(job, AT)
    for key in GATES:
        assert any("stop work" in words for words in gate(key, facts, DAY).missing), key
    assert not any(may_start(key, facts, DAY) for key in STARTABLE)


def test_one_phase_stops_no_other(job, ben) -> None:
    stop(job, ben, "pour")
    facts = facts_of(job, AT)
    stopped = {key for key in GATES if any("stop work" in words for words in gate(key, facts, DAY).missing)}
    assert stopped == {"pour"}


def test_what_nobody_knows_stops_the_site(job, ben) -> None:
    stop(job, ben, "the crane over there")
    assert stops_of("tower lift", facts_of(job, AT)) and stops_of("excavation", facts_of(job, AT))


def test_sent_twice_it_is_one_stop(job, ben) -> None:
    key = uuid4()
    for _ in range(2):
        stop(job, ben, "pour", uuid=key)
    assert job.deviations.count() == 1


def test_without_a_word_it_stops_all_the_same_and_says_who(client, job, ben) -> None:
    client.force_login(ben)
    page = reverse("stop-work", args=[job.number])
    client.post(page, {"uuid": uuid4(), "code": SITE, "text": ""})
    deviation = job.deviations.get()
    assert deviation.title == f"stop work by {ben.full_name}: nothing said yet"
    assert "Stopped." in client.get(page).content.decode()


def test_a_press_that_says_no_phase_stops_nothing_and_says_so(client, job, ben) -> None:
    client.force_login(ben)
    page = reverse("stop-work", args=[job.number])
    answer = client.post(page, {"uuid": uuid4(), "code": "nothing", "text": ""})
    assert answer.status_code == 422 and b"Say what is stopped" in answer.content
    assert not job.deviations.exists()
