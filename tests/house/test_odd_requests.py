"""What no page of ours sends is answered in words: nonsense in addresses, a clock set back, a port."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from installs.checklists.services import copy_lists
from installs.gates.services import finish_phase, start_phase
from installs.people.models import User
from installs.wsgi import seen_by_proxy
from tests.crew.test_api import entry, send
from tests.make import as_drawn, make_job

pytestmark = pytest.mark.django_db
NO_UUID = "x" * 36


@pytest.fixture
def job(office, ben):
    job = make_job(by=office, members=(ben,), number="2031-811")
    copy_lists(job, by=office, at=timezone.now())
    return job


def test_a_truck_rejected_without_a_reason_is_asked_for_it(client, ben, job):
    client.force_login(ben)
    page = client.post(reverse("pour-card", args=[job.number]), {"do": "refuse", "truck": "1", "why": ""})
    assert page.status_code == 422
    assert page.content.decode().count("Say why the truck is rejected.") == 1
    assert not job.entries.exists()


def test_an_id_that_is_none_is_nobodys(client, ben, job):
    client.force_login(ben)
    assert client.get(f"/api/hello/?device={NO_UUID}").json()["ended"] is False
    for kept in job.lists.all():
        page = client.get(reverse("phone-list", args=[job.number, kept.key]), {"correct": NO_UUID})
        assert page.status_code == 200


@pytest.mark.parametrize("onward", ["foo", "home", "//elsewhere.example", "javascript:x", ""])
def test_a_word_to_go_on_to_is_no_page(client, ben, onward):
    ben.set_password("quiet granite boots")
    ben.save()
    sent = {"username": ben.username, "password": "quiet granite boots", "next": onward}
    assert client.post(reverse("sign-in"), sent)["Location"] == "/"


@pytest.mark.parametrize(
    ("said", "address"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("192.0.2.7:5555", "192.0.2.7"),
        ("203.0.113.9, 192.0.2.7:5555", "192.0.2.7"),
        ("[2001:db8::1]:443", "2001:db8::1"),
        ("2001:db8::1", "2001:db8::1"),
        ("rubbish", "10.0.0.1"),
        ("", "10.0.0.1"),
    ],
)
def test_an_address_is_read_as_proxies_write_it(said, address):
    """RFC 7239, section 6: a port behind an address, IPv6 in brackets. Addresses of RFC 5737 and 3849."""
    seen = {}
    app = seen_by_proxy(lambda environ, start: seen.update(environ) or [])
    app({"HTTP_X_FORWARDED_FOR": said, "REMOTE_ADDR": "10.0.0.1"}, None)
    assert seen["REMOTE_ADDR"] == address


def test_a_clock_set_back_is_said(job, office):
    now = timezone.now()
    start_phase(job, "survey", by=office, at=now)
    with pytest.raises(ValidationError, match="clock"):
        finish_phase(job, "survey", by=office, at=now - timedelta(hours=1))


FAR = "9999-12-31T23:59:59Z"
ODD = [
    {"code": "D01", "subject": "truck 1", "number": 48.0, "data": {"batched_at": FAR}},
    {
        "code": "D01",
        "subject": "truck 2",
        "number": 48.0,
        "data": {"batched_at": "0001-01-01T00:00:00+23:59"},
    },
    {"code": "D02", "subject": "truck 1", "number": 1e300, "data": {"minutes": 1e14}},
    {"code": "D02", "subject": "truck 1", "number": -1e300},
    {"code": "D02", "subject": "truck 1", "number": 50.0, "taken_at": "2026-11-30T10:00:00+23:59"},
    {"code": "D06", "subject": "air", "number": 20.0, "data": {"low_f": "x"}},
    {"code": "D06", "subject": "air", "number": 20.0, "data": {"low_f": 1e14}},
    {"code": "D09", "data": {"lab": 1e14, "field": "y", "truck": []}},
    {"code": "D20", "data": {"for": FAR}},
    {"code": "E03", "subject": "edge", "number": 50.0, "data": {"sensor": {}}},
]


def of_different_codes(odd):
    """In as few batches as there are, each with a code once: a page shows of some codes the newest alone."""
    batches = []
    for each in odd:
        free = [batch for batch in batches if each["code"] not in {other["code"] for other in batch}]
        if free:
            free[0].append(each)
        else:
            batches.append([each])
    return batches


@pytest.mark.parametrize("odd", of_different_codes(ODD), ids=lambda odd: " ".join(e["code"] for e in odd))
def test_odd_entries_break_no_page_and_no_batch(client, ben, office, job, odd):
    client.force_login(ben)
    sent = [entry(job)]
    for each in odd:
        sent += [{**entry(job), **each}, entry(job)]
    answers = send(client, *sent).json()["answers"]
    assert len(answers) == len(sent) and {answer["state"] for answer in answers[::2]} == {"taken"}
    for person in (ben, office):
        client.force_login(person)
        for name in ("pour-card", "job-book", "pour"):
            assert client.get(reverse(name, args=[job.number])).status_code in (200, 403), name
        for name in ("day-sheet", "look-ahead", "crew-days", "next-day"):
            assert client.get(reverse(name)).status_code in (200, 403), name


def test_an_answer_is_json_whatever_was_sent(client, ben, job):
    client.force_login(ben)
    answer = send(client, {**entry(job), "uuid": float("nan")})

    def refuse(constant: str) -> None:
        raise AssertionError(constant)

    assert json.loads(answer.content, parse_constant=refuse)["answers"][0]["state"] == "refused"


def test_one_of_the_office_always_remains(client, office):
    at, archive = reverse("person", args=[office.pk]), reverse("person-archive", args=[office.pk])
    page = client.post(archive, as_drawn(client, at, archive), follow=True).content.decode()
    assert "last person of the office" in page
    told = {"save": "", "full_name": "Alma Reyes", "initials": "AR", "username": office.username}
    told |= {"role": "crew", "firm_name": "", "phone": "", **as_drawn(client, at)}
    page = client.post(at, told)
    assert page.status_code == 422 and "last person of the office" in page.content.decode().replace(
        "The last", "the last"
    )
    assert User.objects.get(pk=office.pk).role == "office"


def test_who_is_archived_gets_no_password(client, office, ben):
    ben.archived_on, ben.is_active = timezone.now().date(), False
    ben.save()
    told = {
        "save": "",
        "full_name": ben.full_name,
        "initials": "BO",
        "username": ben.username,
        "role": "foreman",
    }
    told |= as_drawn(client, reverse("person", args=[ben.pk]))
    page = client.post(reverse("person", args=[ben.pk]), {**told, "password": "quiet granite boots"})
    assert page.status_code == 422 and "archived" in page.content.decode()


@pytest.mark.parametrize("password", ["mastwright-mastwright", "Ben.Osgood-2026", "2026202620", "short one"])
def test_a_password_of_the_firms_or_ones_own_words_is_refused(client, office, ben, password):
    told = {
        "save": "",
        "full_name": ben.full_name,
        "initials": "BO",
        "username": ben.username,
        "role": "foreman",
    }
    told |= as_drawn(client, reverse("person", args=[ben.pk]))
    page = client.post(reverse("person", args=[ben.pk]), {**told, "password": password})
    assert page.status_code == 422
