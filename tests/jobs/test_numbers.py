"""A job under a new number is found under its old one, by people and phones, and no other job is given it."""

from __future__ import annotations

import json
import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from installs.checklists.models import Entry
from installs.jobs.models import Job, JobNumber
from installs.jobs.services import change_job, open_job
from installs.record.services import check_record
from tests.make import AT, alma, as_drawn, cleo, make_job, make_person, press

pytestmark = pytest.mark.django_db
OLD, NEW = "2031-970", "2031-971"


@pytest.fixture
def ben():
    return make_person()


@pytest.fixture
def job(ben) -> Job:
    return make_job(number=OLD, members=(ben,))


def renumbered(job: Job, number: str = NEW) -> None:
    change_job(job, {"number": number}, by=alma(), at=AT)


def send(client, waiting: list[dict]) -> list[dict]:
    batch = {"device": str(uuid.UUID(int=7)), "now": AT.isoformat(), "waiting": 1, "entries": waiting}
    answer = client.post("/api/entries/", json.dumps(batch), content_type="application/json")
    return answer.json()["answers"]


def waiting(number: int) -> dict:
    """As the phone keeps it, with the number of the day on which it was written."""
    return {
        "uuid": str(uuid.UUID(int=number)),
        "job": OLD,
        "code": "slump",
        "number": 4.0 + number,
        "unit": "in",
        "taken_at": AT.isoformat(),
    }


def test_what_waited_on_a_phone_under_the_old_number_is_taken(client, ben, job) -> None:
    """One had arrived before, and its answer was lost: it is the same entry still."""
    client.force_login(ben)
    assert send(client, [waiting(1)])[0]["state"] == "taken"
    renumbered(job)
    states = [answer["state"] for answer in send(client, [waiting(1), waiting(2)])]
    assert states == ["already had", "taken"]
    assert send(client, [waiting(1) | {"number": 9.0}])[0]["state"] == "refused"
    under_the_new = [waiting(2) | {"job": NEW}, waiting(3) | {"job": NEW}]
    assert [a["state"] for a in send(client, under_the_new)] == ["already had", "taken"]
    assert list(Entry.objects.values_list("job", "number")) == [(job.pk, 5.0), (job.pk, 6.0), (job.pk, 7.0)]
    assert check_record(Job.objects.get(pk=job.pk), at=AT).faults == []


def test_what_waited_on_the_phone_of_somebody_who_left_the_job_is_taken(client, ben, job) -> None:
    """Done while they worked on it, sent after they left and after the job got another number."""
    job.members.filter(person=ben).update(until=AT + timedelta(hours=1))
    renumbered(job)
    client.force_login(ben)
    assert send(client, [waiting(1)])[0]["state"] == "taken"


def test_an_old_address_leads_to_the_new_one_with_its_question(client, job) -> None:
    client.force_login(alma())
    renumbered(job)
    for name in ("job-book", "papers", "tower"):
        answer = client.get(reverse(name, args=[OLD]), {"sheet": "2"})
        assert (answer.status_code, answer.url) == (302, f"{reverse(name, args=[NEW])}?sheet=2")
    assert client.get(reverse("api-gates", args=[OLD])).status_code == 200


def test_what_is_posted_from_a_page_of_the_old_number_is_done(client, job) -> None:
    client.force_login(alma())
    renumbered(job)
    drawn = as_drawn(client, reverse("job-edit", args=[NEW]), reverse("job-archive", args=[NEW]))
    answer = client.post(reverse("job-archive", args=[OLD]), drawn)
    assert answer.status_code == 302
    assert Job.objects.get(pk=job.pk).archived_on


def test_a_stranger_is_told_no_new_number(client, job) -> None:
    client.force_login(cleo())
    renumbered(job)
    assert client.get(reverse("job-book", args=[OLD])).status_code == 404


def test_the_job_book_says_what_the_number_was(client, job) -> None:
    client.force_login(alma())
    page = reverse("job-book", args=[NEW])
    renumbered(job)
    assert f"was {OLD}" in client.get(page).content.decode()
    renumbered(job, OLD)
    assert f"was {NEW}" in client.get(page, follow=True).content.decode()


@pytest.mark.parametrize("number", [OLD, NEW])
def test_a_number_is_never_another_jobs(client, job, number) -> None:
    office = alma()
    client.force_login(office)
    renumbered(job)
    other = make_job(by=office)
    said = f"{number} {'is' if number == NEW else 'was'} the number of Orrin Test"
    fields = {name: getattr(other, name) or "" for name in ("owner", "place", "county", "state", "zone")}
    for url, more in ((reverse("job-open"), {}), (reverse("job-edit", args=[other.number]), {"save": "1"})):
        answer = press(client, url, {**fields, "number": number, **more})
        assert answer.status_code == 422
        page = answer.content.decode()
        assert said in page and "#id_number" in page
    with pytest.raises(ValidationError, match="never given to another job"):
        open_job({**fields, "number": number}, by=office, at=AT)
    with pytest.raises(ValidationError, match="never given to another job"):
        change_job(other, {"number": number}, by=office, at=AT)
    assert JobNumber.objects.get(number=number).job_id == job.pk


def test_a_job_may_have_its_old_number_back(client, job) -> None:
    renumbered(job)
    renumbered(job, OLD)
    client.force_login(alma())
    assert client.get(reverse("job-book", args=[OLD])).status_code == 200
    assert client.get(reverse("job-book", args=[NEW])).url == reverse("job-book", args=[OLD])
