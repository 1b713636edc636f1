"""A pad in danger reaches the foreman's day sheet and the office's look-ahead the same hour."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crew.morning.look_ahead import lines
from crew.morning.office import load_morning
from crew.phone.day import day_works
from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.jobs.kept import Kept
from installs.jobs.models import Job
from installs.pour import review
from installs.pour.services import record_temperature, record_truck
from tests.make import make_job
from tests.pour.conftest import POUR, ticket

pytestmark = pytest.mark.django_db
MORNING = POUR + timedelta(hours=20)


def read(job, by, at, temp, sensor="edge"):
    fields = {"sensor": sensor, "temp": temp, "unit": "F", "taken": at}
    record_temperature(job, fields, by=by, at=at)


def calls(job, user, at):
    return next(line.calls for line in lines(load_morning(at, user)) if line.morning.job == job)


def sheet(job, person, at):
    return [w for w in day_works(person, job.local(at).date(), at) if w.job == job]


def another(job: Job, foreman, office) -> Job:
    """A second job with the same releases, poured at the same hour."""
    other = make_job(by=office, members=(foreman,), at=POUR - timedelta(days=90))
    copy_lists(other, by=office, at=POUR - timedelta(days=80))
    for revision in job.revisions.all():
        revision.pk, revision.job = None, other
        revision.save(force_insert=True)
    for number in (1, 2, 3, 4):
        record_truck(other, ticket(number), by=foreman, at=POUR + timedelta(hours=number))
    return other


def test_a_cold_edge_calls_a_person_and_stands_at_the_top_of_the_job(poured, office, foreman):
    """A 42 in section is kept at 45 F (ACI 306R table 5.1, The Constructor, Concrete temperature limit)."""
    read(poured, foreman, MORNING, 41.0)
    at = MORNING + timedelta(minutes=5)
    assert "Edge is 41 F, 45 F is to be kept" in calls(poured, office, at)[0]
    first, *rest = sheet(poured, foreman, at)
    assert "Edge is 41 F" in first.tonight.sentence
    assert all(w.tonight is None for w in rest)


def test_silence_grows_with_the_clock_though_nothing_new_is_recorded(poured, office, foreman):
    """A young pad is read at least every six hours: common practice, no source."""
    read(poured, foreman, MORNING, 58.0)
    assert calls(poured, office, MORNING + timedelta(hours=1)) == ()
    assert "No concrete reading for 9 h" in calls(poured, office, MORNING + timedelta(hours=9))[0]


def test_a_warm_pad_calls_nobody_and_the_foreman_still_reads_what_to_do(poured, office, foreman):
    read(poured, foreman, MORNING, 60.0)
    at = MORNING + timedelta(hours=1)
    assert calls(poured, office, at) == ()
    assert "keep it wet" in sheet(poured, foreman, at)[0].tonight.sentence


def test_a_cold_night_alone_is_the_foremans_matter(poured, office, foreman):
    read(poured, foreman, MORNING, 60.0)
    take_entry(poured, by=foreman, received_at=MORNING, taken_at=MORNING, code="D06", subject="air",
               number=40.0, unit="F", data={"low_f": 12.0})  # fmt: skip
    at = MORNING + timedelta(hours=1)
    assert calls(poured, office, at) == ()
    assert "12 F is forecast" in sheet(poured, foreman, at)[0].tonight.sentence


def test_before_the_pour_and_after_the_protection_nothing_is_said(poured, office, foreman):
    read(poured, foreman, MORNING, 41.0)
    assert calls(poured, office, POUR + timedelta(days=9)) == ()
    assert sheet(poured, foreman, POUR + timedelta(days=9))[0].tonight is None


def test_the_pad_in_danger_goes_before_other_jobs(poured, office, foreman):
    other = another(poured, foreman, office)
    for job, temp in ((poured, 60.0), (other, 40.0)):
        read(job, foreman, MORNING, temp)
    at = MORNING + timedelta(minutes=5)
    assert day_works(foreman, poured.local(at).date(), at)[0].job == other


def queries(work) -> int:
    review._kept.clear()
    Kept.forget()
    with CaptureQueriesContext(connection) as done:
        work()
    return len(done)


def test_watching_many_pads_asks_no_more_than_watching_one(poured, office, foreman):
    at = MORNING + timedelta(minutes=5)
    read(poured, foreman, MORNING, 41.0)
    few = queries(lambda: lines(load_morning(at, office)))
    for _ in range(3):
        read(another(poured, foreman, office), foreman, MORNING, 41.0)
    assert queries(lambda: lines(load_morning(at, office))) == few
