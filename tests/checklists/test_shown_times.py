"""A time shown with an entry is when it happened: the phone's clock less what it was ahead of ours."""

from __future__ import annotations

import ast
import uuid
from datetime import timedelta
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.book.pages import rows
from installs.checklists.live import Live, arrivals
from installs.checklists.models import Device
from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.jobs.models import Job
from tests.make import alma, make_job, make_person

ROOT = Path(__file__).resolve().parents[2]
AHEAD = timedelta(minutes=47)
# who may ask the phone's own clock: the record that keeps it, and the lines of a paper not yet taken
KEEPERS = {
    "installs/checklists/services.py",
    "installs/checklists/models.py",
    "installs/checklists/key_in.py",
    "installs/tower/joint_sheet.py",
}


@pytest.fixture
def office(db):
    return alma()


@pytest.fixture
def entry(office):
    """Read twenty minutes ago on a phone whose clock is 47 minutes ahead, so by that clock still to come."""
    ben, now = make_person(), timezone.now()
    job = make_job(by=office, members=(ben,))
    copy_lists(job, by=office, at=now)
    phone = Device.objects.create(uuid=uuid.uuid4(), person=ben, heard_at=now, skew_s=AHEAD.total_seconds())
    happened = now - timedelta(minutes=20)
    return take_entry(
        job, by=ben, received_at=now, taken_at=happened + AHEAD, code="B07", number=52.0, device=phone
    ).entry


def at_site(entry) -> str:
    return f"{entry.job.local(entry.received_at - timedelta(minutes=20)):%H:%M}"


def test_on_the_rows_of_a_checklist(client, office, entry):
    client.force_login(office)
    url = reverse("job-list", args=[entry.job.number, entry.item.list.key])
    shown = f"{entry.job.local(entry.received_at - timedelta(minutes=20)):%I:%M %p}".lstrip("0")
    assert f"{shown}</span>" in client.get(url).content.decode()


def test_in_the_day_log_of_the_job_book(entry):
    lines = [line for row in rows(entry.job, entry.received_at) for line in row.lines if "B07" in line.words]
    assert [f"{entry.job.local(line.at):%H:%M}" for line in lines if "52" in line.words] == [at_site(entry)]


def test_among_what_arrived_while_a_page_was_open(entry):
    jobs = Job.objects.filter(pk=entry.job_id)
    line = next(
        a for a in arrivals(jobs, Live("", "", entry=0, event=0)) if "B07" in a.words and "52" in a.words
    )
    assert f"{line.at:%H:%M}" == at_site(entry)
    assert line.late, "20 minutes without signal are said, whatever the phone's clock"


def test_no_page_asks_the_phones_own_clock():
    asked = {
        str(path.relative_to(ROOT))
        for top in ("installs", "crew")
        for path in (ROOT / top).rglob("*.py")
        if "migrations" not in path.parts
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr == "taken_at"
    }
    asked |= {
        str(path.relative_to(ROOT))
        for path in (ROOT / "templates").rglob("*.html")
        if ".taken_at" in path.read_text(encoding="utf-8")
    }
    assert asked == KEEPERS
