"""Two changes that meet: the one that was undone is tried once more, then it is said in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, OperationalError
from django.test import Client
from django.urls import reverse

from installs.jobs.models import Job
from installs.permits import services
from installs.permits.models import Permit

ADDED = {"kind": "building", "asked_of": "Juniper County"}


class Deadlock(Exception):
    """As PostgreSQL names it: Appendix A of its manual, error codes, class 40."""

    sqlstate = "40P01"


def deadlock() -> OperationalError:
    error = OperationalError("deadlock detected")
    error.__cause__ = Deadlock()
    return error


def unique() -> IntegrityError:
    return IntegrityError("UNIQUE constraint failed: installs_permit.id")


def meets(monkeypatch: pytest.MonkeyPatch, times: int, error: Callable[[], Exception]) -> None:
    """The permit's service fails so often, after it has written."""
    plain, left = services.record_permit, [error() for _ in range(times)]

    def record(*args: Any, **kwargs: Any) -> Permit:
        kept = plain(*args, **kwargs)
        if left:
            raise left.pop()
        return kept

    monkeypatch.setattr(services, "record_permit", record)


@pytest.mark.parametrize("error", [deadlock, unique])
def test_it_is_tried_once_more_and_kept_once(
    at_the_desk: Client, job: Job, monkeypatch: pytest.MonkeyPatch, error: Callable[[], Exception]
) -> None:
    meets(monkeypatch, 1, error)
    assert at_the_desk.post(reverse("permit-add", args=[job.number]), ADDED).status_code == 302
    assert job.permits.count() == 1 and job.events.filter(verb="permit recorded").count() == 1


@pytest.mark.parametrize(("error", "said"), [(deadlock, "busy"), (unique, "at the same moment")])
def test_a_second_time_it_is_said_in_words_and_when_to_come_again(
    at_the_desk: Client,
    job: Job,
    monkeypatch: pytest.MonkeyPatch,
    error: Callable[[], Exception],
    said: str,
) -> None:
    meets(monkeypatch, 2, error)
    at_the_desk.raise_request_exception = False
    answer = at_the_desk.post(reverse("permit-add", args=[job.number]), ADDED)
    assert answer.status_code == 503 and answer["Retry-After"]
    assert said in answer.content.decode() and not job.permits.exists()


def test_what_is_no_collision_stays_a_fault_of_ours(
    at_the_desk: Client, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    meets(monkeypatch, 1, lambda: IntegrityError("CHECK constraint failed: permit_dates"))
    at_the_desk.raise_request_exception = False
    answer = at_the_desk.post(reverse("permit-add", args=[job.number]), ADDED)
    assert answer.status_code == 500 and not job.permits.exists()
