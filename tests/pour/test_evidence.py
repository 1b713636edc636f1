"""What is evidence of a cure: readings of the pad and breaks of its cylinders, never the plan."""

from __future__ import annotations

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from installs.checklists.library import shipped_lists
from installs.checklists.models import ItemKind
from installs.checklists.state import open_items
from installs.checklists.taking import take_entry
from installs.pour.record_words import load_record
from installs.pour.review import load_cures
from installs.pour.services import record_temperature
from installs.pour.sheets import strength_notice_sheet
from tests.pour.conftest import POUR, log_csv
from tests.pour.test_record import finish, keep_log, keep_notice

pytestmark = pytest.mark.django_db


def read(job, by, hour, temp, sensor="edge", at=None):
    taken = POUR + timedelta(hours=hour)
    fields = {"sensor": sensor, "taken": taken, "temp": temp, "unit": "F"}
    return record_temperature(job, fields, by=by, at=at or taken)


def check(job, key, at):
    record = load_record(job, at)
    return next(c for c in (*record.cure.checks, *record.placing) if c.key == key)


# --- protection and warmth ----------------------------------------------------------------------------


def cold_day(job, by):
    take_entry(job, by=by, received_at=POUR, taken_at=POUR, code="D06", subject="air", number=25.0, unit="F")


def test_protection_is_what_was_read_and_not_what_was_planned(poured, foreman):
    """Six days in the cold (ACI 306R table 7.1, from memory); the plan says six from the beginning."""
    cold_day(poured, foreman)
    at = POUR + timedelta(days=8)
    assert str(check(poured, "protection", at).verdict) == "not checked"
    keep_log(poured, log_csv([60.0] * 24 * 2), foreman, at)
    found = check(poured, "protection", at)
    assert str(found.verdict) == "not checked"
    assert "days read so far" in found.note
    keep_log(poured, log_csv([60.0] * 24 * 7), foreman, at, name="whole.csv")
    assert str(check(poured, "protection", at).verdict) == "passes"


def test_kept_warm_is_open_until_its_days_are_read(poured, foreman):
    at = POUR + timedelta(days=1)
    keep_log(poured, log_csv([60.0] * 18), foreman, at)
    assert str(check(poured, "kept warm", at).verdict) == "not checked"
    at = POUR + timedelta(days=9)
    keep_log(poured, log_csv([60.0] * 24 * 8), foreman, at, name="whole.csv")
    assert str(check(poured, "kept warm", at).verdict) == "passes"


def test_a_cold_reading_taken_back_leaves_failed_what_it_failed(poured, foreman):
    """30 F under blankets, crossed out with nothing in its place."""
    cold_day(poured, foreman)
    for hour in range(6, 24 * 8, 6):
        read(poured, foreman, hour, 30.0 if hour == 48 else 60.0)
    at = POUR + timedelta(days=8)
    before = {key: str(check(poured, key, at).verdict) for key in ("kept warm", "protection")}
    assert before == {"kept warm": "fails", "protection": "fails"}
    cold = poured.entries.get(code="E03", number=30.0)
    take_entry(
        poured, by=foreman, received_at=at, taken_at=cold.taken_at, code="E03", subject="edge",
        corrects=cold.uuid, text="sensor was loose", data={"cannot": True},
    )  # fmt: skip
    assert {key: str(check(poured, key, at).verdict) for key in before} == before


# --- the cure's clock ---------------------------------------------------------------------------------


def test_the_clock_of_the_cure_ends_with_the_days_that_were_asked(poured, office, foreman):
    at = POUR + timedelta(days=60)
    keep_log(poured, log_csv([60.0] * 24 * 51), foreman, at)
    cure = load_record(poured, at).cure
    assert (cure.state.curing_days, len(cure.log.days)) == (28, 28)
    assert cure.log.silent_hours < 1
    assert not any("silent" in words for words in cure.log.faults)


def test_the_clock_of_the_cure_ends_when_the_tower_is_set_on_the_pad(poured, office, foreman, engineer):
    """Released early on the 20th day; nobody reads the pad any more in the years after it."""
    at = POUR + timedelta(days=20, hours=4)
    keep_log(poured, log_csv([60.0] * 24 * 20), foreman, at)
    poured.phases.create(key="tower lift", started_at=at, started_by=foreman)
    later = load_record(poured, POUR + timedelta(days=800)).cure
    assert len(later.log.days) <= 20
    assert later.log.silent_hours < 24


