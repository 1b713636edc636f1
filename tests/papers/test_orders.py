"""What a paper may be ordered from, what it freezes, and what its page says later."""

from __future__ import annotations

import io
from datetime import timedelta
from html.parser import HTMLParser

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfReader

from installs.checklists.services import copy_lists
from installs.files.keeping import read_bytes
from installs.jobs.models import Job
from installs.jobs.sealing import chain_faults, digest
from installs.jobs.services import answer_deviation, open_deviation
from installs.papers.models import Paper, SealedSheets
from installs.papers.pages import NOT_SEALED, SEALED, documents
from installs.papers.services import attach_seal, order_paper, print_again
from installs.papers.standing import papers_of
from installs.work.models import State
from installs.work.runner import work_one
from tests.make import AT, make_job
from tests.papers.conftest import PARTS, as_if_printed, pdf, release

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=20)


def the(paper: Paper):
    return next(s for s in papers_of([paper.job])[paper.job_id] if s.paper.pk == paper.pk)


def print_all() -> None:
    while work_one("papers"):
        pass


def text_of(paper: Paper) -> str:
    """What the press is given, as text; the packet test of test_printing.py reads the PDF itself."""
    paper.refresh_from_db()
    words: list[str] = []
    reader = HTMLParser()
    reader.handle_data = words.append  # type: ignore[method-assign]
    for _said, html in documents(paper.inputs):
        reader.feed(html)
    return " ".join(" ".join(words).split())


def test_a_packet_cites_releases_so_a_part_without_one_stops_it(job, office):
    for part in PARTS[:-1]:
        release(job, part, office)
    with pytest.raises(ValidationError, match="Ground station is not released"):
        order_paper(job, "permit packet", by=office, at=AT)
    assert not Paper.objects.exists()


def test_an_unknown_kind_is_refused(job, office):
    with pytest.raises(ValidationError, match="no such paper"):
        order_paper(job, "love letter", by=office, at=AT)


def test_letters_follow_one_another_by_kind(job, released, office):
    copy_lists(job, by=office, at=AT)
    letters = [
        order_paper(job, kind, by=office, at=AT).letter
        for kind in ("permit packet", "checklists", "permit packet")
    ]
    assert letters == ["A", "A", "B"]


