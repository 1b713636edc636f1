"""Screenshots of every main page for each role at phone and desk width, and every paper as PNG."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.test.testcases import LiveServerThread
from django.urls import reverse

from installs.files.keeping import read_bytes
from installs.jobs.models import Job
from installs.papers.models import Paper
from installs.people.models import User
from installs.people.sessions import SessionStore
from installs.work.runner import work_one

WIDTHS = {"desk": 1440, "phone": 390}
JOB_PAGES = (
    "job-book", "site", "foundation", "pour", "tower", "turbine", "ground-station", "permits", "inspections",
    "job-lists", "materials", "papers", "tower-torque",
)  # fmt: skip
OFFICE_PAGES = (
    "look-ahead",
    "next-day",
    "jobs",
    "crew-days",
    "plans",
    "all-papers",
    "people",
    "equipment",
    "turbine-models",
)
PHONE_PAGES = ("torque-log", "pour-card")


class Command(BaseCommand):
    help = "Write screenshots of the demo's pages and pictures of its papers into var/pictures."

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0)
        if not User.objects.exists():
            call_command("demo", stdout=self.stdout)
        if not User.objects.filter(username="alma").exists():
            raise CommandError("This database holds a firm's own jobs: set VAR_DIR to an empty folder.")
        folder = Path(settings.VAR_DIR) / "pictures"
        folder.mkdir(parents=True, exist_ok=True)
        while work_one("papers"):
            pass
        count = self._papers(folder) + self._pages(folder)
        self.stdout.write(f"{count} pictures in {folder}")

    def _papers(self, folder: Path) -> int:
        """Every page of every printed paper, 80 dots an inch."""
        import pypdfium2

        count = 0
        for paper in Paper.objects.exclude(file=None).select_related("job", "file"):
            if paper.file is None:
                continue  # not printed, as asked above
            pdf = pypdfium2.PdfDocument(read_bytes(paper.file))
            for number, page in enumerate(pdf, start=1):
                name = (
                    f"paper-{paper.job.number}-{paper.kind.replace(' ', '-')}-{paper.letter}-{number:02}.png"
                )
                page.render(scale=80 / 72).to_pil().save(folder / name)
                count += 1
        return count

    def _pages(self, folder: Path) -> int:
        from playwright.sync_api import sync_playwright

        shots = list(self._wanted())
        cookies = {name: _session(name) for name in {user for user, _, _ in shots}}
        # Playwright keeps an event loop in this thread; the server has threads of its own
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
        server = LiveServerThread("127.0.0.1", StaticFilesHandler, connections_override={})
        server.daemon = True
        server.start()
        server.is_ready.wait()
        if server.error:
            raise CommandError(str(server.error))
        base = f"http://127.0.0.1:{server.port}"
        try:
            with sync_playwright() as play:
                browser = play.chromium.launch(
                    executable_path=os.environ.get("CHROMIUM") or "/usr/bin/chromium", args=["--no-sandbox"]
                )
                for user, name, path in shots:
                    for wide, px in WIDTHS.items():
                        context = browser.new_context(viewport={"width": px, "height": 900})
                        context.add_cookies(
                            [{"name": settings.SESSION_COOKIE_NAME, "value": cookies[user], "url": base}]
                        )
                        page = context.new_page()
                        answer = page.goto(base + path)
                        if answer is None or answer.status != 200:
                            self.stderr.write(f"{path} as {user}: {answer.status if answer else 'no answer'}")
                        page.screenshot(path=folder / f"{name}-{user}-{wide}.png", full_page=True)
                        context.close()
                browser.close()
        finally:
            server.terminate()
            connections.close_all()
        return len(shots) * len(WIDTHS)

    def _wanted(self) -> Iterator[tuple[str, str, str]]:
        """(person, name of the picture, address)."""
        jobs = list(Job.objects.order_by("number"))
        for page in OFFICE_PAGES:
            yield "alma", page, reverse(page)
        for job in jobs:
            for page in JOB_PAGES:
                yield "alma", f"{job.number}-{page}", reverse(page, args=[job.number])
        curing, lifting = jobs[2], jobs[1]
        for person in ("ben", "nadia", "tilda"):
            yield person, "day-sheet", reverse("day-sheet")
            yield person, f"{curing.number}-job-book", reverse("job-book", args=[curing.number])
        for page in PHONE_PAGES:
            for job in (lifting, curing):
                yield "ben", f"{job.number}-{page}", reverse(page, args=[job.number])
        for key in ("forming", "tower lift"):
            yield (
                "ben",
                f"{lifting.number}-list-{key.replace(' ', '-')}",
                reverse("phone-list", args=[lifting.number, key]),
            )
        for page in ("foundation", "pour", "job-book"):
            yield "lindqvist", f"{jobs[3].number}-{page}", reverse(page, args=[jobs[3].number])


def _session(username: str) -> str:
    """A signed-in session of a demo person, made without the password."""
    user = User.objects.get(username=username)
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.create()
    return str(session.session_key)
