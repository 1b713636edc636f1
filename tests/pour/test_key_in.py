"""Pour card and cure sheet keyed in: entries with the paper's times, all rows or none, nothing is lost."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from installs.checklists.services import chain_faults
from installs.pour.review import pour_facts
from tests.pour.conftest import POUR

pytestmark = pytest.mark.django_db
AT = POUR + timedelta(days=3)
ROW = {
    "ticket": "48830", "yards": "9.5", "batched": "8:20", "clock": "8:55", "began": "0905", "ended": "9:30",
    "slump": "4.25", "air": "6.1", "concrete": "62", "lab": "3", "field": "2", "marks": "T1 to T5",
}  # fmt: skip
DAY = "2031-04-24"


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    monkeypatch.setattr("installs.pour.sheets.timezone.now", lambda: AT)


@pytest.fixture
def card(client, job, released, office):
    """Posts rows of the card as truck_1={...}; the head is the day of the pour, by Alma."""
    client.force_login(office)

    def send(key="pour-key-in", on=DAY, by=office, **rows):
        typed = {
            f"{row.replace('_', '-')}-{name}": value
            for row, cells in rows.items()
            for name, value in cells.items()
        }
        return client.post(reverse(key, args=[job.number]), {"on": on, "by": str(by.pk), **typed})

    return send


def told(job):
    return [
        (e.code, e.subject, e.number, job.local(e.taken_at).strftime("%b %d %H:%M"))
        for e in job.entries.order_by("sequence")
    ]


def test_a_row_is_an_entry_for_each_figure_at_its_time_on_the_paper(card, job):
    assert card(truck_1=ROW).status_code == 302
    assert told(job) == [
        ("D01", "truck 1", 9.5, "Apr 24 08:55"),
        ("D03", "truck 1", 4.25, "Apr 24 09:05"),
        ("D04", "truck 1", 6.1, "Apr 24 09:05"),
        ("D05", "truck 1", 62.0, "Apr 24 09:05"),
        ("D08", "truck 1", 5.0, "Apr 24 09:05"),
        ("D02", "truck 1", 70.0, "Apr 24 09:30"),
    ]
    (truck,) = pour_facts(job, AT).log.trucks
    assert (truck.ticket, truck.discharged) == ("48830", True)
    clocks = (truck.batched_at, truck.more("arrived_at"), truck.more("began_at"), truck.discharged_at)
    assert [f"{job.local(at):%H:%M}" for at in clocks] == ["08:20", "08:55", "09:05", "09:30"]
    assert all(e.data["from_paper"] for e in job.entries.all()) and chain_faults(job) == []


def test_who_wrote_it_is_named_and_goes_on_to_the_rows_below(card, job, office, foreman):
    card(truck_1=ROW, truck_2={**ROW, "ticket": "48831", "who": str(foreman.pk)},
         truck_3={**ROW, "ticket": "48832"})  # fmt: skip
    by = {e.subject: "Written by Ben Osgood" in e.text for e in job.entries.filter(code="D03")}
    assert by == {"truck 1": False, "truck 2": True, "truck 3": True}


def test_the_same_card_again_adds_nothing(card, job):
    card(truck_1=ROW)
    count = job.entries.count()
    card(truck_1=ROW, truck_2={**ROW, "ticket": "48831"})
    assert job.entries.count() == 2 * count


def test_a_truck_over_midnight_is_of_the_next_date(card, job):
    card(truck_1={**ROW, "batched": "23:40", "clock": "0:10", "began": "0:15", "ended": "0:30"})
    assert [line[3] for line in told(job) if line[0] in ("D01", "D02")] == ["Apr 25 00:10", "Apr 25 00:30"]
    assert job.entries.get(code="D02").number == 50.0


def test_a_rejected_truck_poured_nothing_and_says_why(card, job):
    row = {k: v for k, v in ROW.items() if k not in ("began", "ended", "lab", "field", "marks")}
    card(truck_1={**row, "air": "9", "rejected": "on", "note": "air 9 %, twice"})
    (truck,) = pour_facts(job, AT).log.trucks
    assert (truck.refused, truck.why_refused, truck.discharged) == (True, "air 9 %, twice", False)
    assert truck.ticket == "48830"


BAD = [
    ({"yards": "lots"}, "Enter a number."),
    ({"yards": ""}, "The yards of the ticket."),
    ({"ticket": ""}, "ticket&#x27;s number."),
    ({"clock": ""}, "The time from the paper."),
    ({"clock": "25:00"}, "Write the time as 14:05"),
    ({"batched": ""}, "Discharged, and batched when?"),
    ({"began": "8:40"}, "This is before the time to its left."),
    ({"slump": "6.5"}, "6.5 in: 3 to 5 in accepted. Read it again"),
    ({"concrete": "411"}, "411 F: it can be 32 to 110 F."),
    ({"rejected": "on"}, "Say why it was rejected."),
    ({"rejected": "on", "note": "air"}, "A rejected truck was not discharged here."),
    ({"lab": "", "field": ""}, "How many cylinders?"),
    ({"lab": "99"}, "less than or equal to 20"),
]  # fmt: skip


@pytest.mark.parametrize(("bad", "words"), BAD, ids=[words for _bad, words in BAD])
def test_a_fault_is_said_at_its_field_keeps_the_good_rows_back_and_loses_nothing(card, job, bad, words):
    answer = card(truck_1=ROW, truck_2={**ROW, "ticket": "48831", **bad})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert not job.entries.exists()
    for name, value in ROW.items():
        assert f'name="truck-1-{name}" value="{value}"' in page


def test_what_is_out_of_its_limit_is_taken_when_it_is_pressed_again_and_stands_as_a_deviation(card, job):
    wet = {**ROW, "slump": "6.5"}
    page = card(truck_1=wet).content.decode()
    asked = page.split('name="truck-1-confirm" value="')[1].split('"')[0]
    assert card(truck_1={**wet, "confirm": asked}).status_code == 302
    assert job.entries.get(code="D03").data["confirmed"] == [asked]
    assert "lump" in " ".join(job.deviations.values_list("what", flat=True))


def test_a_day_that_has_not_come_is_refused_at_the_head(card, job):
    assert "This day has not come yet." in card(on="2031-06-01", truck_1=ROW).content.decode()
    assert not job.entries.exists()


# --- the cure sheet ---------------------------------------------------------------------------------

DUSK = {"clock": "19:40", "sensor-0": "66", "sensor-1": "64", "sensor-2": "71", "sensor-3": "41"}
DAWN = {"clock": "6:15", "sensor-0": "58.5", "sensor-2": "70"}


def test_a_round_is_a_reading_of_each_sensor_at_its_time_on_its_day(card, job):
    assert card("cure-key-in", day_1_dusk=DUSK, day_2_dawn=DAWN).status_code == 302
    assert told(job) == [
        ("E03", "edge", 66.0, "Apr 24 19:40"),
        ("E03", "top", 64.0, "Apr 24 19:40"),
        ("E03", "core", 71.0, "Apr 24 19:40"),
        ("E03", "air", 41.0, "Apr 24 19:40"),
        ("E03", "edge", 58.5, "Apr 25 06:15"),
        ("E03", "core", 70.0, "Apr 25 06:15"),
    ]
    card("cure-key-in", day_1_dusk=DUSK, day_2_dawn=DAWN)
    assert job.entries.count() == 6


def test_day_one_is_that_of_the_pour_once_it_is_on_record_whatever_is_sent(card, job):
    card(truck_1=ROW)
    card("cure-key-in", on="2031-04-20", day_2_dawn=DAWN)
    assert {line[3] for line in told(job) if line[0] == "E03"} == {"Apr 25 06:15"}


CURE_BAD = [
    ({"sensor-0": "fifty"}, "Enter a number."),
    ({"clock": ""}, "The time from the paper."),
    ({"sensor-0": "", "sensor-2": ""}, "Nothing is read: which sensor?"),
    ({"sensor-0": "411"}, "411 F: it can be"),
]  # fmt: skip


@pytest.mark.parametrize(("bad", "words"), CURE_BAD, ids=[words for _bad, words in CURE_BAD])
def test_a_wrong_reading_is_said_at_its_sensor_and_loses_nothing(card, job, bad, words):
    answer = card("cure-key-in", day_1_dusk=DUSK, day_2_dawn={**DAWN, **bad})
    page = answer.content.decode()
    assert (answer.status_code, job.entries.exists()) == (422, False)
    assert words in page
    for name, value in DUSK.items():
        assert f'name="day-1-dusk-{name}" value="{value}"' in page


def test_a_round_of_an_evening_that_has_not_come_is_refused(card, job):
    page = card("cure-key-in", day_5_dusk=DUSK).content.decode()
    assert "This time has not come yet." in page and not job.entries.exists()
