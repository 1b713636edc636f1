"""The printed list: a line for each subject with its unit and limit, what is on record or was crossed out."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.checklists.paper_sheets import copy_sheets
from installs.checklists.services import copy_lists
from installs.checklists.state import list_states
from installs.checklists.taking import take_entry
from tests.make import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(office, ben):
    job = make_job(by=office, members=(ben,))
    copy_lists(job, by=office, at=timezone.now())
    return job


def enter(job, by, code, minutes=0, **fields):
    now = timezone.now()
    at = now - timedelta(minutes=30 - minutes)
    return take_entry(job, by=by, received_at=now, taken_at=at, code=code, **fields).entry


def rows(job, key, code):
    """Of one item: its first row names it, those that follow go on with it."""
    state = list_states(job, job.lists.filter(key=key))[0]
    found, mine = [], False
    for row in copy_sheets(job, state)[0]["rows"]:
        mine = row["code"] == code if row.get("first") else mine
        if mine:
            found.append(row)
    return found


def page(client, job, key):
    html = client.get(reverse("job-list", args=[job.number, key]) + "?paper").content.decode()
    return " ".join(html.split())


def test_each_line_says_its_unit_and_its_limit(job):
    lines = rows(job, "pour", "D13")
    assert len(lines) == 4  # no foundation is released: lines on which each leg is named by hand
    assert {(row["accepted"], row["unit"]) for row in lines} == {("±0.125 in", "in")}
    assert all(row["write"] and row["subject"].startswith("leg") for row in lines)


def test_a_line_on_record_is_printed_and_the_ones_to_do_are_left(job, ben):
    enter(job, ben, "D13", subject="leg A", number=0.0625)
    told, *blank = rows(job, "pour", "D13")
    assert (told["value"], told["by"], told.get("write")) == ("0.0625 in", ben.initials, None)
    assert len(blank) == 3 and all(row["write"] for row in blank)


def test_what_was_crossed_out_stands_so_with_who_and_why_and_room_for_what_is_right(client, job, ben):
    wrong = enter(job, ben, "D09", text="north half")
    enter(job, ben, "D09", 5, corrects=wrong.uuid, text="there was ice in the corner", data={"struck": True})
    struck, blank = rows(job, "pour", "D09")
    assert (struck["value"], struck["struck"]) == (
        "north half", f"crossed out by {ben.initials}: there was ice in the corner",
    )  # fmt: skip
    assert blank["write"]
    shown = page(client, job, "pour")
    assert "<s>north half</s>" in shown and "there was ice in the corner" in shown


def test_every_correction_of_a_reading_is_kept_in_its_order(job, ben):
    first = enter(job, ben, "D06", number=35.0)
    second = enter(job, ben, "D06", 2, number=53.0, corrects=first.uuid, text="read upside down")
    enter(job, ben, "D06", 4, number=54.0, corrects=second.uuid, text="in the sun")
    told = [(row["value"], row.get("struck", "")) for row in rows(job, "pour", "D06")]
    assert told == [
        ("35 F", f"corrected by {ben.initials}: read upside down"),
        ("53 F", f"corrected by {ben.initials}: in the sun"),
        ("54 F", ""),
    ]


def test_of_a_sensor_the_newest_reading_is_printed_and_a_line_is_left_for_the_next(job, ben):
    for minutes, value in ((0, 60.0), (5, 58.0)):
        enter(job, ben, "E03", minutes, subject="edge", number=value)
    told = [(row["subject"], row.get("value")) for row in rows(job, "cure", "E03")]
    assert told[0] == ("edge", "58 F") and "60 F" not in [value for _subject, value in told]
    assert [subject for subject, value in told if value is None]


def test_every_page_of_the_copy_is_of_its_job_and_list(client, job):
    shown = page(client, job, "handover")
    head = shown.split("<thead>")[1].split("</thead>")[0]  # it stands on every page again
    assert f"{job.number} {job.owner}. Checklist: " in head
