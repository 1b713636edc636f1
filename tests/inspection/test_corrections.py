"""A visit that did not pass says what is to be put right; a pass counts when all of it is, by its card."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.gates.facts import facts_of
from installs.gates.rules import gate
from installs.inspection.models import Correction, Inspection
from installs.permits.models import Permit
from tests.make import as_drawn, make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(at_the_desk):
    return make_job()


def post(client, job, **typed):
    today = job.local(timezone.now()).date()
    given = {"kind": "footing", "inspector": "D. Moe", "inspected_on": today, "passed": "yes", **typed}
    return client.post(reverse("inspection-add", args=[job.number]), given)


def pour_gate(job) -> str:
    now = timezone.now()
    return gate("pour", facts_of(job, now), job.local(now).date()).sentence


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "By what card?"),
        ({"passed": "no", "number": "F-9"}, "What is to be corrected?"),
        ({"number": "F-9", "corrections": "chairs"}, "one of them is wrong"),
    ],
)
def test_what_does_not_prove_the_answer_is_said_at_its_field(at_the_desk, job, typed, words) -> None:
    answer = post(at_the_desk, job, **typed)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not job.inspections.exists()


def test_a_pass_counts_when_every_correction_of_the_visit_before_is_put_right(at_the_desk, job) -> None:
    post(at_the_desk, job, passed="no", number="F-9", corrections="two chairs short\nconduit not capped\n")
    assert [c.words for c in Correction.objects.all()] == ["two chairs short", "conduit not capped"]
    post(at_the_desk, job, number="F-10")
    assert "footing inspection left 2 corrections not corrected" in pour_gate(job)
    for wanted in Correction.objects.all():
        path = reverse("correction-answer", args=[job.number, wanted.pk])
        read = as_drawn(at_the_desk, reverse("inspections", args=[job.number]), path)
        empty = at_the_desk.post(path, {"answer": "", **read}, follow=True).content.decode()
        assert empty.count("Say what was done") == 1
        other = as_drawn(at_the_desk, reverse("inspections", args=[job.number]), path)
        at_the_desk.post(path, {"answer": "done, seen by B. O.", **read})
        old = at_the_desk.post(path, {"answer": "something else", **other})
        assert old.status_code == 409 and "something else" in old.content.decode()
    assert {c.answer for c in Correction.objects.all()} == {"done, seen by B. O."}
    assert "footing inspection" not in pour_gate(job)


def test_a_pass_on_record_without_card_or_number_opens_nothing(at_the_desk, job) -> None:
    Inspection.objects.create(
        job=job, kind="footing", inspector="D. Moe", inspected_on=timezone.now().date() - timedelta(days=1),
        passed=True, recorded_by_id=at_the_desk.session["_auth_user_id"], recorded_at=timezone.now(),
    )  # fmt: skip
    assert "footing inspection has neither card nor its number" in pour_gate(job)
    page = at_the_desk.get(reverse("inspections", args=[job.number])).content.decode()
    assert "neither card nor its number" in page


def ask(client, job, **typed):
    today = job.local(timezone.now()).date()
    given = {"kind": "locate", "asked_of": "One-call", "asked_on": today, "granted_on": today, **typed}
    return client.post(reverse("permit-add", args=[job.number]), given)


def test_in_hand_needs_its_number_or_the_paper(at_the_desk, job) -> None:
    ends = timezone.now().date() + timedelta(days=9)
    answer = ask(at_the_desk, job, expires_on=ends)
    assert answer.status_code == 422
    assert "In hand by what?" in answer.content.decode()
    assert ask(at_the_desk, job, expires_on=ends, number="L-1").status_code == 302


def test_a_locate_ticket_of_ten_years_is_asked_again_and_a_note_that_says_who_gives_it_is_taken(
    at_the_desk, job
) -> None:
    ends = timezone.now().date() + timedelta(days=3650)
    answer = ask(at_the_desk, job, expires_on=ends, number="L-1")
    assert answer.status_code == 422
    assert "seldom lives longer than 60" in answer.content.decode()
    assert not Permit.objects.exists()
    assert ask(at_the_desk, job, expires_on=ends, number="L-1", note="state center").status_code == 302
