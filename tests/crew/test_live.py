"""Office pages that renew themselves: one query while nothing changed, what arrived said by whom and when."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from tests.make import make_job, make_person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("one_age")]
WHO_ASKS = ('FROM "installs_signedin"', 'FROM "installs_user"', 'FROM "installs_job"')


@pytest.fixture
def job(office, ben):
    job = make_job(by=office, members=(ben,), number="2031-811")
    copy_lists(job, by=office, at=timezone.now())
    return job


def pages(job):
    return [reverse("look-ahead"), reverse("crew-days"), reverse("job-book", args=[job.number])]


def asks(client, path) -> str:
    """The address by which the page asks for its live part."""
    page = client.get(path).content.decode()
    return re.search(r'id="live"[^>]* hx-get="([^"]+)"', page)[1].replace("&amp;", "&")


def enter(job, by, code="D03", **fields):
    now = timezone.now()
    return take_entry(job, by=by, code=code, **{"taken_at": now, "received_at": now, **fields}).entry


def test_while_nothing_changed_the_answer_is_empty_and_costs_one_query_beside_who_asks(client, job):
    for path in pages(job):
        address = asks(client, path)
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(address)
        assert (answer.status_code, answer.content) == (204, b""), path
        asked = [q["sql"] for q in queries]
        assert len([q for q in asked if not any(table in q.split("(SELECT")[0] for table in WHO_ASKS)]) == 1
        assert len(asked) <= 4


def test_an_entry_renews_every_page(client, job, ben):
    addresses = [asks(client, path) for path in pages(job)]
    enter(job, ben, number=4.25, subject="truck 1")
    for address in addresses:
        answer = client.get(address)
        assert answer.status_code == 200
        assert answer["X-Live"] == "yes"
        again = re.search(r'hx-get="([^"]+)"', answer.content.decode())[1].replace("&amp;", "&")
        assert client.get(again).status_code == 204


def since(client, address) -> list[str]:
    page = client.get(address).content.decode()
    found = re.search(r"innerHTML:#since\">(.*?)</div>", page, re.S)[1]
    lines = re.findall(r"<li>(.*?)</li>", found, re.S)
    return [re.sub(r"<[^>]+>", "", line).strip() for line in lines]


def test_what_arrived_is_a_line_of_a_day_log(client, job, ben):
    look, book = asks(client, reverse("look-ahead")), asks(client, reverse("job-book", args=[job.number]))
    entry = enter(job, ben, code="E03", number=52.0, unit="F", subject="edge")
    clock = f"{job.local(entry.taken_at):%I:%M %p}".lstrip("0")
    assert since(client, look) == [f"{clock} Ben Osgood: 2031-811 E03 edge 52 F"]
    assert since(client, book) == [f"{clock} Ben Osgood: E03 edge 52 F"]


def test_what_was_taken_without_signal_says_when_it_arrived(client, job, ben):
    address = asks(client, reverse("look-ahead"))
    now = timezone.now()
    enter(job, ben, code="E03", number=40.0, taken_at=now - timedelta(minutes=30), received_at=now)
    line = since(client, address)[0]
    arrived = f"{job.local(now):%I:%M %p}".lstrip("0")
    assert line.endswith(f"E03 40 F arrived {arrived}")


def test_the_newest_dozen_newest_first_and_nothing_of_before(client, job, ben):
    enter(job, ben, code="E03", number=1.0)
    address = asks(client, reverse("look-ahead"))
    now = timezone.now()
    for n in range(14):
        enter(job, ben, code="E03", number=30.0 + n, received_at=now + timedelta(seconds=n))
    lines = since(client, address)
    assert len(lines) == 12
    assert lines[0].endswith("E03 43 F")
    assert lines[-1].endswith("E03 32 F")


def test_who_is_not_on_a_job_hears_nothing_of_it(client, job, ben):
    stranger = make_person("Cleo Stranger", "crew")
    client.force_login(stranger)
    address = asks(client, reverse("look-ahead"))
    enter(job, ben, code="E03", number=52.0)
    assert since(client, address) == []
    assert client.get(reverse("job-book-live", args=[job.number])).status_code == 404
    assert client.get(reverse("crew-days-live")).status_code == 403


@pytest.mark.parametrize(
    "carried", ["", "?entry=x&event=-1", "?entry=9999999999999999999&event=%00", "?entry=²"]
)
def test_an_address_that_was_tampered_with_lists_nothing(client, job, ben, carried):
    enter(job, ben, code="E03", number=52.0)
    for name in ("look-ahead-live", "crew-days-live"):
        assert client.get(reverse(name) + carried).status_code == 200
    assert since(client, reverse("look-ahead-live") + carried) == []


def test_the_forms_of_the_crew_days_are_never_part_of_the_answer(client, job, ben):
    address = asks(client, reverse("crew-days"))
    enter(job, ben, code="E03", number=52.0)
    assert b"<form" not in client.get(address).content
