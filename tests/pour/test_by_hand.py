"""Sheets of the pour to write on: a row a truck, a row a day, high enough for a pencil in a glove."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from installs.papers.catalog import PACKETS
from installs.papers.gathering import gather
from installs.papers.printing import printed
from installs.papers.services import order_paper
from installs.pour.by_hand import cure_pages, truck_pages
from installs.pour.services import record_truck
from tests.papers.laid_out import laid_out, rows_to_write
from tests.papers.printed_words import faults
from tests.pour.conftest import POUR, ticket

pytestmark = pytest.mark.django_db
AT = POUR + timedelta(days=20)
LEAST_IN = 0.45  # a row for a pencil in a glove: common practice, no source


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    monkeypatch.setattr("installs.pour.sheets.timezone.now", lambda: AT)


def page_of(client, job, key: str) -> str:
    html = client.get(reverse("job-list", args=[job.number, key]) + "?paper").content.decode()
    return " ".join(html.split())


@pytest.mark.parametrize("tight", [False, True], ids=["as set", "set closer to save a page"])
@pytest.mark.parametrize(
    ("kind", "title", "rows"),
    [
        ("pour card", "Pour card, trucks 1 to 7", 7),
        ("cure log", "Cure sheet, days 15 to 28", 14),
        ("checklists", "Checklist: cure and strength", 10),
    ],
)
def test_a_row_to_write_on_is_high_enough_for_a_glove(job, released, office, kind, title, rows, tight):
    gathered = gather(job, PACKETS[kind], "A", by=office, at=AT)
    found = list(rows_to_write(laid_out(gathered.inputs, title, tight=tight)))
    assert len(found) >= rows
    assert min(height for _page, height in found) >= LEAST_IN


def test_seven_trucks_stand_on_a_page_and_an_order_of_more_goes_on(job, released, office, monkeypatch):
    """37.5 yd3 in loads of 9.5 yd3 are four trucks; loads of 5 yd3 are eight, and one for a rejected one."""
    assert [[row["number"] for row in page["rows"]] for page in truck_pages(job)] == [list(range(1, 8))]
    from installs.pour.terms import PourTerms

    made = PourTerms.order

    def small(terms):
        order = made(terms)
        return order and order.__class__(**{**vars(order), "loads_yd3": (5.0,) * 8})

    monkeypatch.setattr(PourTerms, "order", small)
    assert [[row["number"] for row in page["rows"]] for page in truck_pages(job)] == [
        list(range(1, 8)), list(range(8, 15)),
    ]  # fmt: skip


def test_the_card_says_at_its_head_what_is_accepted_and_what_is_done_otherwise(job, released):
    (page,) = truck_pages(job)
    said = {row["title"]: (row["accepted"], row["out"]) for row in page["limits"]}
    assert said["Slump"][0] == "3 to 5 in"
    assert said["Concrete temperature"][0] == "45 to 90 F; air under 40 F, 45 to 65 F"
    assert said["Batching to discharge"][0] == "at most 90 min"
    assert "send it back" in said["Air content"][1] and "engineer" in said["Batching to discharge"][1]


def test_a_truck_on_record_stands_in_its_row_and_a_rejected_one_crossed_out(poured, office, foreman):
    again = ticket(2, slump=4.0, why="read on the wrong side of the rod")
    record_truck(poured, again, by=foreman, at=AT)
    record_truck(poured, ticket(5, discharged=None, refused=True, why="air 9 %"), by=foreman, at=AT)
    rows = {row["number"]: row for page in truck_pages(poured) for row in page["rows"]}
    slump = rows[2]["cells"][6]
    assert (slump["struck"], slump["value"]) == ("4.5 in", "4")
    assert rows[5]["out"] and "REJECTED: air 9 %" in [cell["value"] for cell in rows[5]["cells"]]
    assert "cells" not in rows[6] and rows[6]["write"]


def test_the_cure_sheet_has_a_row_for_every_day_and_its_dates_once_the_pour_is_on_record(
    job, released, foreman
):
    rows = [row for page in cure_pages(job) for row in page["rows"]]
    assert [row["number"] for row in rows] == list(range(1, 29))
    assert {row["day"] for row in rows} == {""}
    assert cure_pages(job)[0]["sensors"] == ("edge", "top", "core", "air")
    record_truck(job, ticket(1), by=foreman, at=POUR + timedelta(hours=1))
    rows = [row for page in cure_pages(job) for row in page["rows"]]
    assert (rows[0]["day"], rows[27]["day"]) == ("Apr 24, 2031", "May 21, 2031")


def test_the_released_pour_says_how_many_days(job, draft, office):
    from installs.jobs.services import release_design
    from installs.pour.review import review

    draft.change(curing_days=35.0).save()
    made = review(draft)
    release_design(job, "pour", draft.inputs(), made.results, made.checks, by=office, at=POUR)
    assert sum(len(page["rows"]) for page in cure_pages(job)) == 35


def test_more_sensors_than_fit_upright_are_set_across_and_none_is_left_out(job, draft, office):
    from installs.jobs.services import release_design
    from installs.pour.review import review

    named = "edge n, edge s, top, core, low, ramp, cold"
    draft.change(sensors=named).save()
    made = review(draft)
    release_design(job, "pour", draft.inputs(), made.results, made.checks, by=office, at=POUR)
    pages = cure_pages(job)
    assert {page["size"] for page in pages} == {"landscape"}
    assert list(dict.fromkeys(s for page in pages for s in page["sensors"])) == [*named.split(", "), "air"]
    found = list(rows_to_write(laid_out(gather(job, PACKETS["checklists"], "A", by=office, at=AT).inputs,
                                        pages[0]["title"])))  # fmt: skip
    assert {page for page, _height in found} == {1}


@pytest.mark.parametrize("kind", ["pour card", "cure log"])
def test_nothing_is_cut_and_no_words_stand_on_one_another(poured, office, kind):
    paper = order_paper(poured, kind, by=office, at=AT)
    assert faults(printed(paper, lambda *_: None).content) == []


def test_the_lists_page_leads_to_its_card_on_paper_and_to_where_it_is_keyed_in(client, job, released, office):
    client.force_login(office)
    for key, title, page in (("pour", "pour card", "pour-key-in"), ("cure", "cure sheet", "cure-key-in")):
        shown = client.get(reverse("job-list", args=[job.number, key])).content.decode()
        assert f"Paper copy, with the {title}" in shown
        assert reverse(page, args=[job.number]) in shown
        copy = page_of(client, job, key)
        assert re.search(rf"<h1>{title}, ", copy, re.IGNORECASE) and job.number in copy


def test_on_the_list_a_truck_is_on_the_card_and_a_sensor_has_its_line(client, job, released, office):
    client.force_login(office)
    pour = page_of(client, job, "pour")
    assert pour.count("On the pour card behind this list.") == 7  # D01 to D05, D07, D08
    cure = page_of(client, job, "cure")
    for sensor in ("edge", "top", "core", "air"):
        assert f"<strong>{sensor}</strong>" in cure
    assert "at least 95 % Proctor" in cure
