"""Permission and record with the real database: refused starts, facts kept, deviations that stand."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from installs.checklists.models import Item
from installs.checklists.services import copy_lists
from installs.checklists.standing import needs_photo
from installs.checklists.state import open_items
from installs.checklists.taking import JUDGES, take_entry
from installs.gates import services
from installs.gates.services import GateClosed, finish_phase, start_phase
from installs.inspection.models import Inspection
from installs.inspection.services import record_inspection
from installs.jobs.deviations import COLD_JOINT
from installs.jobs.reading import as_known
from installs.jobs.services import answer_deviation, open_deviation
from installs.permits.models import Permit
from installs.permits.services import record_permit
from installs.permits.standing import standing_permits
from installs.pour import readiness
from installs.pour.readiness import facts_before
from tests.make import AT, a_photo, make_job, make_person, make_release

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    job = make_job()
    copy_lists(job, by=make_person(), at=AT)
    return job


def open_excavation(job):
    """Everything the excavation gate asks, except the foundation, which the test gives."""
    day = AT.date()
    Permit.objects.create(
        job=job, kind="building", asked_of="County", asked_on=day, granted_on=day, number="B-1"
    )
    Permit.objects.create(
        job=job,
        kind="locate",
        number="L-1",
        asked_of="One-call",
        asked_on=day,
        granted_on=day,
        expires_on=day + timedelta(days=9),
    )
    passed = [{"key": "bearing", "title": "Bearing", "verdict": "passes"}]
    make_release(job, "foundation", by=make_person(), checks=passed)


def entry(job, by, code, **fields):
    at = fields.pop("at", AT)
    return take_entry(job, by=by, received_at=at, taken_at=at, code=code, **fields)


def test_a_closed_gate_refuses_the_start_with_a_sentence(job, ben):
    with pytest.raises(GateClosed, match="building permit not requested"):
        start_phase(job, "excavation", by=ben, at=AT)
    assert not job.phases.exists()


def test_an_open_gate_lets_the_phase_start_once(job, ben):
    open_excavation(job)
    first = start_phase(job, "excavation", by=ben, at=AT)
    again = start_phase(job, "excavation", by=make_person(), at=AT + timedelta(days=1))
    assert (again.pk, again.started_by) == (first.pk, ben)


def test_a_locate_ticket_past_its_last_day_closes_the_gate(job, ben):
    open_excavation(job)
    with pytest.raises(GateClosed, match="locate ticket not in date"):
        start_phase(job, "excavation", by=ben, at=AT + timedelta(days=10))


def test_work_done_through_a_closed_gate_is_recorded_and_leaves_a_deviation(job, ben):
    taken = entry(job, ben, "B07", number=52.0)
    assert taken.new
    deviation = job.deviations.get()
    assert deviation.entry == taken.entry
    assert "building permit not requested" in deviation.what
    assert job.phases.get().key == "excavation"


def test_a_pour_recorded_before_any_list_was_copied_is_judged_as_with_one(ben):
    """The list is in the job before anything is entered for it; the tower waits for the engineer's answer."""
    job = make_job()
    taken = entry(job, ben, "D05", subject="truck 1", number=64.0)
    assert taken.entry.item.list.phase == "pour"
    assert job.phases.get().key == "pour"
    deviation = job.deviations.get()
    assert (deviation.title, deviation.engineer_decides) == ("pour with its gate closed", True)
    assert "deviation 1 (pour with its gate closed)" in services.gate_now(job, "tower lift", AT).sentence


def test_what_was_entered_before_its_list_was_there_is_of_its_item(ben):
    job = make_job()
    copy_lists(job, by=ben, at=AT)
    kept = entry(job, ben, "E10", number=95.0).entry
    job.entries.update(item=None)
    Item.objects.filter(list__job=job).delete()
    job.lists.all().delete()
    copy_lists(job, by=ben, at=AT)
    kept.refresh_from_db()
    assert kept.item.code == "E10"


def test_entries_are_judged_by_the_gates_and_then_by_the_rooms_from_the_start():
    """A room that forgot to say that it judges would let work through its closed gate unseen."""
    assert [judge.__module__ for judge in JUDGES] == [
        "installs.gates.stopping", "installs.gates.judging", "installs.pour.judging", "installs.lift.judging"
    ]  # fmt: skip


def test_a_ready_list_that_can_ask_no_gate_counts_it_as_closed(job, monkeypatch):
    assert "foundation not released" in facts_before(job, AT).gate_missing
    monkeypatch.setattr(readiness, "_asked", [])
    assert facts_before(job, AT).gate_missing


def test_the_same_work_recorded_on_leaves_one_deviation(job, ben):
    for code in ("B06", "B07", "B08"):
        entry(job, ben, code, number=52.0)
    assert job.deviations.count() == 1


def test_work_done_through_an_open_gate_leaves_none(job, ben):
    open_excavation(job)
    entry(job, ben, "B07", number=52.0)
    assert not job.deviations.exists()
    assert job.phases.get().key == "excavation"


def test_a_check_before_the_work_does_not_count_as_the_work(job, ben):
    entry(job, ben, "A08", data={"signed": "B. Osgood"})
    assert not job.phases.exists()
    assert not job.deviations.exists()


def test_a_phase_cannot_be_finished_while_required_items_are_open(job, ben):
    open_excavation(job)
    start_phase(job, "excavation", by=ben, at=AT)
    with pytest.raises(ValidationError, match="cannot be finished"):
        finish_phase(job, "excavation", by=ben, at=AT)


