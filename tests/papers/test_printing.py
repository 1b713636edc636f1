"""A packet from release to PDF: what it says, that it repeats byte for byte, and how it fails."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from installs.files.keeping import read_bytes
from installs.papers.pages import NOT_SEALED, documents_of
from installs.papers.printing import printed
from installs.papers.services import order_paper
from installs.work.models import State
from installs.work.runner import work_one
from tests.make import AT

pytestmark = pytest.mark.django_db


def words(content: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).split())


def test_a_packet_is_printed_by_a_worker_with_every_formula_source_and_verdict(job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    assert work_one("papers")
    paper.refresh_from_db()
    assert paper.work.state == State.DONE, paper.work.error
    content = read_bytes(paper.file)
    text = words(content)
    assert paper.pages == len(PdfReader(io.BytesIO(content)).pages)
    for said in (
        NOT_SEALED,
        "q = P / A (1 + 6 e / B)",
        "q = 90 / 272 (1 + 6 x 1.2 / 16.5)",
        "Invented Code 2030, 3.1",
        "Invented Handbook, table 2 (clause not verified)",
        "Test pit was dry to 9 ft.",
        "engineer's sketch",
        "license PE-4471",
    ):
        assert said in text, said


def test_the_same_inputs_give_the_same_bytes(job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    first, second = (printed(paper, lambda *_: None).content for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("source", "documents"),
    [
        ("ACI 318-19, 22.5.5.1", ["ACI 318-19"]),
        ("NEC 2023 694.12(B), Table 310.16", ["NEC 2023"]),
        ("AISC 360-16 J3.6 and J3.7", ["AISC 360-16"]),
        ("AISC Design Guide 1, 2nd edition, tables A1 and A2", ["AISC Design Guide 1"]),
        ("29 CFR 1926.752", ["29 CFR"]),
        ("IBC table 1806.2, class 5", ["IBC"]),
        ("IBC 2012 table 1806.2", ["IBC 2012"]),
        ("IEEE 1547-2018 default OV1 trip; ANSI C84.1 range A", ["IEEE 1547-2018", "ANSI C84.1"]),
        # a method stands before the document, or alone
        ("T = K D F; clamp 75 % of proof load; SAE J429", ["SAE J429"]),
        ("water 62.4 pcf; 0.6D of ASCE 7-16, 2.4.1", ["ASCE 7-16"]),
        ("Betz limit 16/27, textbook", []),
        ("Euler-Bernoulli beam elements; any text on dynamics", []),
        ("model small-wind ordinances, 15 to 20 ft", []),
        # what no body numbers: the ordinance of the county
        ("Juniper County 8-12, invented", ["Juniper County 8-12"]),
        ("", []),
    ],
)
def test_the_title_sheet_names_documents_without_their_clauses(source, documents):
    assert documents_of(source) == documents
