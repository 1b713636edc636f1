"""What an entry says beside its words is declared once; outside it cannot be read, and a desk refuses it."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from installs.checklists.held_photo import HeldPhoto, held
from installs.checklists.models import Entry
from installs.checklists.said import Instant, Number, Unreadable, read_said
from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from tests.make import a_photo, make_job, make_person

pytestmark = pytest.mark.django_db
NOW = datetime(2031, 5, 5, 15, tzinfo=UTC)


@pytest.mark.parametrize(
    "written",
    [
        "9999-12-31T23:59:59Z", "1999-12-31T23:59:59Z", "2101-01-01T00:00:00Z", "2031-05-05T08:00:00+16:00",
        "2031-05-05T08:00:00-23:59", "2031-05-05T08:00:00", "2031-02-30T08:00:00Z", "2031-05-05", "soon", 17,
        None,
    ],
)  # fmt: skip
def test_an_instant_is_a_time_with_its_zone_in_our_years(written):
    """PostgreSQL's own limit of an offset is 15:59:59 (manual, 8.5, time zones)."""
    with pytest.raises(Unreadable):
        Instant().read(written)


def test_an_instant_at_the_ends_of_its_range_is_read():
    for written in ("2000-01-01T00:00:00Z", "2100-12-31T23:59:59.5-05:00", "2031-05-05T08:00:00+15:59"):
        assert Instant().read(written) == datetime.fromisoformat(written)
    assert Instant(site=True).read("2031-05-05T08:00").tzinfo is None


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 200.1, -0.1, True, "5", [5], None])
def test_a_number_is_finite_in_its_range_and_no_word(value):
    with pytest.raises(Unreadable):
        Number(0, 200, "gal").read(value)


def test_minutes_of_a_truck_are_a_day_at_most():
    assert not read_said("D02", 1440.0, "min", {}).faults
    assert read_said("D02", 1440.5, "min", {}).faults
    assert read_said("D02", -1.0, "min", {}).faults


def test_every_entry_of_the_demo_says_what_is_declared(prepared_demo):
    """So no phone, form or paper of ours writes a key that no reader knows."""
    asked = "SELECT code, number, unit, data FROM installs_entry"
    rows = prepared_demo.database.execute(asked).fetchall()
    assert len(rows) > 500
    read = [(code, read_said(code, number, unit, json.loads(data))) for code, number, unit, data in rows]
    assert [(code, r.faults, r.strange) for code, r in read if r.faults or r.strange] == []


# --- at a desk --------------------------------------------------------------------------------------


@pytest.fixture
def job(office, ben):
    job = make_job(by=office, members=(ben,))
    copy_lists(job, by=office, at=NOW)
    return job


@pytest.mark.parametrize(
    "fields",
    [
        {"code": "D02", "number": 1e300},
        {"code": "D01", "number": 9.0, "data": {"batched_at": "9999-12-31T23:59:59Z"}},
        {"code": "F10", "data": {"bolts": 7}},
    ],
)
def test_a_form_refuses_what_cannot_be_read_and_keeps_nothing(job, ben, fields):
    with pytest.raises(ValidationError):
        take_entry(job, by=ben, received_at=NOW, taken_at=NOW, subject="truck 1", **fields)
    assert not job.entries.exists()


def test_minutes_beyond_a_day_are_refused_at_their_field_with_what_was_typed(client, office, job):
    page, now = reverse("pour-card", args=[job.number]), timezone.now()
    take_entry(
        job, by=office, received_at=now, taken_at=now, code="D01", subject="truck 1", number=9.0, text="1"
    )
    sent = {"truck": "1", "code": "D02", "number": "1500", "uuid": "4594f895-4ba2-469d-a034-a5afec9ad5fe"}
    answer = client.post(page, sent)
    assert answer.status_code == 422
    assert answer.context["form"].errors["number"] == ["1500 min is too large; at most 1440 min."]
    assert 'value="1500"' in answer.content.decode()
    assert not job.entries.filter(code="D02").exists()


def test_a_picture_held_for_one_person_is_nobody_elses_to_name():
    ben, cleo = make_person(), make_person("Cleo Stranger", "crew")
    word = HeldPhoto(a_photo(ben), "card.jpg", {}).word
    assert held(word, by=ben) is not None
    assert held(word, by=cleo) is None


def test_an_entry_without_a_job_can_still_say_what_it_says():
    assert Entry(code="D03", number=4.0, taken_at=NOW).reading == 4.0
