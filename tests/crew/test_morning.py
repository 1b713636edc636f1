"""The morning pages: constant number of queries, the right person called, nothing overlapping."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from crew.morning.look_ahead import lines
from crew.morning.office import load_morning
from crew.morning.strip import GateMark, Span, StripRow, strip_svg
from crew.plan.models import Crew, CrewDay
from installs.checklists.models import Device
from installs.checklists.services import copy_lists
from installs.inspection.models import Inspection
from installs.inspection.services import answer_correction, record_inspection
from installs.jobs.kept import Kept
from installs.jobs.services import open_deviation
from tests.make import alma, make_job, make_person

pytestmark = pytest.mark.django_db


def full_job(crew):
    """A job with everything that the pages load."""
    now = timezone.now()
    ben = crew.foreman
    job = make_job(members=(ben,), at=now)
    copy_lists(job, by=ben, at=now)
    today = job.local(now).date()
    job.permits.create(
        kind="building", asked_of="County", asked_on=today, promised_on=today + timedelta(days=9)
    )
    old = CrewDay.objects.create(
        job=job,
        phase="ground station",
        on=today,
        crew=crew,
        made_at=now,
        made_by=ben,
        struck_at=now,
        struck_by=ben,
        struck_why="wind",
    )
    CrewDay.objects.create(
        job=job,
        phase="ground station",
        on=today + timedelta(days=2),
        crew=crew,
        made_at=now,
        made_by=ben,
        moved_from=old,
    ).people.add(ben)
    job.phases.create(key="survey", started_at=now, started_by=ben)
    open_deviation(job, "frozen edge", "blanket blew off", by=ben, at=now)
    return job


def queries_of(client, path):
    """Queries of a page that is not kept, after everything that is loaded once a process."""
    client.get(path)
    Kept.forget()
    with CaptureQueriesContext(connection) as queries:
        assert client.get(path).status_code == 200
    return len(queries)


@pytest.mark.parametrize("path", ["/look-ahead/", "/crew-days/", "/next-day/"])
def test_the_number_of_queries_does_not_grow_with_the_number_of_jobs(client, path):
    client.force_login(alma())
    ben = make_person()
    crew = Crew.objects.create(name="Pad crew", foreman=ben)
    Device.objects.create(uuid="0" * 32, person=ben, heard_at=timezone.now(), waiting=1)
    full_job(crew)
    few = queries_of(client, path)
    for _ in range(6):
        full_job(crew)
    assert queries_of(client, path) == few


def test_the_job_books_queries_do_not_grow_with_the_record(client):
    client.force_login(alma())
    crew = Crew.objects.create(name="Pad crew", foreman=make_person())
    job = full_job(crew)
    url = f"/jobs/{job.number}/"
    few = queries_of(client, url)
    for _ in range(5):
        open_deviation(job, "frozen edge", "again", by=crew.foreman, at=timezone.now())
    assert queries_of(client, url) == few


def test_a_page_is_made_anew_when_the_record_changes(client):
    client.force_login(alma())
    job = make_job()
    client.get("/look-ahead/")
    now = timezone.now()
    job.permits.create(kind="building", asked_of="County", asked_on=job.local(now).date())
    open_deviation(job, "frozen edge", "blanket blew off", by=alma(), at=now)
    assert b"frozen edge" in client.get("/look-ahead/").content


def test_a_kept_page_of_the_office_is_not_shown_to_others(client):
    client.force_login(alma())
    job = make_job(owner="Orrin Secret")
    assert b"Orrin Secret" in client.get("/look-ahead/").content
    client.force_login(make_person())
    assert b"Orrin Secret" not in client.get("/look-ahead/").content
    assert job


def test_a_promise_that_is_due_calls_a_person_today():
    job = make_job()
    now = timezone.now()
    today = job.local(now).date()
    job.permits.create(kind="building", asked_of="Juniper County", asked_on=today, promised_on=today)
    line = lines(load_morning(now, alma()))[0]
    assert line.calls == ("Ask Juniper County for the building permit today.",)


def test_the_head_counts_what_is_underlined_not_the_jobs(client):
    client.force_login(alma())
    job = make_job()
    today = job.local(timezone.now()).date()
    for kind in ("building", "airspace"):
        job.permits.create(kind=kind, asked_of="County", asked_on=today, promised_on=today)
    assert b"2 items need action today" in client.get("/look-ahead/").content


def test_a_promise_of_tomorrow_calls_nobody():
    job = make_job()
    now = timezone.now()
    today = job.local(now).date()
    job.permits.create(
        kind="building", asked_of="County", asked_on=today, promised_on=today + timedelta(days=1)
    )
    assert lines(load_morning(now, alma()))[0].calls == ()


def test_silence_of_a_phone_is_not_all_sent():
    now = timezone.now()
    job = make_job(members=(make_person(),))
    assert lines(load_morning(now, alma()))[0].phones == ()
    assert job


FIRST = date(2031, 4, 28)


def texts(svg):
    root = ElementTree.fromstring(svg)
    return list(root.iter("{http://www.w3.org/2000/svg}text"))


def test_labels_of_a_crowded_row_never_overlap_and_the_most_needed_stays():
    spans = tuple(
        Span("lattice", FIRST + timedelta(days=n), FIRST + timedelta(days=n), f"label {n}", rank=n)
        for n in range(12)
    )
    svg = strip_svg([StripRow("2031-001", "Owner", spans)], FIRST, 70, FIRST)
    labels = [(float(t.get("x")), t.text) for t in texts(svg) if (t.text or "").startswith("label")]
    assert "label 0" in [text for _, text in labels]
    for (x, text), (other, _) in pairwise(sorted(labels)):
        assert other >= x + 6 * len(text)


def test_a_gate_that_was_passed_shows_initials_and_date_and_a_closed_one_is_blank():
    spans = (Span("wiring", FIRST, FIRST + timedelta(days=40), "wiring"),)
    gates = (GateMark(FIRST + timedelta(days=10), "IT May 7"), GateMark(FIRST + timedelta(days=30)))
    svg = strip_svg([StripRow("2031-001", "Owner", spans, gates)], FIRST, 70, FIRST)
    assert "IT May 7" in [t.text for t in texts(svg)]


def test_forty_rows_make_a_well_formed_strip():
    rows = [
        StripRow(f"2031-{n:03}", "A & B <Owner>", (Span("hook", FIRST, FIRST, "lift"),)) for n in range(40)
    ]
    assert "A & B <Owner>" in [t.text for t in texts(strip_svg(rows, FIRST, 70, FIRST))]


def test_an_inspection_that_did_not_pass_is_named_until_it_was_put_right_and_seen_again():
    job, now = make_job(), timezone.now()
    seen = {"kind": "footing", "inspector": "D. Arneson", "inspected_on": job.local(now).date()}
    visit = Inspection(**seen, passed=False)
    by = alma()
    record_inspection(job, visit, by=by, at=now, corrections=["Bars 2 in off the ground", "Dirt in the form"])
    first = lines(load_morning(now, by))[0].calls[-1]
    assert first.endswith("did not pass: answer 2 corrections, then ask for the next visit.")
    for correction in visit.corrections.all():
        answer_correction(correction, "Done.", by=by, at=now)
    assert lines(load_morning(now, by))[0].calls[-1].endswith("did not pass: ask for the next visit.")
    record_inspection(job, Inspection(**seen, passed=True, number="F-2"), by=by, at=now)
    assert not any("visit" in said for said in lines(load_morning(now, by))[0].calls)
