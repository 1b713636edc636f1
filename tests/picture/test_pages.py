"""Where the picture stands: job book, list of jobs, day sheets, title sheet; and that it is never old."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from crew.plan.models import Crew
from crew.plan.services import add_day
from installs.book.views import SHEET
from installs.checklists.services import copy_lists
from installs.foundation.models import FoundationDesign
from installs.jobs.kept import Kept
from installs.jobs.models import Job
from installs.jobs.services import open_deviation, write_event
from installs.papers.catalog import PACKETS
from installs.papers.gathering import side_view
from installs.papers.models import PaperKind
from tests.make import alma, cleo, make_job, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    person = alma()
    client.force_login(person)
    return person


def page(client, name: str, *args, **query) -> str:
    return client.get(reverse(name, args=args), query).content.decode()


def drafted(job: Job, by) -> None:
    FoundationDesign(job=job, side_ft=17.0).save()
    write_event(job, "draft kept", "Foundation draft changed.", by=by, at=timezone.now())


def test_the_job_book_of_an_empty_job_has_a_frame_that_leads_to_the_first_step(client, office) -> None:
    job = make_job(by=office)
    book = page(client, "job-book", job.number)
    assert "Nothing is drawn yet. First: turbine." in book
    assert f'<a href="{reverse("turbine", args=[job.number])}">First: turbine.</a>' in book


def test_what_was_drafted_is_in_the_picture_at_once(client, office) -> None:
    job = make_job(by=office)
    assert "17 ft wide" not in page(client, "job-book", job.number)
    drafted(job, office)
    for name, args in (("job-book", [job.number]), ("jobs", [])):
        shown = page(client, name, *args)
        assert "layer-concrete" in shown, name
    assert "17 ft wide, 4 ft thick" in page(client, "job-book", job.number)


def test_a_change_of_the_job_changes_its_picture_in_the_list_and_no_other_job_is_worked_out(
    client, office
) -> None:
    job, other = make_job(by=office), make_job(by=office)
    for each in (job, other):
        drafted(each, office)
    assert "held by D-1" not in page(client, "jobs")
    open_deviation(job, "frozen edge", "blanket blew off", by=office, at=timezone.now())
    after = page(client, "jobs")
    assert after.count(">Pad held by D-1<") == 1
    assert after.count("layer-mark") == 0, "a thumb has the words beside it"


def test_a_crew_day_is_the_next_step_in_the_list(client, office) -> None:
    job = make_job(by=office)
    page(client, "jobs")
    crew = Crew.objects.create(name="Pad crew", foreman=make_person())
    now = timezone.now()
    add_day(job, "excavation", job.local(now).date(), crew, by=office, at=now)
    assert "Dig the pad and tie the steel, today" in page(client, "jobs")


def test_the_queries_of_the_list_do_not_grow_with_the_jobs(client, office) -> None:
    def asked() -> int:
        Kept.forget()
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("jobs"))
        return len(queries)

    for _ in range(2):
        drafted(make_job(by=office), office)
    few = asked()
    for _ in range(8):
        job = make_job(by=office)
        drafted(job, office)
        copy_lists(job, by=office, at=timezone.now())
        open_deviation(job, "frozen edge", "blanket blew off", by=office, at=timezone.now())
    assert asked() <= few + 1


def test_the_list_comes_in_sheets_loses_no_job_and_finds_one_by_its_words(client, office) -> None:
    jobs = [make_job(by=office, owner=f"Owner number {n}", place="Plum Twp") for n in range(SHEET + 2)]
    make_job(by=office, owner="Harrow School", place="Cut Coulee", number="2031-900")
    pages = [page(client, "jobs", sheet=n) for n in (1, 2)]
    for job in jobs:
        assert sum(f">{job.number}</strong>" in each for each in pages) == 1
    found = page(client, "jobs", q="harrow coulee")
    assert "Harrow School" in found and "Owner number" not in found and "1 job with" in found
    assert "No job has these words." in page(client, "jobs", q="nowhere")
    assert page(client, "jobs", sheet="nonsense").count("job-number") == SHEET


def test_a_stranger_sees_neither_job_nor_picture(client, office) -> None:
    job = make_job(by=office)
    client.force_login(cleo())
    assert job.number not in page(client, "jobs")
    assert reverse("job-book", args=[job.number]) not in page(client, "jobs", q=job.number)


def test_the_day_sheet_of_a_foreman_has_the_picture_of_his_job_once(client, office) -> None:
    ben = make_person()
    now = timezone.now()
    job = make_job(by=office, members=(ben,))
    crew = Crew.objects.create(name="Pad crew", foreman=ben)
    for phase in ("excavation", "ground station"):
        add_day(job, phase, job.local(now).date(), crew, by=office, at=now)
    client.force_login(ben)
    sheet = page(client, "day-sheet")
    assert sheet.count('class="side-view"') == 1
    assert f"{job.number}, side view" in sheet


def test_title_sheet_and_list_of_the_handover_freeze_it_and_other_papers_do_not(office) -> None:
    job = make_job(by=office)
    drafted(job, office)
    at = timezone.now()
    for kind in (PaperKind.PERMIT_PACKET, PaperKind.CHECKLISTS):
        frozen = side_view(job, PACKETS[kind], at)
        assert "<svg" in frozen["svg"] and frozen["lines"][0]["title"] == "Pad"
        assert "drafted, not released" in frozen["lines"][0]["words"]
    assert side_view(job, PACKETS[PaperKind.TORQUE_LOG], at) == {}


def test_a_release_of_other_figures_than_todays_is_left_out_and_the_book_is_read(client, office) -> None:
    from tests.make import make_release

    job = make_job(by=office)
    make_release(job, "foundation", by=office, inputs={"side_ft": "wide"})
    assert client.get(reverse("job-book", args=[job.number])).status_code == 200
