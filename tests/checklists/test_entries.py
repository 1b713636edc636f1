"""The field record: only ever added, the same UUID once, corrections beside what they correct."""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from installs.checklists.library import shipped_lists
from installs.checklists.models import Entry
from installs.checklists.services import Conflict, chain_faults, copy_lists, record
from installs.checklists.standing import satisfies, standing
from installs.jobs.phases import GATES, PHASES
from tests.make import AT, make_job, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    job = make_job()
    copy_lists(job, by=make_person(), at=AT)
    return job


def take(job, **fields):
    values = {"code": "D03", "by": make_person(), "taken_at": AT, "received_at": AT, **fields}
    return record(job, **values)


def test_about_130_items_ship_with_28_hold_points():
    items = [item for shipped in shipped_lists().values() for item in shipped.items]
    assert len(items) >= 130
    assert sum(item["weight"] == "hold" for item in items) == 28
    assert len({item["code"] for item in items}) == len(items)


def test_every_list_belongs_to_a_phase_that_names_it():
    named = {key: phase.key for phase in PHASES for key in phase.checklists}
    assert {key: shipped.phase for key, shipped in shipped_lists().items()} == named


def test_every_item_has_a_source_and_a_reading_has_a_unit_or_is_a_count():
    for shipped in shipped_lists().values():
        for item in shipped.items:
            assert item["source"]
            assert item.get("gate", "") in ("", *GATES)
            if item.get("low") is not None and item.get("high") is not None:
                assert item["low"] < item["high"]


def test_a_copied_list_does_not_change_with_the_shipped_one(job):
    again = copy_lists(job, by=make_person(), at=AT + timedelta(days=9))
    assert again == []
    assert job.lists.count() == len(shipped_lists())


def test_the_same_uuid_twice_is_one_entry(job):
    one = {"uuid": uuid.uuid4(), "number": 4.25, "by": make_person()}
    assert take(job, **one).new
    assert not take(job, **one).new
    assert job.entries.count() == 1


def test_the_same_uuid_with_other_content_is_refused(job):
    one = {"uuid": uuid.uuid4(), "by": make_person()}
    take(job, **one, number=4.25)
    with pytest.raises(Conflict):
        take(job, **one, number=5.0)
    assert job.entries.get().number == 4.25


def test_two_devices_on_one_item_are_both_kept_and_both_stand(job):
    take(job, number=4.0, subject="truck 1")
    take(job, number=5.0, subject="truck 1")
    assert [e.number for e in standing(job.entries.all())] == [4.0, 5.0]


def test_a_correction_leaves_what_it_corrects_on_record(job):
    wrong = take(job, number=5.5, subject="truck 1").entry
    take(job, number=4.5, subject="truck 1", corrects=wrong.uuid)
    assert job.entries.count() == 2
    assert [e.number for e in standing(job.entries.all())] == [4.5]


def test_a_correction_must_name_an_entry_of_the_same_item(job):
    other = take(job, code="D05", number=60.0).entry
    with pytest.raises(ValidationError):
        take(job, number=4.5, corrects=other.uuid)
    with pytest.raises(ValidationError):
        take(job, number=4.5, corrects=uuid.uuid4())


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
def test_a_number_that_is_none_is_refused(job, number):
    with pytest.raises(ValidationError):
        take(job, number=number)


def test_a_reading_out_of_tolerance_is_kept_and_does_not_complete_its_item(job):
    entry = take(job, code="C10", number=0.25).entry
    assert not satisfies(entry)
    assert satisfies(take(job, code="C10", number=0.125).entry)


def test_what_could_not_be_done_does_not_complete_its_item(job):
    assert not satisfies(take(job, code="B08", data={"cannot": True}).entry)


def test_the_chain_is_whole_and_an_altered_entry_is_found(job):
    for number in (4.0, 4.25, 4.5):
        take(job, number=number)
    assert chain_faults(job) == []
    Entry.objects.filter(job=job, sequence=2).update(number=3.0)
    assert "entry 2 was altered" in chain_faults(job)


def test_a_zero_with_a_sign_breaks_no_chain(job):
    """ "-0" typed into a reading: the database may give it back without the sign."""
    take(job, number=-0.0, data={"low_f": -0.0, "more": [-0.0]})
    assert chain_faults(job) == []


def test_an_entry_taken_out_is_found(job):
    for number in (4.0, 4.25, 4.5):
        take(job, number=number)
    Entry.objects.filter(job=job, sequence=2).delete()
    assert chain_faults(job)
