"""Pour card, cure log and strength notice: frozen, printed, and honest about what is not on record."""

from __future__ import annotations

import io
import re
from datetime import timedelta

import pytest
from pypdf import PdfReader

from installs.papers.printing import printed
from installs.papers.services import order_paper
from installs.pour.book import strip
from installs.pour.services import record_truck
from tests.pour.conftest import POUR, log_csv, ticket
from tests.pour.test_record import keep_log, keep_notice

pytestmark = pytest.mark.django_db
AT = POUR + timedelta(days=20)


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    monkeypatch.setattr("installs.pour.sheets.timezone.now", lambda: AT)


def words(job, kind: str, office) -> str:
    paper = order_paper(job, kind, by=office, at=AT)
    content = printed(paper, lambda *_: None).content
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).split())


def test_the_pour_card_has_the_limits_and_every_ticket(poured, office):
    text = words(poured, "pour card", office)
    for said in ("Order 37.5 yd³", "slump 3 to 5 in", "48821", "48824", "Foundation B, pour A"):
        assert said in text


def test_a_card_printed_before_the_pour_comes_with_one_to_write_on(job, released, office):
    text = words(job, "pour card", office)
    assert "pad 35.3 yd³, 0.0 yd³ placed" in text
    assert "back of the card" in text
    assert "Trucks to come are written on the card behind" in text and "Pour card, trucks 1 to 7" in text
    assert "Order to the plant, ready list" in text


# keyed in weeks after, it says so behind its state
TRUCK_6 = "discharged over a limit.{0,80}; Slump: 5.5 in, 3 to 5 in accepted"


def test_a_rejected_truck_prints_as_rejected_and_what_is_over_with_its_limit(poured, office, foreman):
    """Nothing leaves the sheet: the last column is there with all its words, on one page."""
    sent_back = ticket(5, air=8.9, refused=True, discharged=None, why="air over the limit")
    record_truck(poured, sent_back, by=foreman, at=AT)
    record_truck(poured, ticket(6, slump=5.5), by=foreman, at=AT)
    text = words(poured, "pour card", office)
    assert "REJECTED: air over the limit" in text
    assert re.search(TRUCK_6, text)
    assert "accepted, rejected" in text.lower()


def test_the_cure_log_has_each_day_and_what_is_missing(poured, office, foreman):
    keep_log(poured, log_csv([60.0] * 24 * 20), foreman, AT)
    text = words(poured, "cure log", office)
    for said in ("19.0 of 28 curing days", "strength notice not written", "edge 60 F", "not evidence"):
        assert said in text


def test_the_strength_notice_never_claims_what_is_not_reached(poured, office):
    assert "To be filled in and signed" in words(poured, "strength notice", office)
    keep_notice(poured, office, AT, 2650, 2730, 2690)
    assert "has not reached the required strength" in words(poured, "strength notice", office)
    keep_notice(poured, office, AT, 3400, 3500, 3600, age=18)
    text = words(poured, "strength notice", office)
    assert "has reached the required strength" in text
    assert "3,500 psi" in text


@pytest.mark.parametrize("phase", ["pour", "cure"])
def test_the_job_book_draws_pour_and_cure(poured, foreman, phase):
    keep_log(poured, log_csv([60.0] * 24 * 19), foreman, AT)
    assert strip(poured, phase, AT).startswith("<svg")


def test_a_job_of_which_nothing_is_known_draws_nothing(job):
    assert strip(job, "cure", AT) == ""


def test_front_and_back_of_the_card_are_one_page_and_the_card_to_write_on_another(poured, office):
    paper = order_paper(poured, "pour card", by=office, at=AT)
    content = printed(paper, lambda *_: None).content
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]
    assert len(pages) == 2
    assert "Fold here" in pages[0] and "trucks 1 to 7" in pages[1]


def test_the_special_inspection_is_the_owners_and_the_engineers(poured, office):
    text = words(poured, "special inspection", office)
    for said in (
        "engaged by the owner",
        "clause not verified",
        "engineer's statement",
        "Anchor bolts in place",
    ):
        assert said in text


def test_the_deviation_sheet_has_every_deviation_with_room_for_its_answer(poured, office):
    text = words(poured, "deviation sheet", office)
    assert "Accept / repair / remove, because" in text
    assert "the engineer decides" in text
