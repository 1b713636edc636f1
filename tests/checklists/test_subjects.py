"""Items that go leg by leg or sling by sling: done when the newest of every one is in tolerance."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from installs.checklists.models import Item
from installs.checklists.services import copy_lists
from installs.checklists.state import list_states, open_items
from installs.checklists.taking import take_entry
from installs.gates.facts import facts_of
from tests.make import AT, a_photo, make_job, make_person, make_release

pytestmark = pytest.mark.django_db

LEGS = ("leg A", "leg B", "leg C", "leg D")


@pytest.fixture
def job(ben):
    """Its foundation is released for a tower of four legs."""
    job = make_job(members=(ben,))
    copy_lists(job, by=ben, at=AT)
    passed = [{"key": "b", "title": "B", "verdict": "passes"}]
    make_release(job, "foundation", by=ben, results={"legs": {"legs": 4}}, checks=passed)
    return job


def taped(job, ben, leg, off=0.0, **fields):
    fields = {"photo": a_photo(ben), "code": "D14", **fields}
    return take_entry(job, by=ben, received_at=AT, taken_at=AT, subject=leg, number=off, **fields).entry


def still(job) -> str:
    return next((words for words in open_items(job, "pour") if words.startswith("D14")), "")


def test_a_hold_point_stays_open_until_the_last_of_four_legs(job, ben) -> None:
    for leg in LEGS[:3]:
        taped(job, ben, leg)
    assert still(job).endswith("(leg D)")
    assert facts_of(job, AT).holds_missing["pour"][-1].endswith("(leg D)")
    taped(job, ben, "D")
    assert still(job) == ""
    assert not any(words.startswith("D14") for words in facts_of(job, AT).holds_missing.get("pour", ()))


@pytest.mark.parametrize("order", [(0.0, 0.5), (0.5, 0.0)])
def test_the_newest_of_a_leg_counts_whatever_came_before(job, ben, order) -> None:
    for leg in LEGS[:3]:
        taped(job, ben, leg)
    for off in order:
        taped(job, ben, "leg D", off)
    assert bool(still(job)) == (order[-1] > 0.125)


def test_two_hands_that_differ_on_one_leg_are_said_until_one_is_corrected(job, ben) -> None:
    item = Item.objects.get(list__job=job, code="D14")
    state = lambda: next(s for kept in list_states(job) for s in kept.items if s.item == item)  # noqa: E731
    first = taped(job, ben, "leg A", 0.05)
    taped(job, make_person("Tilda Lang"), "LEG a", 0.0)
    assert state().disputed
    taped(job, ben, "leg A", 0.0, corrects=first.uuid)
    assert not state().disputed


def test_entries_of_different_things_on_one_item_are_no_two_hands_on_one(job, ben) -> None:
    """The bolt survey, whose subjects no design says: four legs are four entries, two of leg A are two."""
    item = Item.objects.get(list__job=job, code="E11")
    state = lambda: next(s for kept in list_states(job) for s in kept.items if s.item == item)  # noqa: E731
    for leg in LEGS:
        taped(job, ben, leg, code="E11")
    assert not state().disputed
    taped(job, make_person("Tilda Lang"), "Leg  A", code="E11")
    assert state().disputed


def test_a_leg_that_the_tower_does_not_have_is_refused_with_those_that_it_has(job, ben) -> None:
    with pytest.raises(ValidationError, match="There is no leg E: leg A, leg B, leg C, leg D"):
        taped(job, ben, "leg E")
    assert not job.entries.exists()


def test_while_no_release_says_which_legs_there_are_every_leg_on_record_counts(ben) -> None:
    job = make_job()
    copy_lists(job, by=ben, at=AT)
    assert still(job) == "D14 " + Item.objects.get(list__job=job, code="D14").wording
    taped(job, ben, "north leg")
    taped(job, ben, "south leg", 0.5)
    assert still(job).endswith("(south leg)")


def test_a_hold_point_that_asks_for_a_photo_is_open_without_one(job, ben) -> None:
    for leg in LEGS[:3]:
        taped(job, ben, leg)
    taped(job, ben, "leg D", photo=None)
    assert still(job).endswith("(leg D, photo)")


def test_the_phone_offers_the_legs_and_says_which_are_open(client, job, ben) -> None:
    client.force_login(ben)
    taped(job, ben, "leg A")
    page = client.get(reverse("phone-list", args=[job.number, "pour"]), {"item": "D14"}).content.decode()
    assert "Still open: leg B, leg C, leg D." in page
    for leg in LEGS:
        assert f">{leg}</option>" in page


def test_a_leg_of_an_older_page_is_said_at_its_field_and_the_reading_stays(client, job, ben) -> None:
    client.force_login(ben)
    typed = {"code": "C12", "uuid": str(uuid4()), "subject": "leg E", "number": "0.25"}
    answer = client.post(reverse("phone-list", args=[job.number, "forming"]), typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "There is no leg E: leg A, leg B, leg C, leg D." in page
    assert 'value="0.25"' in page
    assert not job.entries.exists()
