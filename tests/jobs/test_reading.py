"""A request reads the record once, and decides and shows nothing by what is older than its own writing."""

from __future__ import annotations

import pytest
from django.db import transaction
from django.urls import reverse

from installs.jobs.getters import locked
from installs.jobs.kept import version
from installs.jobs.models import Job
from installs.jobs.reading import one_reading, read_once
from installs.jobs.services import open_deviation
from tests.make import AT, alma

pytestmark = pytest.mark.django_db


class Question:
    """How many deviations the jobs have, asked of the database; ``put`` is how often."""

    def __init__(self) -> None:
        self.put = 0
        self.count = read_once(self._count)

    def _count(self, jobs: list[Job]) -> int:
        self.put += 1
        return sum(job.deviations.count() for job in jobs)


@pytest.fixture
def question() -> Question:
    return Question()


def deviation(job: Job) -> None:
    open_deviation(job, "frozen edge", "blanket blew off", by=alma(), at=AT)


def test_a_question_is_put_once_in_a_request_and_every_time_outside_of_one(job, question):
    with one_reading():
        assert [question.count([job]), question.count([Job.objects.get(pk=job.pk)])] == [0, 0]
        assert question.put == 1
        with one_reading():
            question.count([job])
        assert question.put == 1
    for _ in range(2):
        question.count([job])
    assert question.put == 3
    with one_reading():
        question.count([job])
    assert question.put == 4


def test_what_the_request_writes_is_read_anew(job, question):
    with one_reading():
        assert question.count([job]) == 0
        deviation(job)
        assert question.count([job]) == 1


def test_a_service_decides_by_what_it_reads_under_its_lock(job, question):
    with one_reading():
        question.count([job])
        with transaction.atomic():
            held = locked(job)
            question.count([held])
            assert question.put == 2


def test_nothing_kept_at_a_version_is_older_than_the_version(job, question):
    with one_reading():
        question.count([job])
        version(AT, job=job)
        question.count([job])
        assert question.put == 2


def test_a_job_book_after_a_change_shows_it(client, job):
    client.force_login(alma())
    book = reverse("job-book", args=[job.number])
    assert "frozen edge" not in client.get(book).content.decode()
    deviation(job)
    assert "frozen edge" in client.get(book).content.decode()
