"""A paper sheet keyed in: its own times, all lines or none, never twice, nothing typed is lost."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.checklists.paper_sheets import by_hand_of
from installs.checklists.services import chain_faults, copy_lists
from tests.make import make_job, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(office, ben):
    job = make_job(by=office, members=(ben,))
    copy_lists(job, by=office, at=timezone.now())
    return job


def yesterday(job):
    return job.local(timezone.now()).date() - timedelta(days=1)


def send(client, job, key="cure", **lines):
    """Lines as E03_1_value="52" and so on; the head is yesterday, by who is signed in."""
    typed = {name.replace("_", "-"): value for name, value in lines.items() if name not in ("on", "by")}
    head = {
        "on": lines.get("on", yesterday(job).isoformat()),
        "by": lines.get("by", client.session["_auth_user_id"]),
    }
    return client.post(reverse("key-in", args=[job.number, key]), {**head, **typed})


EDGE = {"E03_1_which": "edge", "E03_1_value": "52", "E03_1_clock": "10:41"}


def test_a_filled_line_is_an_entry_with_the_time_on_the_paper(client, job, office):
    assert send(client, job, **EDGE).status_code == 302
    entry = job.entries.get()
    assert (entry.code, entry.subject, entry.number, entry.unit) == ("E03", "edge", 52.0, "F")
    on = yesterday(job)
    assert job.local(entry.taken_at) == datetime(on.year, on.month, on.day, 10, 41, tzinfo=job.tz)
    assert timezone.now() - entry.received_at < timedelta(minutes=1)
    assert entry.data == {"from_paper": True}
    assert (entry.person, entry.text) == (office, "")


def test_the_words_name_who_wrote_it_and_an_empty_who_is_the_line_above(client, job, office, ben):
    send(
        client, job, by=str(office.pk), **EDGE, E03_1_note="north side",
        E03_2_which="top", E03_2_value="54", E03_2_clock="1045", E03_2_who=str(ben.pk),
        E03_3_which="core", E03_3_value="60", E03_3_clock="10:50", E03_3_note="wet",
    )  # fmt: skip
    told = list(job.entries.order_by("sequence").values_list("subject", "text", "person"))
    assert told == [
        ("edge", "north side", office.pk),
        ("top", "Written by Ben Osgood.", office.pk),
        ("core", "wet Written by Ben Osgood.", office.pk),
    ]


def test_the_entries_stand_in_the_order_of_their_times(client, job):
    send(client, job, **EDGE, E03_2_which="top", E03_2_value="54", E03_2_clock="6:05")
    assert list(job.entries.order_by("sequence").values_list("subject", flat=True)) == ["top", "edge"]
    assert chain_faults(job) == []


def test_the_same_sheet_again_records_nothing_twice_and_says_so(client, job):
    send(client, job, **EDGE)
    more = {"E03_2_which": "top", "E03_2_value": "54", "E03_2_clock": "10:45"}
    answer = send(client, job, **EDGE, **more)
    page = client.get(answer["Location"]).content.decode()
    assert "1 line recorded from the paper. 1 was on record already." in page
    assert job.entries.count() == 2


def test_another_value_for_the_same_time_is_refused_at_its_line_and_none_is_taken(client, job):
    send(client, job, **EDGE)
    answer = send(
        client, job, **{**EDGE, "E03_1_value": "35"}, E03_2_which="top", E03_2_value="54", E03_2_clock="6:00"
    )
    assert answer.status_code == 422
    assert "On record already for this time, with other content" in answer.content.decode()
    assert job.entries.count() == 1


BAD = [
    ({"E03_1_which": "edge", "E03_1_value": "fifty", "E03_1_clock": "10:41"}, "Enter a number."),
    ({"E03_1_which": "edge", "E03_1_value": "52"}, "The time from the paper."),
    ({"E03_1_which": "edge", "E03_1_value": "52", "E03_1_clock": "25:00"}, "Write the time as 14:05"),
    ({"E03_1_value": "52", "E03_1_clock": "10:41"}, "Which sensor?"),
    ({"E03_1_which": "edge", "E03_1_clock": "10:41"}, "The reading, or not done."),
    ({"E03_1_which": "edge", "E03_1_clock": "10:41", "E03_1_done": "not done"}, "Say why it was not done."),
    ({"E01_1_value": "2", "E01_1_clock": "10:41"}, "If the paper says so, say what was seen."),
    ({"C07_1_clock": "10:41"}, "Done, or not done?"),
    ({"C07_1_clock": "10:41", "C07_1_done": "nearly"}, "Select a valid choice"),
    ({"E08_1_clock": "10:41", "E08_1_done": "done"}, "Its number, or a photo of it."),
    ({"C07_1_clock": "10:41", "C07_1_done": "done", "C07_1_note": "a\x00b"}, "cannot be printed"),
    ({"C07_1_clock": "10:41", "C07_1_done": "done", "C07_1_who": "987654"}, "Select a valid choice"),
    ({"C07_1_clock": "10:41", "C07_1_done": "done", "on": "2099-01-01"}, "This day has not come yet."),
    ({"C07_1_clock": "10:41", "C07_1_done": "done", "on": "soon"}, "Enter a valid date"),
    ({}, "No line is filled in."),
]  # fmt: skip


@pytest.mark.parametrize(("bad", "words"), BAD, ids=[words for _, words in BAD])
def test_a_bad_line_is_said_at_its_field_keeps_the_good_ones_back_and_loses_nothing(client, job, bad, words):
    key, code = ("forming", "C02") if any(name.startswith("C07") for name in bad) else ("cure", "E10")
    good = {f"{code}_1_value": "97", f"{code}_1_clock": "9:07", f"{code}_1_note": "twice"} if bad else {}
    answer = send(client, job, key, **{**good, **bad})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words.replace("'", "&#x27;") in page
    assert not job.entries.exists()
    for name, value in {**good, **bad}.items():
        if not name.endswith(("_done", "_who", "on")) and "\x00" not in value:
            assert f'name="{name.replace("_", "-")}" value="{value}"' in page


def test_a_time_of_today_that_has_not_come_is_refused(client, job):
    now = job.local(timezone.now())
    if now.hour == 23:
        pytest.skip("no later hour today")
    answer = send(client, job, on=now.date().isoformat(), **{**EDGE, "E03_1_clock": f"{now.hour + 1}:59"})
    assert "This time has not come yet." in answer.content.decode()


def test_what_the_paper_says_out_of_tolerance_is_taken_with_its_note(client, job):
    send(client, job, E01_1_value="2", E01_1_clock="10:41", E01_1_note="low at the north side")
    assert job.entries.get().data == {"from_paper": True, "out_of_tolerance": True}


def test_what_was_not_done_is_written_as_not_done(client, job):
    send(client, job, E06_1_done="not done", E06_1_clock="10:41", E06_1_note="dark")
    entry = job.entries.get()
    assert (entry.data, entry.text) == ({"from_paper": True, "cannot": True}, "dark")


def test_a_bare_number_of_a_truck_is_written_as_the_phone_writes_it(client, job):
    send(client, job, "pour", D03_1_which="3", D03_1_value="4.25", D03_1_clock="7:05")
    assert job.entries.get().subject == "truck 3"


def test_work_behind_a_closed_gate_is_recorded_and_its_deviation_said(client, job):
    answer = send(client, job, "pour", D03_1_which="1", D03_1_value="4.25", D03_1_clock="7:05")
    assert "Deviation 1 stands" in client.get(answer["Location"]).content.decode()
    assert job.deviations.count() == 1


def test_every_list_offers_its_items_in_the_papers_order_but_the_torque_log(client, job):
    for kept in job.lists.all():
        page = client.get(reverse("key-in", args=[job.number, kept.key])).content.decode()
        items = [item for item in kept.items.all() if (kept.key, item.kind) != ("assembly", "torque")]
        table = by_hand_of(kept.key)
        apart = [item for item in items if table and item.code in table.codes]
        # what the paper has on a table of its own stands behind its lines, for copies from before it
        order = [*(item for item in items if item not in apart), *apart]
        places = [page.find(f'id="line-{item.code}-1"') for item in order]
        assert -1 not in places
        assert places == sorted(places)


def test_the_lists_page_leads_to_it_for_whoever_records(client, job, office):
    path = reverse("key-in", args=[job.number, "cure"])
    assert path in client.get(reverse("job-list", args=[job.number, "cure"])).content.decode()
    engineer = make_person("Ida Lindqvist", "engineer")
    from installs.jobs.services import add_member

    add_member(job, engineer, by=office, at=timezone.now())
    client.force_login(engineer)
    assert path not in client.get(reverse("job-list", args=[job.number, "cure"])).content.decode()
    assert client.get(path).status_code == 403