def test_a_pad_that_waits_goes_on_counting(poured, foreman):
    at = POUR + timedelta(days=20, hours=4)
    keep_log(poured, log_csv([60.0] * 24 * 20), foreman, at)
    assert len(load_record(poured, POUR + timedelta(days=40)).cure.log.days) == 39


def test_what_was_ready_with_its_days_stays_ready(poured, office, foreman):
    at = POUR + timedelta(days=29)
    keep_log(poured, log_csv([60.0] * 24 * 29), foreman, at)
    keep_notice(poured, office, at, 3400, 3500, 3600, age=21)
    finish(poured, foreman, at)
    assert load_cures([poured], at + timedelta(days=400))[poured.pk].ready


# --- breaks by the load of the machine -----------------------------------------------------------------


NOTICE = {
    "do": "record", "notice-method": "ASTM C39", "notice-cure": "field", "notice-diameter_in": "4",
    "notice-age_days": "14", "notice-signer": "T. Orme", "notice-firm": "Sorrel Testing",
    "notice-written_on": "2031-05-08",
}  # fmt: skip


@pytest.fixture
def write(client, poured, office, monkeypatch):
    monkeypatch.setattr("installs.pour.views.timezone.now", lambda: POUR + timedelta(days=20))
    client.force_login(office)

    def written(*cylinders, **changed):
        rows = {
            f"notice-cylinders-{n}-{name}": value
            for n, row in enumerate(cylinders)
            for name, value in row.items()
        }
        return client.post(reverse("strength-notice", args=[poured.number]), {**NOTICE, **rows, **changed})

    return written


def test_breaks_are_recorded_as_loads_of_cylinders_of_a_size(write, poured):
    """33,800, 34,300 and 33,870 lb on 12.566 in2: 2,690, 2,730 and 2,700 psi (by hand, ASTM C39)."""
    loads = [{"mark": f"F{n}", "load_lb": load} for n, load in enumerate(("33800", "34300", "33,870"), 1)]
    assert write(*loads).status_code == 302
    kept = poured.strength_notices.get()
    assert [c["psi"] for c in kept.cylinders] == [2690, 2730, 2700]
    assert [c["load_lb"] for c in kept.cylinders] == [33_800, 34_300, 33_870]
    assert kept.average_psi == pytest.approx(2706.667, abs=0.001)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ({"mark": "F1"}, "F1: its strength, psi, or the load at which it broke"),
        ({"mark": "F1", "psi": "2960", "load_lb": "33800"}, "is 2,690 psi, not 2,960 psi"),
        ({"mark": "F1", "load_lb": "590000"}, "too large; at most 20000 psi"),
    ],
)
def test_a_break_that_cannot_be_is_said_at_its_field(write, poured, row, words):
    answer = write(row)
    assert answer.status_code == 422
    assert words in answer.content.decode().replace("&#x27;", "'")
    assert not poured.strength_notices.exists()


def test_the_size_of_the_cylinders_is_chosen_and_never_assumed(write, poured):
    row = {"mark": "F1", "load_lb": "33800"}
    answer = write(row, **{"notice-diameter_in": ""})
    assert (
        answer.status_code == 422 and "Choose the size that stands on the notice." in answer.content.decode()
    )
    assert not poured.strength_notices.exists()


def test_a_load_of_a_larger_cylinder_is_asked_at_the_size_and_kept_at_the_second_press(write, poured):
    """120,000 lb is 4,240 psi on 6 in across and 9,550 psi on 4 in (by hand); 4,500 psi are specified."""
    rows = [{"mark": f"F{n}", "load_lb": "120000"} for n in (1, 2, 3)]
    answer = write(*rows)
    said = answer.content.decode()
    assert answer.status_code == 422 and not poured.strength_notices.exists()
    assert "F1: 120,000 lb on 4 by 8 in is 9,550 psi, and the mix is specified 4,500 psi. Which size" in said
    assert write(*rows, **{"notice-diameter_in": "6"}).status_code == 302
    assert [c["psi"] for c in poured.strength_notices.get().cylinders] == [4240, 4240, 4240]
    confirmed = re.findall(r'name="notice-confirm" value="([^"]+)"', said)
    assert write(*rows, **{"notice-confirm": confirmed, "notice-age_days": "15"}).status_code == 302
    assert poured.strength_notices.last().average_psi == 9550
    assert len(poured.events.filter(verb="strength notice").last().data["confirmed"]) == 3


