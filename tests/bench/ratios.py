"""Server time of the main pages with 300 jobs against an empty signed-in page, side by side in one process.

``make bench``. Prints a table and asserts nothing: a benchmark, not a test. Works on a database of its own
in a temporary folder (or on DATABASE_URL, which must name an empty database).
"""

from __future__ import annotations

import io
import os
import statistics
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ["DJANGO_SETTINGS_MODULE"] = "installs.settings"
JOBS = int(os.environ.get("BENCH_JOBS", "300"))
ROUNDS = 15


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
        report(*fill())


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


def fill() -> tuple[Any, str]:
    """Jobs in every state, each with members, permits, finished phases, the demo's releases and crew days."""
    from django.core.management import call_command
    from django.utils import timezone

    from crew.models import Crew
    from installs.jobs.models import DesignRevision, Job
    from tests.make import alma, make_job, make_person

    call_command("demo", stdout=io.StringIO())
    released = {revision.part: revision for revision in DesignRevision.objects.order_by("released_at")}
    now = timezone.now()
    office, people = alma(), [make_person() for _ in range(8)]
    crews = [
        Crew.objects.create(name=f"Bench crew {n + 1}", foreman=person) for n, person in enumerate(people[:3])
    ]
    for n in range(JOBS):
        members = (people[n % 8], people[(n + 3) % 8])
        job = make_job(by=office, members=members, number=f"2131-{n + 1:03}", at=now - timedelta(days=60))
        history(job, n, office, crews[n % 3], released, now)
    return office, Job.objects.order_by("-number")[JOBS // 2].number


def history(job: Any, n: int, office: Any, crew: Any, released: dict[str, Any], now: datetime) -> None:
    from crew.models import CrewDay
    from installs.jobs.models import PhaseState
    from installs.jobs.phases import PHASES
    from installs.permits.models import Permit, PermitKind

    start, today = now - timedelta(days=50), now.date()
    by_office = {"started_by": office, "finished_by": office}
    for phase in PHASES[: n % len(PHASES)]:
        end = start + timedelta(days=1)
        PhaseState.objects.create(job=job, key=phase.key, started_at=start, finished_at=end, **by_office)
    for revision in released.values():  # a copy of the demo's, under this job
        revision.pk, revision.job = None, job
        revision.save(force_insert=True)
    for kind in (PermitKind.BUILDING, PermitKind.LOCATE, PermitKind.ELECTRICAL):
        Permit.objects.create(job=job, kind=kind, asked_of="county", asked_on=today - timedelta(days=40))
    for day in range(3):
        on = today + timedelta(days=(n * 3 + day) % 60 - 10)
        phase = PHASES[n % len(PHASES)].key
        CrewDay.objects.create(job=job, phase=phase, on=on, crew=crew, made_at=start, made_by=office)


def report(office: Any, number: str) -> None:
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    client = Client()
    client.force_login(office)
    pages = ["/empty/", "/jobs/", "/look-ahead/", "/crew-days/", "/next-day/", f"/jobs/{number}/"]

    def once(page: str) -> float:
        begun = time.perf_counter()
        answer = client.get(page)
        spent = time.perf_counter() - begun
        assert answer.status_code == 200, f"{page}: {answer.status_code}"
        return spent

    times: dict[str, list[float]] = {page: [] for page in pages}
    for page in pages:
        once(page)
    for _ in range(ROUNDS):  # in turn, so that whatever else the machine does meets every page alike
        for page in pages:
            times[page].append(once(page))
    base = statistics.median(times["/empty/"])
    print(f"{JOBS} jobs, {connection.vendor}, median of {ROUNDS}\n")
    print(f"{'page':<20}{'queries':>8}{'ms':>9}{'ratio':>8}")
    for page in pages:
        with CaptureQueriesContext(connection) as queries:
            once(page)
        spent = statistics.median(times[page])
        print(f"{page:<20}{len(queries):>8}{spent * 1000:>9.1f}{spent / base:>8.1f}")


if __name__ == "__main__":
    main()
