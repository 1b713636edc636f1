"""Torque sheets to write on: each joint's bolts by number, with what is on record and crossed out."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.checklists.taking import take_entry
from installs.papers.catalog import PACKETS
from installs.papers.gathering import gather
from installs.papers.pages import documents
from installs.pour.by_hand import cure_pages, truck_pages
from installs.tower.by_hand import torque_pages
from tests.papers.laid_out import laid_out, rows_to_write
from tests.papers.printed_words import faults
from tests.tower.test_key_in import BOLTS, PASSES, check, strokes

pytestmark = pytest.mark.django_db


def bolts(job, joint=0):
    return {row["name"]: row for row in torque_pages(job)[joint]["bolts"]}


def test_every_joint_has_a_sheet_and_every_bolt_a_row_by_its_number(paper, job):
    first, second = torque_pages(job)
    assert [row["name"] for row in first["bolts"]] == BOLTS
    assert len(second["bolts"]) == 16 and second["title"].startswith("Torque sheet, joint 2")
    assert all(row["write"] and not any(cell["told"] for cell in row["cells"]) for row in first["bolts"])


def test_a_pass_on_record_is_printed_with_who_when_and_value_and_open_ones_are_blank(paper, job, yesterday):
    paper(
        pass_2_clock="9:41",
        pass_2_turned="B4",
        pass_3_clock="10:05",
        bolt_A1_done="on",
        bolt_A1_clock="10:11",
    )
    wanted = [p.torque_ft_lb for p in _passes(job)]
    snug, second, last = bolts(job)["A1"]["cells"]
    assert snug["told"] is None
    assert (second["told"]["by"], second["told"]["value"]) == ("BO", f"{wanted[1]:g} ft-lb")
    assert second["told"]["clock"] == "9:41 AM" and str(yesterday.year) in second["told"]["day"]
    assert (last["told"]["clock"], last["told"]["value"]) == ("10:11 AM", f"{wanted[2]:g} ft-lb")
    assert bolts(job)["B4"]["cells"][1]["failed"] and bolts(job)["B4"]["cells"][1]["told"] is None
    assert bolts(job)["A2"]["cells"][2]["told"] is None


def test_what_was_crossed_out_or_corrected_is_printed_crossed_out_with_why(client, paper, job, office):
    paper(**PASSES, **strokes(["A1", "A2"]))
    now = timezone.now()
    bolt = job.entries.get(subject="joint 1 pass 3 bolt A2")
    crossed = {"corrects": bolt.uuid, "text": "was A3", "data": {"struck": True}}
    take_entry(job, by=office, received_at=now, taken_at=now, code=bolt.code, subject=bolt.subject, **crossed)
    cell = bolts(job)["A2"]["cells"][2]
    assert cell["told"] is None and [line["clock"] for line in cell["struck"]] == ["10:05 AM"]
    own = torque_pages(job)[0]["own"]
    assert [(line["bolt"], line["why"]) for line in own] == [("A2", "crossed out by AR: was A3")]
    copy = client.get(reverse("job-list", args=[job.number, "assembly"]) + "?paper").content.decode()
    assert "crossed out by AR: was A3" in copy and "<s>BO" in " ".join(copy.split()).replace("<s> ", "<s>")


def test_a_second_check_on_record_is_printed_on_the_joints_sheet(paper, job, office, crew):
    paper(**PASSES, **strokes(), **check(crew["kit"]))
    inputs = gather(job, PACKETS["checklists"], "A", by=office, at=timezone.now()).inputs
    [sheet] = [html for _said, html in documents(inputs) if "Torque sheet, joint 1" in html]
    assert "Second checker" in sheet and torque_pages(job)[0]["second_checks"][0]["turned"] == "none"


@pytest.mark.parametrize("pages", [torque_pages, truck_pages, cure_pages])
def test_no_page_to_write_on_takes_a_name_that_every_sheet_has(job, pages):
    """A sheet's "checks" are a part's verdicts, its "figures" a release's (installs/papers/pages.py)."""
    assert not {"checks", "figures"} & {key for page in pages(job) for key in page}


def test_rows_are_high_enough_for_a_glove_and_nothing_is_cut(paper, job, office):
    paper(**PASSES, **strokes(BOLTS[:9]))
    at = timezone.now()
    inputs = gather(job, PACKETS["checklists"], "A", by=office, at=at).inputs
    sheet = laid_out(inputs, "Torque sheet, joint 1", tight=True)
    found = list(rows_to_write(sheet))
    # 15 bolts, the last pass, six lines for bolts apart, two for checks
    assert len(found) == 15 + 1 + 6 + 2
    assert min(height for _page, height in found) >= 0.45
    assert faults(sheet.write_pdf()) == []


def _passes(job):
    from installs.tower.torque_log import load_torque

    return load_torque([job])[job.pk].joints[0].joint.passes
