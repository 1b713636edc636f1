"""What a person reads on a paper: which page of which sheet, one clock, one way of units, named columns."""

from __future__ import annotations

import io
import re
from datetime import date, timedelta
from html.parser import HTMLParser

import pytest
from pypdf import PdfReader

from installs.checklists.limits import Limit
from installs.checklists.paper_sheets import accepted_range
from installs.checklists.services import copy_lists
from installs.jobs.figures import figures_of
from installs.jobs.services import open_deviation
from installs.papers.catalog import PACKETS
from installs.papers.freezing import frozen, thawed
from installs.papers.gathering import gather
from installs.papers.pages import documents, worst_first
from installs.papers.printing import static_roots
from installs.permits.models import Permit
from sitecalc.checks import Known, Rule
from sitecalc.wording import unit_words
from tests.make import AT

pytestmark = pytest.mark.django_db


def pages(html: str) -> list[str]:
    from weasyprint import HTML

    root = next(static_roots())
    made = HTML(string=html, base_url=f"{root.as_uri()}/").write_pdf()
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(made)).pages]


def text(html: str) -> str:
    words: list[str] = []
    reader = HTMLParser()
    reader.handle_data = words.append  # type: ignore[method-assign]
    reader.feed(html)
    return " ".join(" ".join(words).split())


def test_every_page_of_a_sheet_says_which_it_is_and_of_which_sheet(job, released, office):
    copy_lists(job, by=office, at=AT)
    gathered = gather(job, PACKETS["checklists"], "A", by=office, at=AT)
    sheets = [pages(html) for _said, html in documents(gathered.inputs)]
    long = max(sheets, key=len)
    assert len(long) > 1
    for sheet in sheets:
        for number, page in enumerate(sheet, 1):
            assert f"page {number} of {len(sheet)}" in page
            assert (", continued" in page) == (number > 1)


def test_the_outline_of_a_packet_lists_no_box_of_the_title_block(job, released, office):
    from weasyprint import HTML

    gathered = gather(job, PACKETS["permit packet"], "A", by=office, at=AT)
    root = next(static_roots())
    for _said, html in documents(gathered.inputs)[:3]:
        made = HTML(string=html, base_url=f"{root.as_uri()}/").write_pdf()
        outline = re.findall(r"'/Title': '([^']*)'", str(PdfReader(io.BytesIO(made)).outline))
        assert outline and not {"Firm", "Printed", "Rev", "Sheet"} & set(outline)


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("120 ft2 of 594 ft2, 50 yd3, 320 sq ft, 0.3 in2", "120 ft² of 594 ft², 50 yd³, 320 ft², 0.3 in²"),
        ("A325 bolts, 0.0059 ft2/lb, m3", "A325 bolts, 0.0059 ft²/lb, m³"),
    ],
)
def test_papers_keep_one_way_of_units(written: str, printed: str) -> None:
    assert unit_words(written) == printed


def test_a_frozen_check_is_read_by_the_units_of_papers() -> None:
    rule = Rule("sail", "Area the wind sees", "ft2", "common", Known.PRACTICE)
    check = frozen(rule.compare(demand=120, capacity=594, note="120 ft2 at 3:00 PM"))
    (printed,) = worst_first([thawed(check)])
    assert (printed["note"], printed["unit"]) == ("120 ft² at 3:00 PM", "ft²")


@pytest.mark.parametrize(
    ("limit", "words", "printed"),
    [
        (Limit(low=0, unit="psf"), "", ""),
        (Limit(low=0, high=25, unit="ohm"), "Accepted 25 ohm or less.", "at most 25 ohm"),
        (Limit(low=0, high=32, unit="F"), "Accepted 0 to 32 F.", "0 to 32 F"),
        (Limit(low=6, unit="in"), "Accepted 6 in or more.", "at least 6 in"),
        (Limit(low=-0.125, high=0.125, unit="in"), "Accepted within 0.125 in, more or less.", "±0.125 in"),
    ],
)
def test_no_reading_is_held_to_what_nothing_can_be_under(limit: Limit, words: str, printed: str) -> None:
    assert (limit.words, accepted_range(limit)) == (words, printed)


def test_columns_of_a_table_are_named_and_stand_as_they_are_declared() -> None:
    """A release keeps the cells of a row by the alphabet of their names."""
    row = {"bottom_in": 84.0, "leg_area_in2": 3.6, "length_ft": 20.0, "top_in": 70.0, "weight_lb": 1520.0}
    (line,) = (each for each in figures_of("tower", {"sections": [row]}) if "rows" in each)
    heads = line["rows"]["heads"]
    assert heads[:4] == ["Length, ft", "Width at bottom, in", "Width at top, in", "Weight, lb"]
    assert line["rows"]["lines"][0][:4] == ["20", "84", "70", "1,520"]


def test_a_choice_of_the_catalogue_is_printed_in_its_words() -> None:
    """By itself "two of these" refers to nothing."""
    lines = figures_of("turbine", {"machine": {"brake": "two of these", "name": "Test 12"}})
    assert "two independent means" in [line["value"] for line in lines]


def test_a_sheet_of_deviations_says_each_once(job, released, office):
    open_deviation(job, "frozen edge", "The blanket blew off.", by=office, at=AT)
    copy_lists(job, by=office, at=AT)
    gathered = gather(job, PACKETS["checklists"], "A", by=office, at=AT)
    other = text(documents(gathered.inputs)[0][1])
    own = text(documents({**gathered.inputs, "kind": "deviation sheet"})[0][1])
    assert "The blanket blew off." in other and "The blanket blew off." not in own


def test_the_title_sheet_says_until_when_a_ticket_is_good(job, released, office):
    """A ticket whose last day is over is no ticket in hand."""
    today = AT.date()
    for number, last in (("L-1", today - timedelta(days=1)), ("L-2", date(today.year + 1, 1, 8))):
        Permit.objects.create(
            job=job, kind="locate", asked_of="One-call", asked_on=today, number=number,
            granted_on=today - timedelta(days=9), expires_on=last,
        )  # fmt: skip
    title = text(documents(gather(job, PACKETS["permit packet"], "A", by=office, at=AT).inputs)[0][1])
    assert re.search(r"L-1 [A-Z]\w+ \d+, 20\d\d, expired ", title)
    assert re.search(r"L-2 [A-Z]\w+ \d+, 20\d\d, good to Jan 8, 20\d\d", title)


def test_no_sheet_says_sha256_to_a_person(job, released, office):
    gathered = gather(job, PACKETS["permit packet"], "A", by=office, at=AT)
    printed = " ".join(html for _said, html in documents(gathered.inputs))
    assert "sha256" not in printed.lower() and "check code" in printed.lower()
    assert re.search(r"\b[0-9a-f]{13,}\b", text(printed)) is None
