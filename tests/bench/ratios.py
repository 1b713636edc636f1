"""CPU of the office's pages over many jobs against an empty signed-in page, side by side in one process.

``make bench``. For 30, 300 and 1,000 jobs (BENCH_JOBS=30,300 for fewer) it prints each page's first view in a
process, its view after one change to one job and how much of that is not spent in templates, what goes over
the line to a page that is open, and its view while nothing changes. Prints tables and asserts nothing: a
benchmark, not a test. Works on a database of its own in a temporary folder (or on DATABASE_URL, which must
name an empty database).
"""

from __future__ import annotations

import io
import os
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ["DJANGO_SETTINGS_MODULE"] = "installs.settings"
SIZES = [int(size) for size in os.environ.get("BENCH_JOBS", "30,300,1000").split(",")]
ROUNDS = 9


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ["VAR_DIR"] = folder
        import django

        django.setup()
        from django.conf import settings
        from django.core.management import call_command

        settings.ROOT_URLCONF = __name__
        settings.ALLOWED_HOSTS = ["testserver"]
        settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
        urlpatterns.extend(urls())
        call_command("migrate", verbosity=0)
        firm = begin()
        for size in SIZES:
            fill(firm, size)
            report(firm, size)


urlpatterns: list[Any] = []


def urls() -> list[Any]:
    """The project's own urls and one page that is nothing but the frame every page has."""
    from django.http import HttpRequest, HttpResponse
    from django.template import engines
    from django.urls import include, path

    from installs.people.access import allow

    @allow("see")
    def empty(request: HttpRequest) -> HttpResponse:
        template = engines["django"].from_string('{% extends "base.html" %}')
        return HttpResponse(template.render({}, request))

    return [path("empty/", empty), path("", include("installs.urls"))]


@dataclass
class Firm:
    """Who the jobs of the benchmark belong to, and the demo's releases that each of them gets a copy of."""

    office: Any
    people: list[Any]
    crews: list[Any]
    released: dict[str, Any]
    now: datetime
    jobs: list[Any]


def begin() -> Firm:
    from django.core.management import call_command
    from django.utils import timezone

    from crew.models import Crew
    from installs.jobs.models import DesignRevision
    from tests.make import alma, make_person

    call_command("demo", stdout=io.StringIO())
    released = {revision.part: revision for revision in DesignRevision.objects.order_by("released_at")}
    people = [make_person() for _ in range(8)]
    crews = [
        Crew.objects.create(name=f"Bench crew {n + 1}", foreman=person) for n, person in enumerate(people[:3])
    ]
    return Firm(alma(), people, crews, released, timezone.now(), [])


def fill(firm: Firm, size: int) -> None:
    """Jobs in every state, each with members, permits, finished phases, the demo's releases and crew days."""
    from tests.make import make_job

    for n in range(len(firm.jobs), size):
        members = (firm.people[n % 8], firm.people[(n + 3) % 8])
        opened = firm.now - timedelta(days=60)
        job = make_job(by=firm.office, members=members, number=f"2131-{n + 1:04}", at=opened)
        history(job, n, firm.office, firm.crews[n % 3], firm.released, firm.now)
        firm.jobs.append(job)


def history(job: Any, n: int, office: Any, crew: Any, released: dict[str, Any], now: datetime) -> None:
    from crew.models import CrewDay
    from installs.jobs.models import PhaseState
    from installs.jobs.phases import ENERGIZING, PHASES
    from installs.permits.models import Permit, PermitKind

    start, today = now - timedelta(days=50), now.date()
    by_office = {"started_by": office, "finished_by": office}
    for phase in PHASES[: n % len(PHASES)]:
        end = start + timedelta(days=1)
        PhaseState.objects.create(job=job, key=phase.key, started_at=start, finished_at=end, **by_office)
    runs = n % len(PHASES) == len(PHASES) - 1  # the turbine runs: only maintenance is to come
    for step in ENERGIZING if runs else ():
        PhaseState.objects.create(job=job, key=step, started_at=start, **by_office)
    for revision in released.values():  # a copy of the demo's, under this job
        revision.pk, revision.job = None, job
        revision.save(force_insert=True)
    for kind in (PermitKind.BUILDING, PermitKind.LOCATE, PermitKind.ELECTRICAL):
        granted = today - timedelta(days=20) if runs else None
        asked_on = today - timedelta(days=40)
        Permit.objects.create(job=job, kind=kind, asked_of="county", asked_on=asked_on, granted_on=granted)
    for day in range(0 if runs else 3):
        on = today + timedelta(days=(n * 3 + day) % 60 - 10)
        phase = PHASES[n % len(PHASES)].key
        CrewDay.objects.create(job=job, phase=phase, on=on, crew=crew, made_at=start, made_by=office)


