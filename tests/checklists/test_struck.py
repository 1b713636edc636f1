"""What was not so is struck: kept, it counts for nothing, and what it had corrected stands again."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from installs.checklists.live import said
from installs.checklists.models import Entry
from installs.checklists.services import chain_faults, copy_lists
from installs.checklists.standing import standing
from installs.checklists.state import list_states
from installs.checklists.taking import take_entry
from tests.make import make_person

pytestmark = pytest.mark.django_db
NOW = timezone.now()


@pytest.fixture
def record(job, ben):
    copy_lists(job, by=ben, at=NOW)

    def one(code: str, *, after_s: float = 0, by=ben, **fields) -> Entry:
        at = NOW + timedelta(seconds=after_s)
        return take_entry(job, by=by, received_at=at, taken_at=at, from_phone=True, code=code, **fields).entry

    return one


def strike(record, old: Entry, **fields) -> Entry:
    return record(old.code, subject=old.subject, corrects=old.uuid, data={"struck": True}, **fields)


def stands(job) -> list[Entry]:
    return standing(job.entries.all())


def test_neither_what_is_struck_nor_the_striking_stands_and_both_are_kept(job, record) -> None:
    old = record("B02")
    assert stands(job) == [old]
    new = strike(record, old, after_s=10)
    assert stands(job) == [] and list(job.entries.order_by("sequence")) == [old, new]
    assert chain_faults(job) == []


def test_an_item_that_was_struck_is_open_again_and_its_list_shows_both(job, record) -> None:
    old = record("B02")
    new = strike(record, old, after_s=10)
    state = next(s for kept in list_states(job) for s in kept.items if s.item.code == "B02")
    assert not state.done and state.struck == ((old, new),)


def test_a_correction_that_is_struck_leaves_what_it_corrected(job, record) -> None:
    first = record("B02", text="by phone")
    second = record("B02", text="by mail", corrects=first.uuid)
    assert stands(job) == [second]
    strike(record, second, after_s=5)
    assert stands(job) == [first]


def test_who_strikes_the_striking_has_the_entry_back(job, record) -> None:
    old = record("B02")
    new = strike(record, old, after_s=10)
    strike(record, new, after_s=20)
    assert stands(job) == [old]


@pytest.mark.parametrize("after_s", [61, 3600])
def test_later_than_a_minute_it_is_said_why(record, after_s) -> None:
    old = record("B02")
    with pytest.raises(ValidationError, match="Say what was wrong"):
        strike(record, old, after_s=after_s)
    assert strike(record, old, after_s=after_s, text="the wrong job").struck


def test_another_hand_says_why_at_once_too(record) -> None:
    old = record("B02")
    with pytest.raises(ValidationError, match="Say what was wrong"):
        strike(record, old, after_s=5, by=make_person("tilda"))


def test_it_names_what_it_strikes_and_where(record) -> None:
    old = record("B02")
    with pytest.raises(ValidationError, match="Which entry"):
        record("B02", data={"struck": True}, text="not so")
    with pytest.raises(ValidationError, match="Which entry"):
        record("B02", subject="elsewhere", corrects=old.uuid, data={"struck": True}, text="not so")


@pytest.mark.parametrize(
    ("code", "subject"), [("E03", "edge"), ("D03", "truck 1"), ("D01", "truck 1"), ("H05", "")]
)
def test_a_reading_is_never_struck_only_corrected(record, code, subject) -> None:
    old = record(code, subject=subject, number=31.0 if code != "D01" else 8.0)
    with pytest.raises(ValidationError, match="correct it by what was right"):
        strike(record, old, after_s=5, text="a slip")


def test_no_page_says_of_what_was_crossed_out_that_it_was_done(job, record, at_the_desk) -> None:
    old = record("B02")
    strike(record, old, after_s=10, text="the wrong job")
    new = strike(record, record("B02", after_s=20), after_s=25)
    assert said(new) == "B02 crossed out"
    page = at_the_desk.get(reverse("job-book", args=[job.number])).content.decode()
    lines = [line for line in page.splitlines() if "B02 " in line]
    assert lines and all("crossed out." in line for line in lines), lines
