"""Trucks: taken, rejected or the engineer's before discharge; what is placed; what is asked at once."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from installs.checklists.state import open_items
from installs.checklists.taking import take_entry
from installs.jobs.services import add_member
from installs.pour.record_words import load_record
from installs.pour.services import record_truck, renumber_truck
from sitecalc.pour.placing import last_order
from tests.make import make_person
from tests.pour.conftest import POUR, ticket

pytestmark = pytest.mark.django_db
BATCHED = POUR - timedelta(minutes=50)


def read(job, by, code, number, truck=1, at=POUR, **fields):
    return take_entry(
        job, by=by, received_at=at, taken_at=at, code=code, subject=f"truck {truck}", number=number, **fields
    ).entry


def comes(job, by, truck=1, yards=9.5, at=POUR, batched=BATCHED, **data):
    more = {"ticket": f"4882{truck}", "batched_at": batched.isoformat(), **data}
    return read(job, by, "D01", yards, truck, at, text=more["ticket"], data=more)


def measured(job, by, truck=1, **changed):
    for code, number in ({"D05": 62.0, "D03": 4.5, "D04": 6.1, "D07": 0.0} | changed).items():
        read(job, by, code, number, truck)


def said(job, truck=1, at=POUR):
    return next(t for t in load_record(job, at).tickets if t.number == truck)


# --- take it, reject it, the engineer decides ------------------------------------------------------


@pytest.mark.parametrize(
    ("readings", "decision", "rule"),
    [
        ({}, "take it", "every limit is measured and kept"),
        ({"D05": 43.0}, "reject it", "Concrete temperature: 43 F, 45 to 90 F accepted"),
        ({"D03": 6.5}, "reject it", "Slump: 6.5 in, 3 to 5 in accepted"),
        ({"D04": 8.9}, "reject it", "Air content: 8.9 %, 4.5 to 7.5 % accepted"),
        ({"D07": 5.0}, "the engineer decides", "the ticket's allowance is not recorded"),
    ],
)
def test_before_it_is_discharged_it_is_taken_rejected_or_the_engineers(
    job, released, foreman, readings, decision, rule
):
    """Slump and air: ASTM C94 (from memory); 45 F at 42 in: ACI 306R table 5.1, in The Constructor, Concrete
    temperature limit."""
    comes(job, foreman)
    measured(job, foreman, **readings)
    found = said(job)
    assert found.decision == decision
    assert found.decision_words.lower().startswith(decision)
    assert rule in found.decision_words


def test_one_reading_to_be_rejected_for_is_said_before_the_others_are_taken(job, released, foreman):
    comes(job, foreman)
    read(job, foreman, "D05", 43.0)
    assert said(job).decision == "reject it"


def test_what_is_still_to_be_measured_is_not_taken(job, released, foreman):
    comes(job, foreman)
    read(job, foreman, "D05", 62.0)
    found = said(job)
    assert found.decision == "not yet"
    assert "Slump: not measured" in found.decision_words


def test_what_cannot_be_measured_is_the_engineers(job, released, foreman):
    comes(job, foreman)
    measured(job, foreman)
    read(job, foreman, "D04", None, text="the meter leaks", data={"cannot": True})
    assert said(job).decision == "the engineer decides"


@pytest.mark.parametrize("code", ["D04", "D02"])
def test_discharged_before_the_engineer_decided_it_stands_for_the_engineer(job, released, foreman, code):
    """Its air could not be measured, or nobody knows how old it was."""
    comes(job, foreman)
    measured(job, foreman)
    for each, number in {"D04": 6.1, "D02": 55.0}.items():
        told = {"text": "broken", "data": {"cannot": True}} if each == code else {}
        read(job, foreman, each, None if each == code else number, **told)
    deviation = job.deviations.get(title="truck 1 discharged before the engineer decided")
    assert deviation.engineer_decides
    assert "cannot be measured" in deviation.what


def test_a_truck_grows_older_while_it_waits(job, released, foreman):
    """90 min: ASTM C94 before 2021, which a purchaser may waive (read in secondary copies)."""
    comes(job, foreman)
    measured(job, foreman)
    assert said(job, at=BATCHED + timedelta(minutes=90)).decision == "take it"
    late = said(job, at=BATCHED + timedelta(minutes=91))
    assert late.decision == "the engineer decides"
    assert "Batching to discharge: 91 min, at most 90 min" in late.decision_words


def test_water_is_held_to_the_tickets_own_allowance(job, released, foreman):
    comes(job, foreman, water_allowed_gal=6.0)
    measured(job, foreman, D07=7.0)
    assert said(job).decision == "reject it"
    read(job, foreman, "D07", 5.0)
    assert said(job).decision == "take it"


def test_a_reading_that_no_concrete_has_still_fails_its_limit(job, released, foreman):
    """Kept because it was confirmed; it is over the limit like any other."""
    comes(job, foreman)
    measured(job, foreman, D05=411.0)
    read(job, foreman, "D02", 55.0)
    (deviation,) = job.deviations.filter(title="truck 1 discharged over a limit")
    assert "411 F" in deviation.what


def test_the_air_beside_the_evaporation_makes_a_day_cold(job, released, foreman):
    """Any reading of the air counts: under 40 F concrete is at most 20 F over the least (ACI 306R)."""
    comes(job, foreman)
    measured(job, foreman, D05=70.0)
    assert said(job).decision == "take it"
    take_entry(
        job, by=foreman, received_at=POUR, taken_at=POUR, code="D22", number=0.05, data={"air_f": 30.0}
    )
    assert "70 F, 45 to 65 F accepted" in said(job).decision_words


def test_the_air_of_the_day_counts_before_the_first_truck(job, released, foreman):
    take_entry(
        job, by=foreman, received_at=POUR, taken_at=POUR, code="D06", subject="air", number=20.0, unit="F"
    )
    record = load_record(job, POUR)
    assert "air 20 F, cold" in record.rules_words
    assert "concrete 45 to 65 F, cold weather" in record.limits_words


# --- placed, on site, the last order ---------------------------------------------------------------


def test_placed_counts_what_was_discharged_and_the_truck_on_site_stands_apart(job, released, foreman):
    record_truck(job, ticket(1), by=foreman, at=POUR)
    comes(job, foreman, truck=2)
    measured(job, foreman, truck=2, D05=43.0)
    record = load_record(job, POUR)
    assert record.facts.log.yards == 9.5
    assert record.section.words == (
        "pad 35.3 yd³, 9.5 yd³ placed, 25.8 yd³ to go; truck 2 on site with 9.5 yd³"
    )
    assert record.last.left_yd3 == pytest.approx(37.5 - 19)
    comes(job, foreman, truck=2, refused=True)
    after = load_record(job, POUR)
    assert after.section.words.endswith("25.8 yd³ to go")
    assert after.last.left_yd3 == pytest.approx(37.5 - 9.5), "a rejected truck is ordered again"


@pytest.mark.parametrize(
    ("placed", "on_site", "loads"),
    [
        (0, 0, (9.5, 9.5, 9.5, 9.0)),
        (28.5, 0, (9.0,)),
        (19, 9.5, (9.0,)),
        (27.25, 0, (5.5, 5.0)),
        (37.5, 0, ()),
    ],
)
def test_the_last_order_is_what_is_not_placed_and_not_on_site(placed, on_site, loads):
    """37.5 yd3 in steps of 0.5 and trucks of 9.5, by hand: 37.5 - 28.5 = 9; 10.25 is 10.5 at the plant, whose
    last 1 yd3 would be a sliver."""
    found = last_order(order_yd3=37.5, placed_yd3=placed, on_site_yd3=on_site, truck_yd3=9.5, step_yd3=0.5)
    assert found.loads_yd3 == loads


def test_a_truck_whose_minutes_nobody_knows_was_discharged_all_the_same(job, released, foreman):
    comes(job, foreman)
    read(job, foreman, "D02", None, text="watch broken", data={"cannot": True})
    assert load_record(job, POUR).facts.log.yards == 9.5


def test_when_all_that_was_ordered_has_come_no_further_truck_is_asked_for(
    client, job, released, foreman, monkeypatch
):
    """One that comes all the same has its ticket behind a fold; before the last one it stands open."""
    monkeypatch.setattr("crew.phone.pour.timezone.now", lambda: POUR + timedelta(hours=5))
    client.force_login(foreman)
    fold = "Another truck came"
    for number in (1, 2, 3):
        record_truck(job, ticket(number), by=foreman, at=POUR)
    assert fold not in client.get(reverse("pour-card", args=[job.number])).content.decode()
    record_truck(job, ticket(4, yards=9.0), by=foreman, at=POUR)
    page = client.get(reverse("pour-card", args=[job.number])).content.decode()
    assert page.count("<details>") > page.count("Correct or add a figure") and fold in page
    assert fold not in client.get(reverse("pour-card", args=[job.number]) + "?truck=2").content.decode()


# --- on the phone: asked at once, kept at the second press -----------------------------------------


@pytest.fixture
def press(client, job, released, foreman, monkeypatch):
    """Press on the pour card at a time; with ``sure`` what the page before asked is confirmed."""
    monkeypatch.setattr("crew.phone.pour.timezone.now", lambda: POUR)
    client.force_login(foreman)

    def pressed(at=POUR, sure=None, page="pour-card", **typed):
        monkeypatch.setattr("crew.phone.pour.timezone.now", lambda: at)
        typed = {"uuid": str(uuid4()), **typed}
        if sure is not None:
            form = sure.context["form"]
            typed["confirm"] = [*form.confirmed, *form._asked]
        return client.post(reverse(page, args=[job.number]), typed)

    return pressed


def asks(answer) -> str:
    assert answer.status_code == 422
    return " ".join(words for faults in answer.context["form"].errors.values() for words in faults)


TICKET = {"truck": "2", "ticket": "48821", "yards": "9.5", "batched": "08:10"}


def test_a_ticket_number_for_the_second_time_is_asked_and_then_kept(press, job, foreman):
    comes(job, foreman)
    answer = press(**TICKET)
    assert "Ticket 48821 is on record for truck 1" in asks(answer)
    assert 'value="48821"' in answer.content.decode()
    assert press(**TICKET, sure=answer).status_code == 302
    kept = job.entries.get(subject="truck 2")
    assert "on record for truck 1" in kept.data["confirmed"][0]
    # another number is another question
    assert "48820" not in str(kept.data)


def test_cylinders_of_a_truck_that_has_not_come_are_asked_and_then_kept(press, job, foreman):
    comes(job, foreman)
    made = {"code": "D08", "truck": "9", "lab": "3", "field": "0", "marks": "A to C", "page": "pour-day"}
    answer = press(**made)
    assert "There is no ticket of truck 9; on record: 1." in asks(answer)
    assert not job.entries.filter(code="D08").exists()
    assert press(**made, sure=answer).status_code == 302
    assert job.entries.get(code="D08").subject == "truck 9"


@pytest.mark.parametrize(
    ("minutes", "words"), [("74", "still to come"), ("20", "was 30 min ago"), ("50", ""), ("45", "")]
)
def test_minutes_that_contradict_the_ticket_are_asked(press, job, foreman, minutes, words):
    """Batched 50 min ago."""
    comes(job, foreman)
    measured(job, foreman)
    answer = press(truck="1", code="D02", number=minutes)
    if not words:
        assert answer.status_code == 302
        return
    assert words in asks(answer)
    assert press(truck="1", code="D02", number=minutes, sure=answer).status_code == 302
    assert job.entries.get(code="D02").number == float(minutes)


def test_discharged_now_works_the_minutes_out_from_the_ticket(press, job, foreman):
    comes(job, foreman)
    measured(job, foreman)
    at = POUR + timedelta(minutes=12)
    assert press(at=at, truck="1", code="D02", do="now").status_code == 302
    assert job.entries.get(code="D02").number == 62.0
    assert load_record(job, at).facts.log.trucks[0].discharged_at == at


def test_concrete_that_is_to_be_rejected_is_discharged_only_at_the_second_press(press, job, foreman):
    comes(job, foreman)
    measured(job, foreman, D05=43.0)
    answer = press(truck="1", code="D02", do="now")
    assert asks(answer).startswith("Reject it: concrete temperature. Discharged anyway?")
    assert press(truck="1", code="D02", do="now", sure=answer).status_code == 302
    assert job.deviations.filter(title="truck 1 discharged over a limit").exists()


@pytest.mark.parametrize(("ahead", "day"), [(3, 24), (14, 24), (16, 23)])
def test_a_plants_clock_some_minutes_ahead_is_no_truck_of_yesterday(press, job, ahead, day):
    """Poured on April 24, 9 AM at the site."""
    batched = job.local(POUR + timedelta(minutes=ahead))
    assert press(**{**TICKET, "batched": f"{batched:%H:%M}"}).status_code == 302
    told = load_record(job, POUR).facts.log.trucks[0].batched_at
    assert job.local(told).day == day


def test_a_slump_that_no_cone_gives_is_asked_and_then_kept(press, job, foreman):
    comes(job, foreman)
    answer = press(truck="1", code="D03", number="45")
    assert "45 in: it can be 0 to 12 in" in asks(answer)
    assert "it can be 0 to 12 in" in asks(press(truck="1", code="D03", number="44", sure=answer))
    assert press(truck="1", code="D03", number="45", sure=answer).status_code == 302
    assert job.entries.get(code="D03").number == 45.0


# --- the list of the pour --------------------------------------------------------------------------


def test_an_item_that_goes_truck_by_truck_waits_for_every_truck_that_was_not_sent_back(
    job, released, foreman
):
    comes(job, foreman)
    comes(job, foreman, truck=2)
    comes(job, foreman, truck=3, refused=True)
    measured(job, foreman)
    slump = lambda: [words for words in open_items(job, "pour") if words.startswith("D03")]  # noqa: E731
    assert slump()[0].endswith("(truck 2)")
    read(job, foreman, "D03", None, truck=2, text="no cone", data={"cannot": True})
    assert slump() == []


# --- two people, one number --------------------------------------------------------------------------


def test_two_hands_on_one_truck_are_both_said_until_one_has_its_own_number(job, released, foreman):
    """A load has one ticket: two under one number are two loads, or a slip. Common practice, no source."""
    other = make_person("Tilda Marsh", "foreman")
    add_member(job, other, by=foreman, at=POUR)
    comes(job, foreman, yards=9.5)
    read(job, foreman, "D03", 4.0)
    comes(job, other, yards=9.0, ticket="48999")
    read(job, other, "D03", 5.0)
    log = load_record(job, POUR).facts.log
    [words] = log.disputed
    assert "BO: ticket 48821, 9.5 yd³, D03 4" in words and "TM: ticket 48999, 9 yd³, D03 5" in words
    assert log.yards_on_site == 9.0  # what came last counts, and says so
    first = log.trucks[0].hands[0].key
    assert renumber_truck(job, 1, first, by=foreman, at=POUR) == 2
    log = load_record(job, POUR).facts.log
    assert log.disputed == () and [(t.number, t.ticket, t.figure("D03")) for t in log.trucks] == [
        (1, "48999", 5.0),
        (2, "48821", 4.0),
    ]
    assert log.yards_on_site == 18.5
    assert job.entries.filter(code="D01").count() == 3  # nothing is written over
    with pytest.raises(ValidationError, match="has changed"):
        renumber_truck(job, 1, first, by=foreman, at=POUR)  # pressed twice


def test_the_same_load_entered_on_two_phones_is_one_truck_and_no_dispute(job, released, foreman):
    comes(job, foreman)
    comes(job, make_person("Tilda Marsh", "foreman"))
    log = load_record(job, POUR).facts.log
    assert log.disputed == () and log.yards_on_site == 9.5