def test_a_phase_is_finished_when_its_required_items_are_recorded(job, ben):
    open_excavation(job)
    start_phase(job, "excavation", by=ben, at=AT)
    for words in open_items(job, "excavation"):
        code = words.split()[0]
        item = job.lists.model.objects.get(job=job, items__code=code).items.get(code=code)
        number = (item.low if item.low is not None else item.high) if item.kind == "reading" else None
        read = number if number is not None else (1.0 if item.kind == "reading" else None)
        entry(job, ben, code, number=read, photo=a_photo(ben) if needs_photo(item) else None)
    assert finish_phase(job, "excavation", by=ben, at=AT + timedelta(hours=9)).finished_at


def test_a_phase_that_was_never_started_cannot_be_finished(job, ben):
    with pytest.raises(ValidationError, match="not been started"):
        finish_phase(job, "tower assembly", by=ben, at=AT)


def test_an_ungated_phase_waits_for_the_phases_before_it(job, ben):
    with pytest.raises(ValidationError, match="pour not finished"):
        start_phase(job, "tower assembly", by=ben, at=AT)
    with pytest.raises(ValidationError, match="commissioning not finished"):
        start_phase(job, "maintenance", by=ben, at=AT)


def test_phases_and_steps_that_do_not_exist_cannot_start(job, ben):
    with pytest.raises(ValidationError, match="no such phase"):
        start_phase(job, "wishing", by=ben, at=AT)


def test_a_foremans_tick_of_the_strength_notice_does_not_open_the_tower_lift(job, ben):
    entry(job, ben, "E08", text="notice seen")
    entry(job, ben, "E03", number=60.0, subject="core")
    assert not services.gate_now(job, "tower lift", AT).open


def test_a_clock_set_forward_never_opens_a_gate(job, ben):
    open_excavation(job)
    for days in (0, 30, 400):
        at = AT + timedelta(days=days)
        for key in ("pour", "tower lift", "turbine lift", "operation"):
            assert not services.gate_now(job, key, at).open


def late(job, by, code, *, happened, received, **fields):
    """From a phone that had no signal between the two."""
    return take_entry(job, by=by, taken_at=happened, received_at=received, code=code, **fields)


def test_a_gate_that_opened_between_the_work_and_the_entry_of_it_gave_no_permission(job, ben):
    open_excavation(job)
    hour = timedelta(hours=1)
    late(job, ben, "B07", happened=AT - hour, received=AT + 2 * hour, number=52.0)
    deviation = job.deviations.get()
    assert "foundation not released" in deviation.what and deviation.what.endswith("It has opened since.")
    assert services.gate_now(job, "excavation", AT + hour).open


def test_work_after_the_gate_opened_leaves_none_however_late_its_entry_comes(job, ben):
    open_excavation(job)
    late(job, ben, "B07", happened=AT + timedelta(hours=1), received=AT + timedelta(days=2), number=52.0)
    assert not job.deviations.exists() and job.phases.get().started_at == AT + timedelta(hours=1)


def test_a_permit_counts_from_when_it_was_recorded_and_as_its_line_read_then(job, ben):
    """The day in hand may be the same: who began at nine had no number that came at ten."""
    open_excavation(job)
    line = job.permits.get(kind="building")
    line.number = ""
    line.save()
    line.number = "B-1"
    hour, office = timedelta(hours=1), make_person("Alma Reyes", "office")
    record_permit(job, line, ["number"], by=office, at=AT + hour)
    with as_known(AT):
        assert [p.number for p in standing_permits([job])[job.pk]] == ["", "L-1"]
    late(job, ben, "B07", happened=AT, received=AT + 2 * hour, number=52.0)
    assert "building permit in hand by word only" in job.deviations.get().what
    renewed = Permit(kind="locate", number="L-2", asked_of="One-call", granted_on=AT.date())
    record_permit(job, renewed, ["number"], by=office, at=AT + 3 * hour)
    with as_known(AT + 2 * hour):
        assert [p.number for p in standing_permits([job])[job.pk]] == ["B-1", "L-1"]


def test_an_inspection_recorded_after_the_pour_was_begun_did_not_permit_it(job, ben):
    """Not of the same day either: on record is what was on record when the first truck was discharged."""
    hour = timedelta(hours=1)
    visit = Inspection(
        kind="footing", inspector="D. Arneson", inspected_on=AT.date(), passed=True, number="F-1"
    )
    record_inspection(job, visit, by=make_person("Alma Reyes", "office"), at=AT + hour)
    late(job, ben, "D05", happened=AT, received=AT + 2 * hour, subject="truck 1", number=64.0)
    assert "footing inspection not recorded" in job.deviations.get().what


def test_what_was_taken_back_by_its_answer_since_still_held_the_gate_then(job, ben):
    deviation = open_deviation(job, "poured cold", "on the form", by=ben, at=AT, kind=COLD_JOINT)
    hour, engineer = timedelta(hours=1), make_person("Per Lund", "engineer")
    answer_deviation(deviation, "accept", "Cored, sound.", engineer=engineer, by=engineer, at=AT + 2 * hour)
    held = "deviation 1 (poured cold) not answered by the engineer"
    assert held not in services.gate_now(job, "tower lift", AT + 3 * hour).missing
    with as_known(AT + hour):
        assert held in services.gate_now(job, "tower lift", AT + hour).missing