def test_the_paper_prints_load_size_and_strength_of_a_break_that_was_given_as_a_load(write, poured):
    write(*({"mark": f"F{n}", "load_lb": load} for n, load in enumerate(("33800", "34300", "33870"), 1)))
    (printed,) = [strength_notice_sheet(poured, poured.revisions.newest("pour"))["notice"]]
    assert printed["breaks"][0] == "F1: 33,800 lb, 4 by 8 in, 2,690 psi" and printed["by_load"]


# --- sensors -------------------------------------------------------------------------------------------


def test_a_sensor_that_the_pad_does_not_have_is_refused_with_those_that_it_has(job, released, foreman):
    with pytest.raises(ValidationError, match="There is no nort side: edge, top, core, air"):
        take_entry(
            job, by=foreman, received_at=POUR, taken_at=POUR, code="E03", subject="nort side", number=52.0
        )


def test_the_temperature_of_the_concrete_is_done_when_every_sensor_was_read(poured, foreman):
    """A logger's file stands for the sensors of its columns."""
    at = POUR + timedelta(days=2)
    temps = lambda: [words for words in open_items(poured, "cure") if words.startswith("E03")]  # noqa: E731
    assert temps()[0].endswith("(edge, top, core)")
    keep_log(poured, log_csv([60.0] * 30), foreman, at)
    read(poured, foreman, 20, 61.0, "core", at)
    read(poured, foreman, 20, 50.0, "air", at)
    assert temps()[0].endswith("(top)")
    read(poured, foreman, 21, 60.0, "TOP", at)
    assert temps() == []


def test_a_reading_far_outside_what_can_be_is_asked_in_the_office_and_then_kept(
    client, poured, foreman, monkeypatch
):
    now = POUR + timedelta(days=3)
    monkeypatch.setattr("installs.pour.views.timezone.now", lambda: now)
    client.force_login(foreman)
    typed = {"do": "record", "temperature-sensor": "edge", "temperature-taken": "2031-04-26T10:00",
             "temperature-temp": "411", "temperature-unit": "F"}  # fmt: skip
    url = reverse("pour-temperature", args=[poured.number])
    answer = client.post(url, typed)
    assert answer.status_code == 422
    assert "411 F: it can be 33 to 160 F" in answer.content.decode()
    assert not poured.entries.filter(code="E03").exists()
    (asked,) = answer.context["temperature_form"]._asked
    assert client.post(url, {**typed, "temperature-confirm": asked}).status_code == 302
    kept = poured.entries.get(code="E03")
    assert (kept.number, kept.data["confirmed"]) == (411.0, [asked])
    wrong = client.post(url, {**typed, "temperature-temp": "60", "temperature-sensor": "nort side"})
    assert "There is no nort side" in wrong.content.decode()


def test_a_hook_load_of_nothing_is_asked_on_the_phone_and_then_kept(client, poured, foreman):
    client.force_login(foreman)
    url = reverse("phone-list", args=[poured.number, "tower lift"])
    typed = {"code": "H16", "number": "0", "uuid": str(uuid4())}
    answer = client.post(url, typed)
    assert answer.status_code == 422
    assert "0 lb: it can be 200 to 100000 lb" in answer.content.decode()
    asked = answer.context["form"]._asked
    assert client.post(url, {**typed, "confirm": asked}).status_code == 302
    assert poured.entries.get(code="H16").data["confirmed"] == asked


def test_every_reading_of_every_list_says_what_it_can_be():
    """Whatever is accepted can be, and an unlikely reading is asked on page, phone and paper alike."""
    for shipped in shipped_lists().values():
        for item in shipped.items:
            if item["kind"] != ItemKind.READING:
                continue
            known = shipped.likely[item["code"]]
            assert known.least < known.most, item["code"]
            assert item.get("high") is None or known.least <= item["high"], item["code"]
            assert item.get("low") is None or item["low"] <= known.most, item["code"]
            assert item.get("high") is None or item["high"] <= known.most, item["code"]
    assert shipped_lists()["tower lift"].likely["H16"].asks(0)