@dataclass
class Measured:
    """CPU of one page in seconds, queries, and bytes."""

    first: float
    changed: list[float]
    beyond: list[float]  # of the view after a change, what is not spent in templates
    queries: int
    kept: list[float]
    page: int
    line: int  # what a page that is open is sent after one change


def report(firm: Firm, size: int) -> None:
    from django.db import connection
    from django.test import Client

    client = Client()
    client.force_login(firm.office)
    number = firm.jobs[size // 2].number
    pages = ["/empty/", "/jobs/", "/look-ahead/", "/crew-days/", "/next-day/", f"/jobs/{number}/"]
    for page in pages:  # what is loaded once a process
        client.get(page)
    found = {page: first_view(client, page) for page in pages}
    for round_ in range(ROUNDS):  # in turn, so that whatever else the machine does meets every page alike
        for page in pages:
            change(firm, firm.jobs[(7 * round_) % size])
            with in_templates() as spent:
                found[page].changed.append(cpu_of(client, page)[0])
            found[page].beyond.append(found[page].changed[-1] - sum(spent))
            found[page].kept.append(cpu_of(client, page)[0])
    for page in pages:
        after_a_change(client, page, firm, found[page])
    table(found, size, connection.vendor)


def change(firm: Firm, job: Any) -> None:
    """One line in one job's log, as every entry and every service leaves one."""
    from django.utils import timezone

    from installs.jobs.services import open_deviation

    open_deviation(job, "frozen edge", "blanket blew off", by=firm.office, at=timezone.now())


def cpu_of(client: Any, page: str) -> tuple[float, Any]:
    begun = time.process_time()
    answer = client.get(page)
    spent = time.process_time() - begun
    assert answer.status_code == 200, f"{page}: {answer.status_code}"
    return spent, answer


@contextmanager
def in_templates() -> Iterator[list[float]]:
    """CPU of each template that is rendered meanwhile; of one inside another the outer one's."""
    from django.template.base import Template

    plain, spent, inside = Template.render, list[float](), False

    def render(self: Any, context: Any) -> Any:
        nonlocal inside
        if inside:
            return plain(self, context)
        begun, inside = time.process_time(), True
        try:
            return plain(self, context)
        finally:
            inside = False
            spent.append(time.process_time() - begun)

    Template.render = render
    try:
        yield spent
    finally:
        Template.render = plain


def first_view(client: Any, page: str) -> Measured:
    from installs.jobs.kept import Kept

    Kept.forget()
    spent, answer = cpu_of(client, page)
    return Measured(spent, [], [], 0, [], len(answer.content), 0)


def after_a_change(client: Any, page: str, firm: Firm, found: Measured) -> None:
    """Queries of the view, and what the open page is sent, after a change to a job that it shows."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    shown = client.get(page).content.decode()
    on_it = re.search(r"/jobs/(2131-\d+)/", shown)
    job = next((job for job in firm.jobs if on_it and job.number == on_it[1]), firm.jobs[0])
    change(firm, job)
    asks = re.search(r'id="live"[^>]* hx-get="([^"]+)"', shown)
    if asks:
        rows = re.findall(r'id="([a-z]+-[0-9]+)" data-row="([0-9a-f]+)"', shown)
        carried = ".".join(f"{key}_{digest}" for key, digest in rows)
        found.line = len(client.get(asks[1].replace("&amp;", "&") + f"&rows={carried}").content)
    change(firm, job)
    with CaptureQueriesContext(connection) as queries:
        client.get(page)
    found.queries = len(queries)


def table(found: dict[str, Measured], size: int, vendor: str) -> None:
    base = statistics.median(found["/empty/"].kept)
    print(f"\n{size} jobs, {vendor}, CPU in ms, median of {ROUNDS}; x: empty pages of {base * 1000:.1f} ms")
    heads = "".join(
        f"{head:>9}"
        for head in ("first", "changed", "x", "beyond", "queries", "kept", "x", "page kB", "sent kB")
    )
    print(f"{'page':<18}{heads}")
    for page, m in found.items():
        changed, kept, beyond = map(statistics.median, (m.changed, m.kept, m.beyond))
        spent = f"{m.first * 1000:>9.1f}{changed * 1000:>9.1f}{changed / base:>9.1f}"
        spent += f"{beyond * 1000:>9.1f}{m.queries:>9}"
        kept_too = f"{kept * 1000:>9.1f}{kept / base:>9.1f}{m.page / 1000:>9.1f}{m.line / 1000:>9.1f}"
        print(f"{page:<18}{spent}{kept_too}", flush=True)


if __name__ == "__main__":
    main()
