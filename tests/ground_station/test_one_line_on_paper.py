"""The one-line on its sheet: folded, continued, never cut, whatever stands over it."""

from __future__ import annotations

import io
import re
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from installs.drafting import to_svg
from installs.ground_station.chain import chain
from installs.ground_station.folding import MOST_COLUMNS, TALLEST_PX, paper_drawings
from installs.ground_station.review import review
from installs.jobs.services import open_deviation, release_design
from installs.papers.printing import printed
from installs.papers.services import order_paper
from tests.ground_station.make_station import HOUSE, TRENCH, make_station
from tests.make import AT, alma

pytestmark = pytest.mark.django_db
COUNTS = (2, 3, 4, 8, 12)
ALONE = ("Wind turbine", "Utility transformer", "Service conductors", "Grounding electrode")


def runs(count):
    """Every other run on the inverter's side; ends that stand nowhere else on the sheet."""
    return [
        (TRENCH if n % 2 else HOUSE)
        | {"name": f"Stretch {n:02}", "origin": f"boxa{n:02}", "end": f"boxb{n:02}"}
        for n in range(count)
    ]


def disconnects(count):
    return [
        {"name": f"Disconnect {n}", "rating_a": 60.0, "lockable": "yes", "utility": "yes"}
        for n in range(count)
    ]


def texts(drawing) -> list[str]:
    root = ElementTree.fromstring(to_svg(drawing, for_print=True))
    return [" ".join("".join(t.itertext()).split()) for t in root.iter() if t.tag.endswith("text")]


@pytest.mark.parametrize("count", COUNTS)
def test_every_symbol_stands_once_and_no_drawing_is_higher_than_its_sheet(job, count):
    design = make_station(job, runs=runs(count), disconnects=disconnects(2)).filled()
    before, after = chain(design)
    drawn = paper_drawings(before, after, "2023")
    words = " ".join(line for each in drawn for line in texts(each))
    for n in range(count):
        assert words.count(f"boxa{n:02} to") == 1
    for title in ALONE:
        assert words.count(title) == 1
    for each in drawn:
        west, south, east, north = each.box()
        assert north - south < TALLEST_PX + 130 and east - west < 440 * MOST_COLUMNS + 120


LONGEST = [(2, 5), (12, 0), (12, 5)]
OTHERS = [(2, 0), (3, 1), (4, 1), (8, 0), (8, 5), (12, 1)]


@pytest.mark.parametrize(
    ("count", "open_points"), [*LONGEST, *(pytest.param(*o, marks=pytest.mark.prove) for o in OTHERS)]
)
def test_the_printed_sheet_holds_every_word_of_the_drawing(job, count, open_points):
    for n in range(open_points):
        what = "The second truck came 70 minutes after the first. " * 3
        open_deviation(job, f"Cold joint {n}", what, by=alma(), at=AT)
    draft = make_station(job, runs=runs(count), disconnects=disconnects(2))
    found = review(draft)
    passing = [check for check in found.checks if not check.needs_answer]
    release_design(job, "ground_station", draft.inputs(), found.results, passing, by=alma(), at=AT)
    paper = order_paper(job, "one-line", by=alma(), at=AT)
    content = printed(paper, lambda *_: None).content
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]
    last = next(i for i, text in enumerate(pages) if "Wiring and label schedule" in text)
    sheet = " ".join(" ".join(pages[:last]).split())
    for n in range(count):
        assert len(re.findall(rf"boxa{n:02} to boxb{n:02}", sheet)) == 1
    for title in ALONE:
        assert sheet.count(title) == 1
    assert "Cautions" in sheet and "Open circuit, highest speed" in sheet
