"""A pour on the inspector's signed card: provisional, and answered by the record of the inspection."""

from __future__ import annotations

from datetime import timedelta

import pytest

from installs.checklists.services import copy_lists
from installs.checklists.standing import needs_photo
from installs.checklists.state import open_items
from installs.gates.by_card import CARD, by_card
from installs.gates.services import gate_now, start_phase
from installs.inspection.models import Inspection
from installs.inspection.services import record_inspection
from installs.jobs.phases import ON_THE_CARD
from tests.gates.test_services import entry, open_excavation
from tests.make import AT, a_photo, alma, make_job

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def job(ben):
    """Dug, tied and formed, all recorded but the inspection; the excavation is not said to be finished."""
    job = make_job()
    copy_lists(job, by=ben, at=AT)
    open_excavation(job)
    start_phase(job, "excavation", by=ben, at=AT)
    for words in open_items(job, "excavation"):
        code = words.split()[0]
        if code != CARD:
            record(job, ben, code)
    return job


def record(job, ben, code, at=AT):
    item = job.lists.model.objects.get(job=job, items__code=code).items.get(code=code)
    limit = item.low if item.low is not None else item.high
    number = (1.0 if limit is None else limit) if item.kind == "reading" else None
    photo = a_photo(ben) if needs_photo(item) else None
    return entry(job, ben, code, number=number, at=at, photo=photo)


def card(job, ben, at=AT + HOUR, *, photo=True, signed="M. Ruiz, county"):
    kept = a_photo(ben) if photo else None
    return entry(job, ben, CARD, data={"signed": signed} if signed else {}, photo=kept, at=at)


def pour(job, ben, at=AT + 2 * HOUR):
    return entry(job, ben, "D05", subject="truck 1", number=64.0, at=at).entry.deviations.get()


def visit(job, by, *, passed=True, days=0, at=AT + 5 * HOUR):
    on = AT.date() + timedelta(days=days)
    made = Inspection(kind="footing", inspector="M. Ruiz", inspected_on=on, passed=passed, number="F-9")
    return record_inspection(job, made, by=by, at=at)


def test_on_the_card_the_pour_is_provisional_and_the_gate_stays_closed(job, ben):
    card(job, ben)
    assert by_card(job, AT + HOUR).provisional
    assert not gate_now(job, "pour", AT + HOUR).open
    deviation = pour(job, ben)
    assert deviation.title == ON_THE_CARD
    assert "M. Ruiz" in deviation.what
    assert not deviation.engineer_decides


def test_the_record_of_the_inspection_answers_it(job, ben):
    card(job, ben)
    deviation = pour(job, ben)
    visit(job, alma())
    answer = deviation.answers.get()
    assert (answer.decision, "M. Ruiz" in answer.reason) == ("accept", True)


@pytest.mark.parametrize("found", [{"passed": False}, {"days": 1, "at": AT + timedelta(days=1)}])
def test_an_inspection_that_did_not_pass_or_came_after_the_pour_is_the_engineers(job, ben, found):
    card(job, ben)
    deviation = pour(job, ben)
    visit(job, alma(), **found)
    assert deviation.is_open
    assert job.deviations.get(title__startswith="poured without").engineer_decides


@pytest.mark.parametrize("lacking", [{"photo": False}, {"signed": ""}, {"at": AT + 3 * HOUR}])
def test_a_card_without_photo_or_name_or_signed_after_the_pour_stands_in_for_nothing(job, ben, lacking):
    card(job, ben, **lacking)
    deviation = pour(job, ben)
    assert deviation.title == "pour with its gate closed"
    assert deviation.engineer_decides


def test_a_card_without_its_photo_is_named_as_still_open(job, ben):
    card(job, ben, photo=False)
    assert by_card(job, AT + HOUR).codes == [CARD]


def test_without_a_card_it_is_a_pour_through_a_closed_gate(job, ben):
    assert pour(job, ben).engineer_decides


def test_the_card_stands_in_for_no_check_of_the_steel(job, ben):
    """An anchor bolt template that was measured out of tolerance is put right first, whoever signed."""
    item = job.lists.model.objects.get(job=job, items__code="C10").items.get(code="C10")
    first = job.entries.get(code="C10")
    entry(job, ben, "C10", number=item.high + 1, corrects=first.uuid)
    card(job, ben)
    assert by_card(job, AT + HOUR).codes == ["C10"]
    assert pour(job, ben).engineer_decides


def test_the_card_stands_in_for_no_foundation_release(job, ben):
    card(job, ben)
    job.revisions.all().delete()
    assert "foundation not released" in by_card(job, AT + HOUR).blocked
    assert pour(job, ben).engineer_decides


def test_a_visit_that_did_not_pass_is_not_overruled_by_a_card(job, ben):
    visit(job, alma(), passed=False, at=AT)
    card(job, ben)
    assert "footing inspection did not pass" in by_card(job, AT + HOUR).blocked
    assert pour(job, ben).engineer_decides


def test_no_lift_goes_by_a_card(job, ben):
    card(job, ben)
    pour(job, ben)
    lifted = entry(job, ben, "H18", at=AT + 3 * HOUR)
    assert not gate_now(job, "tower lift", AT + 3 * HOUR).open
    assert lifted.entry.deviations.get().title == "tower lift with its gate closed"