def test_what_is_frozen_does_not_follow_the_job(job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    before = digest(paper.inputs)
    Job.objects.filter(pk=job.pk).update(owner="Somebody Else")
    release(job, "foundation", office, at=LATER, side_ft=18.0)
    paper.refresh_from_db()
    assert digest(paper.inputs) == paper.inputs_sha256 == before
    assert "Somebody Else" not in text_of(paper) and "18" not in text_of(paper).split("Side", 1)[1][:12]


def test_tampered_inputs_are_not_printed(job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    paper.inputs["job"]["owner"] = "Forged"
    Paper.objects.filter(pk=paper.pk).update(inputs=paper.inputs)
    print_all()
    assert the(paper).is_stopped and "no longer matches its hash" in the(paper).why_stopped


def test_the_page_says_when_a_cited_release_is_superseded(job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    assert the(paper).superseded == ()
    release(job, "foundation", office, at=LATER, side_ft=18.0)
    assert the(paper).superseded == ("foundation release B is in force",)
    newer = order_paper(job, "permit packet", by=office, at=LATER)
    assert the(newer).superseded == () and the(paper).replaced_by == "B"


def test_every_later_paper_lists_open_deviations_until_they_are_answered(job, released, office, engineer):
    copy_lists(job, by=office, at=AT)
    deviation = open_deviation(job, "frozen edge", "The blanket blew off.", by=office, at=AT)
    papers = [order_paper(job, kind, by=office, at=AT) for kind in ("permit packet", "checklists")]
    answer_deviation(deviation, "accept", "Core broke at 4,100 psi.", by=engineer, at=LATER)
    after = order_paper(job, "checklists", by=office, at=LATER)
    assert all(
        "Deviation 1 open since May 5, 2031: frozen edge. The blanket blew off." in text_of(p) for p in papers
    )
    assert "frozen edge" not in text_of(after)


def test_every_later_paper_prints_an_early_release(job, released, office, monkeypatch):
    class State_:
        early_release = "R. Kell, PE, May 20: field cylinders at 3,600 psi."

    monkeypatch.setattr("installs.papers.gathering.load_cures", lambda jobs, at: {jobs[0].pk: State_})
    paper = order_paper(job, "permit packet", by=office, at=AT)
    assert "Early release of the cure gate. R. Kell, PE, May 20: field cylinders at 3,600 psi." in text_of(
        paper
    )


def test_user_text_is_printed_as_text(office, engineer):
    typed = {"owner": "<b>Bold & Sons</b>", "address": "<script>x</script> 5 %}{{ a }}"}
    job = make_job(by=office, engineer=engineer, **typed)
    for part in PARTS:
        release(job, part, office)
    paper = order_paper(job, "permit packet", by=office, at=AT)
    text = text_of(paper)
    assert all(words in text for words in typed.values())


def test_sealed_sheets_stand_in_place_of_ours_and_only_they_are_called_sealed(
    job, released, office, engineer
):
    """Three sealed pages of the foundation: of no other sheet may anybody read that an engineer sealed it."""
    reviewed = order_paper(job, "permit packet", by=office, at=AT)
    print_all()
    reviewed.refresh_from_db()
    upload = pdf(3)
    bound = attach_seal(reviewed, upload, engineer, LATER.date(), sheets=["F-1"], by=office, at=LATER)
    print_all()
    bound.refresh_from_db()
    assert (reviewed.letter, bound.letter) == ("A", "B")
    before, after = (PdfReader(io.BytesIO(read_bytes(p.file))) for p in (reviewed, bound))
    ours = [page.extract_text() for page in before.pages]
    now = [page.extract_text() for page in after.pages]
    foundation = [i for i, text in enumerate(ours) if "F-1" in text and "K-" not in text and i > 0]
    assert bound.pages == reviewed.pages - len(foundation) + 3
    place = foundation[0]
    assert [text.strip() for text in now[place : place + 3]] == [
        "",
        "",
        "",
    ]
    assert "F-1 sealed by Rhoda Kell, PE, May 25, 2031" in " ".join(now[0].split())
    others = [" ".join(text.split()) for text in [*now[1:place], *now[place + 3 :]]]
    assert not any("Sealed by" in text or "; sealed" in text for text in others)
    assert all(NOT_SEALED in text for text in others if "Engineer" in text and "Printed" in text)
    sealed = next(item for item in after.outline if not isinstance(item, list) and "Sealed" in item.title)
    assert sealed.title == "Sealed sheets F-1" and after.get_destination_page_number(sealed) == place
    upload.seek(0)
    assert read_bytes(SealedSheets.objects.get().file) == upload.read()


@pytest.mark.parametrize(
    ("sheets", "said"),
    [
        ([], "Say which sheets bear the seal."),
        (["X-9"], "This paper has no sheet X-9."),
        (["F-1", "T-1", "E-1"], "3 sheets are named, and the sealed PDF has 2 pages."),
    ],
)
def test_which_sheets_bear_the_seal_must_be_said(job, released, office, engineer, sheets, said):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(paper)
    with pytest.raises(ValidationError) as refused:
        attach_seal(paper, pdf(2), engineer, AT.date(), sheets=sheets, by=office, at=AT)
    assert refused.value.message_dict["sheets"] == [said]


def test_a_paper_from_before_the_sheets_were_asked_prints_what_it_said(job, released, office, engineer):
    reviewed = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(reviewed)
    bound = attach_seal(reviewed, pdf(), engineer, AT.date(), sheets=["F-1"], by=office, at=AT)
    bound.inputs["seal"] = {k: v for k, v in bound.inputs["seal"].items() if k != "sheets"}
    bound.save(update_fields=["inputs"])
    assert "the sealed sheets are bound in." in text_of(bound)
    assert SEALED not in [html for _said, html in documents(bound.inputs)]


def test_a_sheet_printed_alone_names_the_sealed_set_its_release_is_in(job, released, office, engineer):
    before = order_paper(job, "foundation sheets", by=office, at=AT)
    reviewed = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(reviewed)
    attach_seal(reviewed, pdf(), engineer, AT.date(), sheets=["F-1"], by=office, at=AT)
    after = order_paper(job, "foundation sheets", by=office, at=LATER)
    assert NOT_SEALED in text_of(before)
    assert "In the set sealed by Rhoda Kell, PE, May 5, 2031." in text_of(after) and after.seal is None
    release(job, "foundation", office, at=LATER, side_ft=18.0)
    newer = order_paper(job, "foundation sheets", by=office, at=LATER)
    assert NOT_SEALED in text_of(newer)


def test_a_seal_does_not_cover_a_later_release(job, released, office, engineer):
    reviewed = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(reviewed)
    attach_seal(reviewed, pdf(), engineer, AT.date(), sheets=["F-1"], by=office, at=AT)
    same = order_paper(job, "permit packet", by=office, at=LATER)
    assert same.seal is not None
    release(job, "tower", office, at=LATER, side_ft=3.0)
    changed = order_paper(job, "permit packet", by=office, at=LATER)
    assert changed.seal is None


@pytest.mark.parametrize(
    ("upload", "said"),
    [
        (SimpleUploadedFile("a.pdf", b""), "empty"),
        (SimpleUploadedFile("a.pdf", b"PK\x03\x04 not a pdf"), "not a PDF"),
        (SimpleUploadedFile("a.pdf", b"%PDF-1.7 torn off"), "cannot be read"),
        (pdf(1, user_password="x"), "locked by a password"),
        (pdf(301), "1 to 300 pages; this has 301"),
    ],
)
def test_what_cannot_be_bound_is_refused_at_its_field(job, released, office, engineer, upload, said):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    upload.seek(0)
    with pytest.raises(ValidationError) as refused:
        attach_seal(paper, upload, engineer, AT.date(), sheets=["F-1"], by=office, at=AT)
    assert said in refused.value.message_dict["file"][0]
    assert not SealedSheets.objects.exists()


def test_a_seal_needs_an_engineer_a_date_that_has_come_and_a_printed_paper(job, released, office, engineer):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    with pytest.raises(ValidationError, match="not printed yet"):
        attach_seal(paper, pdf(), engineer, AT.date(), sheets=["F-1"], by=office, at=AT)
    as_if_printed(paper)
    with pytest.raises(ValidationError, match="Only an engineer"):
        attach_seal(paper, pdf(), office, AT.date(), sheets=["F-1"], by=office, at=AT)
    with pytest.raises(ValidationError, match="in the future"):
        attach_seal(paper, pdf(), engineer, LATER.date(), sheets=["F-1"], by=office, at=AT)


def test_a_failed_paper_says_why_and_is_printed_when_tried_again(job, released, office, settings):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    roots = settings.STATICFILES_DIRS
    settings.STATICFILES_DIRS = []
    print_all()
    assert the(paper).is_stopped and "style sheet is not among the static files" in the(paper).why_stopped
    with pytest.raises(ValidationError, match="nothing to try again"):
        print_again(order_paper(job, "permit packet", by=office, at=AT), by=office, at=AT)
    settings.STATICFILES_DIRS = roots
    paper.refresh_from_db()
    print_again(paper, by=office, at=LATER)
    print_all()
    paper.refresh_from_db()
    assert paper.file and paper.letter == "A" and paper.work.state == State.DONE


def test_the_log_tells_of_order_and_print_with_both_hashes(job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    print_all()
    paper.refresh_from_db()
    event = job.events.get(verb="paper printed")
    assert event.data["inputs"] == paper.inputs_sha256 and event.data["pdf"] == paper.file.sha256
    assert not chain_faults(job)


def test_checklists_print_every_item_by_its_number(job, office):
    with pytest.raises(ValidationError, match="not copied into this job"):
        order_paper(job, "checklists", by=office, at=AT)
    copy_lists(job, by=office, at=AT)
    paper = order_paper(job, "checklists", by=office, at=AT)
    text = text_of(paper)
    items = [item for kept in job.lists.all() for item in kept.items.all()]
    assert len(items) > 100 and not [item.code for item in items if f"{item.code} " not in text]
    assert text.count("Hold point.") == sum(item.weight == "hold" for item in items)


def test_papers_of_many_jobs_take_a_constant_number_of_queries(
    released, job, office, django_assert_max_num_queries
):
    order_paper(job, "permit packet", by=office, at=AT)
    jobs = [job]
    for _ in range(4):
        other = make_job(by=office)
        for part in PARTS:
            release(other, part, office)
        order_paper(other, "permit packet", by=office, at=AT)
        order_paper(other, "permit packet", by=office, at=AT)
        jobs.append(other)
    with django_assert_max_num_queries(6):
        found = papers_of(jobs)
        assert [len(found[j.pk]) for j in jobs] == [1, 2, 2, 2, 2]
        assert all(s.cites and s.percent == 0 and s.is_waiting for states in found.values() for s in states)
