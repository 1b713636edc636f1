"""The papers' page: who may do what, how a paper is followed, and the file."""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from installs.jobs.services import add_member
from installs.papers.models import Paper
from installs.papers.services import attach_seal, order_paper
from installs.work.models import State, WorkRequest
from installs.work.runner import work_one
from tests.make import AT, cleo, make_person
from tests.papers.conftest import as_if_printed, pdf

pytestmark = pytest.mark.django_db


@pytest.fixture
def at_the_desk(client, office):
    client.force_login(office)
    return client


def url(name, job, *args):
    return reverse(name, args=[job.number, *args])


def test_the_page_offers_what_can_be_ordered_and_says_what_is_missing(at_the_desk, job):
    page = at_the_desk.get(url("papers", job)).content.decode()
    assert "Order permit packet" in page and "Foundation is not released." in page
    assert "Nothing has been printed for this job." in page


def test_ordering_before_the_releases_answers_422_in_words(at_the_desk, job):
    answer = at_the_desk.post(url("order-paper", job), {"kind": "permit packet"})
    assert answer.status_code == 422 and "Tower is not released." in answer.content.decode()


@pytest.mark.parametrize("kind", ["", "x" * 5000, "permit\x00packet", "Ünbekannt"])
def test_a_kind_that_is_none_answers_422(at_the_desk, job, kind):
    assert at_the_desk.post(url("order-paper", job), {"kind": kind}).status_code == 422


def test_a_paper_is_followed_every_two_seconds_and_then_downloaded(at_the_desk, job, released):
    at_the_desk.post(url("order-paper", job), {"kind": "permit packet"})
    paper = Paper.objects.get()
    page = at_the_desk.get(url("papers", job)).content.decode()
    assert 'hx-trigger="every 2s"' in page and "to see progress" in page
    assert at_the_desk.get(url("paper-file", job, paper.pk)).status_code == 404
    work_one("papers")
    line = at_the_desk.get(url("paper-state", job, paper.pk), headers={"HX-Request": "true"}).content.decode()
    assert "hx-trigger" not in line and "Download, " in line and "<html" not in line
    answer = at_the_desk.get(url("paper-file", job, paper.pk))
    assert answer["Content-Type"] == "application/pdf"
    assert b"".join(answer.streaming_content).startswith(b"%PDF-")


def test_without_htmx_the_state_is_the_page(at_the_desk, job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    assert at_the_desk.get(url("paper-state", job, paper.pk)).url == url("papers", job)


def test_progress_is_shown_in_words(at_the_desk, job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    WorkRequest.objects.filter(pk=paper.work_id).update(
        progress_text="Setting the calculations", progress_share=0.5
    )
    assert "Setting the calculations" in at_the_desk.get(url("papers", job)).content.decode()


def test_a_failed_paper_says_why_and_offers_to_try_again(at_the_desk, job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    WorkRequest.objects.filter(pk=paper.work_id).update(state=State.FAILED, error="The disk is full.")
    page = at_the_desk.get(url("papers", job)).content.decode()
    assert "The disk is full." in page and "Try again" in page
    at_the_desk.post(url("paper-again", job, paper.pk))
    paper.work.refresh_from_db()
    assert paper.work.state == State.QUEUED


def test_a_waiting_paper_can_be_cancelled_and_tried_again(at_the_desk, job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    at_the_desk.post(url("paper-stop", job, paper.pk))
    assert not work_one("papers")
    assert "cancelled before it was printed" in at_the_desk.get(url("papers", job)).content.decode()


def test_trying_again_what_has_not_failed_is_said(at_the_desk, job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    answer = at_the_desk.post(url("paper-again", job, paper.pk))
    assert answer.status_code == 422 and "nothing to try again" in answer.content.decode()


def test_the_page_says_in_words_that_a_paper_is_superseded(at_the_desk, job, released, office):
    from tests.papers.conftest import release

    order_paper(job, "permit packet", by=office, at=AT)
    release(job, "foundation", office, at=AT + timedelta(days=1), side_ft=18.0)
    assert (
        "Superseded: foundation release B is in force."
        in at_the_desk.get(url("papers", job)).content.decode()
    )


def test_a_bad_seal_is_said_at_its_field_and_nothing_is_kept(at_the_desk, job, released, office, engineer):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(paper)
    answer = at_the_desk.post(
        url("paper-seal", job, paper.pk),
        {
            "file": SimpleUploadedFile("s.pdf", b"not one"),
            "engineer": engineer.pk,
            "sealed_on": "2031-05-05",
            "sheets": ["F-1"],
        },
    )
    assert answer.status_code == 422 and "This is not a PDF." in answer.content.decode()
    empty = at_the_desk.post(url("paper-seal", job, paper.pk), {})
    assert empty.status_code == 422 and empty.content.decode().count("<li>This field is required.") == 4
    assert not job.sealed_sheets.exists()


def test_the_page_names_the_sheets_that_bear_a_seal(at_the_desk, job, released, office, engineer):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(paper)
    attach_seal(paper, pdf(), engineer, AT.date(), sheets=["F-1"], by=office, at=AT)
    page = " ".join(at_the_desk.get(url("papers", job)).content.decode().split())
    assert f"F-1 sealed by {engineer.named}, May 5, 2031; the other sheets are not sealed." in page


def test_another_job_s_paper_is_not_found_under_this_number(at_the_desk, job, released, office):
    from tests.make import make_job

    other = make_job(by=office)
    paper = order_paper(job, "permit packet", by=office, at=AT)
    for name in ("paper-file", "paper-state"):
        assert at_the_desk.get(url(name, other, paper.pk), headers={"HX-Request": "true"}).status_code == 404
    for name in ("paper-again", "paper-stop", "paper-seal"):
        assert at_the_desk.post(url(name, other, paper.pk)).status_code == 404


def test_a_stranger_sees_neither_page_nor_file(client, job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(paper)
    client.force_login(cleo())
    assert client.get(url("papers", job)).status_code == 404
    assert client.get(url("paper-file", job, paper.pk)).status_code == 404
    assert job.number not in client.get(reverse("all-papers")).content.decode()


def test_a_foreman_reads_papers_but_orders_none(client, job, released, office):
    ben = make_person("Ben Osgood", "foreman")
    add_member(job, ben, by=office, at=AT)
    paper = order_paper(job, "permit packet", by=office, at=AT)
    as_if_printed(paper)
    client.force_login(ben)
    page = client.get(url("papers", job)).content.decode()
    assert "Download" in page and "Order permit packet" not in page
    answer = client.get(url("paper-file", job, paper.pk))
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content).startswith(b"%PDF-")
    assert client.post(url("order-paper", job), {"kind": "permit packet"}).status_code == 403


def test_the_office_sees_the_papers_of_all_jobs(at_the_desk, job, released, office):
    order_paper(job, "permit packet", by=office, at=AT)
    page = at_the_desk.get(reverse("all-papers")).content.decode()
    assert job.number in page and "being printed" in page


def test_the_frozen_inputs_can_be_taken_out_and_have_the_hash_shown(at_the_desk, job, released, office):
    paper = order_paper(job, "permit packet", by=office, at=AT)
    content = at_the_desk.get(url("paper-inputs", job, paper.pk)).content
    assert hashlib.sha256(content).hexdigest() == paper.inputs_sha256
    assert json.loads(content)["job"]["owner"] == job.owner
