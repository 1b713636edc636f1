"""What a page may cost: queries of every page of every job of the demo, and bytes of the office's pages."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from cProfile import Profile
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from crew.demo.build import build
from crew.morning.sheets import SHEET
from crew.plan.models import Crew, CrewDay
from installs.checklists.services import copy_lists
from installs.jobs.kept import Kept
from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.jobs.phases import ENERGIZING, PHASES
from installs.jobs.services import open_deviation
from installs.people.models import User
from tests.house.page_forms import forms_of
from tests.make import alma, make_job, make_person

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_OF_A_REDRAW = 40, 60
MOST_BYTES = 250_000


def job_pages(resolver, prefix: str = "") -> Iterator[tuple[str, str]]:
    """Name and path of every page that needs no more than the job's number."""
    for entry in resolver.url_patterns:
        path = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from job_pages(entry, path)
        elif isinstance(entry, URLPattern) and path.startswith("jobs/<str:number>/") and path.count("<") == 1:
            yield entry.name, path


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_every_page_of_every_job_of_the_demo_keeps_its_budget_of_queries_and_bytes(client, demo):
    client.force_login(User.objects.get(username="alma"))
    over = []
    for job in Job.objects.all():
        for name, path in job_pages(get_resolver()):
            Kept.forget()
            with CaptureQueriesContext(connection) as queries:
                page = client.get("/" + path.replace("<str:number>", job.number))
            asked, size = len(queries), len(page.getvalue())
            if asked > MOST_QUERIES or size > MOST_BYTES:
                over.append(f"{name} of {job.number}: {asked} queries, {size:,} bytes")
    assert over == []


@pytest.fixture(
    params=[None, *(pytest.param(clock, marks=pytest.mark.prove) for clock in (time(0, 2), time(23, 58)))]
)
def demo(request, db, prepared_demo, settings):
    """As it is prepared; in full depth also one that was built at the beginning and at the end of a day."""
    if request.param is None:
        settings.STORAGES = prepared_demo.storages
        prepared_demo.put()
        return
    built = datetime.combine(timezone.now().date(), request.param, ZoneInfo("America/Chicago"))
    build(built if built <= timezone.now() else built - timedelta(days=1))


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_a_design_page_and_its_redraw_review_each_part_once(client, demo):
    client.force_login(User.objects.get(username="alma"))
    reviews = {part.review.__code__: key for key, part in TABLE.items()}
    wrong, redrawn = [], 0
    for job in Job.objects.all():
        for part in TABLE.values():
            url = reverse(part.page, args=[job.number])
            page, again = _watched(client.get, url, reviews)
            form = next(
                (f for f in forms_of(page.content.decode(), url) if ("do", "look") in f.buttons), None
            )
            wrong += [f"{url} reviews {key} {n} times" for key, n in again.items()]
            if form is None:
                continue
            with CaptureQueriesContext(connection) as queries:
                data = {**form.filled(), "do": "look"}
                _, again = _watched(client.post, form.action, reviews, data, headers={"HX-Request": "true"})
            wrong += [f"a redraw of {url} reviews {key} {n} times" for key, n in again.items()]
            if len(queries) > MOST_OF_A_REDRAW:
                wrong.append(f"a redraw of {url} asks {len(queries)} times")
            redrawn += 1
    assert wrong == [] and redrawn > len(TABLE)


def _watched(ask, url, reviews, *args, **kwargs):
    """The answer, and the parts that were reviewed more than once for it."""
    watched = Profile(subcalls=False, builtins=False)
    page = watched.runcall(ask, url, *args, **kwargs)
    counts = Counter()
    for entry in watched.getstats():
        if entry.code in reviews:
            counts[reviews[entry.code]] += entry.callcount
    return page, {key: n for key, n in counts.items() if n > 1}


@pytest.fixture
def office(client):
    person = alma()
    client.force_login(person)
    return person


def running_job(office, crew: Crew, n: int) -> Job:
    now = timezone.now()
    job = make_job(by=office, at=now, number=f"2031-{n:04}", owner=f"Owner of the farm number {n}")
    copy_lists(job, by=office, at=now)
    open_deviation(job, "frozen edge", "blanket blew off", by=office, at=now)
    on = job.local(now).date()
    CrewDay.objects.create(
        job=job, phase="ground station", on=on, crew=crew, made_at=now, made_by=office
    ).people.add(crew.foreman)
    return job


def finished_job(office) -> Job:
    now = timezone.now()
    job = make_job(by=office, at=now, number="2030-001", owner="Orrin Finished")
    for phase in PHASES[:-1]:
        job.phases.create(
            key=phase.key, started_at=now, started_by=office, finished_at=now, finished_by=office
        )
    for step in ENERGIZING:
        job.phases.get_or_create(key=step, defaults={"started_at": now, "started_by": office})
    open_deviation(job, "late line", "in the log", by=office, at=now).answers.create(
        decision="accept", reason="fine", answered_by=office, answered_at=now
    )
    return job


@pytest.mark.parametrize("name", ["look-ahead", "crew-days"])
def test_many_jobs_come_in_sheets_that_keep_the_budget_of_bytes_and_lose_no_job(client, office, name):
    crew = Crew.objects.create(name="Pad crew", foreman=make_person())
    jobs = [running_job(office, crew, n) for n in range(2 * SHEET + 3)]
    pages = [client.get(reverse(name), {"sheet": n}).content for n in (1, 2, 3)]
    assert max(map(len, pages)) < MOST_BYTES
    for job in jobs:
        assert sum(reverse("job-book", args=[job.number]).encode() in page for page in pages) == 1
    assert b"Sheet 3</a>" in pages[0] and b"Sheet 4" not in pages[0]
    row = re.compile(rb'<tr id="(?:job|day)-[1-9]')  # a week's own row has a zero there
    assert len(row.findall(client.get(reverse(name), {"sheet": "99"}).content)) == 3
    assert len(row.findall(client.get(reverse(name), {"sheet": "nonsense"}).content)) == SHEET


def test_finished_jobs_are_folded_away_and_one_link_shows_them(client, office):
    crew = Crew.objects.create(name="Pad crew", foreman=make_person())
    running, finished = running_job(office, crew, 1), finished_job(office)
    links = [f'href="{reverse("job-book", args=[job.number])}"' for job in (running, finished)]
    first = client.get(reverse("look-ahead")).content.decode()
    assert [link in first for link in links] == [True, False]
    assert "1 finished job" in first and "1 running job, 1 finished." in first
    folded = client.get(reverse("look-ahead"), {"sheet": 2}).content.decode()
    assert [link in folded for link in links] == [False, True]
    open_deviation(finished, "oil under the gearbox", "seen by the owner", by=office, at=timezone.now())
    assert links[1] in client.get(reverse("look-ahead")).content.decode()
