"""What came late, or by a clock that was off, says when it was received wherever its time is shown."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from installs.book.pages import rows
from installs.checklists.received import received_words
from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.pour.record_words import load_record
from tests.make import make_job

pytestmark = pytest.mark.django_db
RECEIVED = datetime(2031, 11, 26, 21, 10, tzinfo=UTC)  # 3:10 PM in Juniper County
MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)


@pytest.fixture
def job(office, ben):
    job = make_job(by=office, members=(ben,))
    copy_lists(job, by=office, at=RECEIVED - 60 * DAY)
    return job


def taken(job, ben, after, **fields):
    told = {"code": "B07", "number": 52.0, **fields}
    return take_entry(
        job, by=ben, received_at=RECEIVED, taken_at=RECEIVED - after, from_phone=True, **told
    ).entry


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (0 * DAY, ""),
        (60 * MINUTE, ""),
        (61 * MINUTE, "received Nov 26, 3:10 PM"),
        (14 * DAY, "received Nov 26, 3:10 PM"),
        (40 * DAY, "received Nov 26, 3:10 PM, 40 days later"),
        (400 * DAY, "received Nov 26, 2031, 3:10 PM, 400 days later"),
        (-5 * MINUTE, "received Nov 26, 3:10 PM, by a clock that ran ahead"),
        (-3 * DAY, "received Nov 26, 3:10 PM, 3 days before it"),
    ],
)
def test_when_it_was_received_stands_beside_what_came_late_or_ahead(job, ben, after, words):
    assert received_words(taken(job, ben, after), job) == words


@pytest.mark.parametrize("page", ["job-book", "job-list", "phone-list"])
def test_on_the_job_book_and_the_lists(client, office, job, ben, page):
    entry = taken(job, ben, 40 * DAY)
    keys = [] if page == "job-book" else [entry.item.list.key]
    shown = " ".join(client.get(reverse(page, args=[job.number, *keys])).content.decode().split())
    assert "3:10 PM, 40 days later" in shown


@pytest.mark.parametrize("year", [1970, 2199])
def test_a_time_of_no_year_of_ours_is_kept_sorted_and_rules_over_nothing(client, office, job, ben, year):
    at = datetime(year, 1, 2, 3, 4, tzinfo=UTC)
    odd = taken(job, ben, RECEIVED - at)
    assert odd.taken_at == at and odd.unreadable == f"its time is of the year {year}"
    book = {row.phase.key: row for row in rows(job, RECEIVED)}
    assert any("cannot be read" in line.words for row in book.values() for line in row.lines)
    for page in ("job-book", "pour", "job-lists"):
        assert client.get(reverse(page, args=[job.number])).status_code == 200


def test_a_truck_whose_time_is_of_no_year_moves_no_pour(job, ben):
    for code, number in (("D01", 9.0), ("D02", 40.0)):
        taken(
            job, ben, RECEIVED - datetime(1970, 1, 2, tzinfo=UTC), code=code, number=number, subject="truck 1"
        )
    log = load_record(job, RECEIVED).facts.log
    assert log.poured_on is None and log.yards == 0
    assert len([fault for fault in log.faults if "1970" in fault]) == 2
