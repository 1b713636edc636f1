"""The whole demo in a real browser: built once, put back before each test."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import pytest
from django.conf import settings as configured
from django.core.signals import request_finished, request_started
from django.db import connection
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from installs.jobs.models import Job
from installs.people.models import User
from tests.browser.chromium import ARGUMENTS, PROGRAM
from tests.browser.phone import CLOCK_OFF, list_path, patiently, quiet, wait_for_ready
from tests.served import PATIENCE_S

PATIENCE_MS = 1000 * PATIENCE_S
expect.set_options(timeout=PATIENCE_MS)
# what the browser writes for every page that answers 422, which is how a form says it was not taken, and for
# a service worker that the test does not want
EXPECTED = ("status of 422", "Service Worker registration blocked")


@dataclass
class Site:
    """The running site and the people who look at it. ``said`` is what the browser complained of.

    A test that cuts the network names what the browser will say of it in ``expected``.
    """

    url: str
    browser: Browser
    said: list[str] = field(default_factory=list)
    contexts: list[BrowserContext] = field(default_factory=list)
    expected: list[str] = field(default_factory=lambda: list(EXPECTED))

    def page(self, person: str, *, width: int = 390, **options: Any) -> Page:
        """A page signed in as a person of the demo; options as of Browser.new_context."""
        client = Client()
        client.force_login(User.objects.get(username=person))
        page = self.stranger(width=width, **options)
        name = configured.SESSION_COOKIE_NAME
        page.context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": self.url}])
        return page

    def stranger(self, *, width: int = 390, **options: Any) -> Page:
        """A page that has not signed in."""
        # pages are held for no signal only where a test is about that
        options = {
            "viewport": {"width": width, "height": 844},
            "base_url": self.url,
            "service_workers": "block",
            **options,
        }
        context = self.browser.new_context(**options)
        context.set_default_timeout(PATIENCE_MS)
        self.contexts.append(context)
        page = context.new_page()
        if options.get("java_script_enabled", True):
            wait_for_ready(page)
        page.on("console", self._note)
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("response", lambda r: self.said.append(f"{r.status} {r.url}") if r.status == 404 else None)
        return page

    @staticmethod
    def until(page: Page, true: Callable[[], bool]) -> None:
        """What the phone sends arrives a moment after the tap."""
        patiently(page, true)

    def _note(self, message: Any) -> None:
        if message.type in ("error", "warning") and not any(words in message.text for words in self.expected):
            self.said.append(f"{message.location.get('url', '')}: {message.text}")

    def job(self, owner: str) -> Job:
        return Job.objects.get(owner=owner)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser a file: its event loop must not stand round the tests of other folders."""
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"  # Playwright's loop runs in this thread
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=PROGRAM, args=ARGUMENTS, timeout=PATIENCE_MS)
        yield browser
        browser.close()
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


class Underway:
    """Requests that the server has begun and not ended: the database is not taken from under them."""

    def __init__(self) -> None:
        self.count, self.lock = 0, threading.Lock()

    def begin(self, **_: Any) -> None:
        with self.lock:
            self.count += 1

    def end(self, **_: Any) -> None:
        with self.lock:
            self.count -= 1

    @contextmanager
    def watched(self) -> Iterator[None]:
        request_started.connect(self.begin)
        request_finished.connect(self.end)
        yield
        give_up = time.monotonic() + PATIENCE_S
        while self.count and time.monotonic() < give_up:
            time.sleep(0.02)
        request_started.disconnect(self.begin)
        request_finished.disconnect(self.end)


@pytest.fixture
def site(
    request: pytest.FixtureRequest, transactional_db: None, chromium: Browser, live_server: Any, settings: Any
) -> Iterator[Site]:
    """The demo, running. Whatever the browser complains of fails the test."""
    if connection.vendor != "sqlite":
        pytest.skip("the demo is copied by SQLite; the pages are the same on any database")
    demo = request.getfixturevalue("prepared_demo")
    settings.STORAGES = demo.storages
    demo.put()
    site = Site(live_server.url, chromium)
    with Underway().watched():
        yield site
        for context in site.contexts:
            for page in context.pages:
                page.wait_for_load_state("networkidle")
            context.close()
    assert "\n".join(site.said) == ""


@pytest.fixture
def field(site: Site) -> Iterator[Site]:
    """The site; what the browser says of a cut line is expected."""
    site.expected += ["net::ERR_", "status of 4", "status of 5"]
    yield site
    for context in site.contexts:
        context.set_offline(False)
        context.unroute_all(behavior="ignoreErrors")


@pytest.fixture
def phone(field: Site) -> Callable[..., Page]:
    """Opens the list of the job that nothing is recorded of, or another page, on a phone of its own."""

    def opened(person: str = "ben", *, clock_off_s: int = 0, path: str = "", **options: Any) -> Page:
        page = field.page(person, has_touch=True, is_mobile=True, **options)
        if clock_off_s:
            page.context.add_init_script(CLOCK_OFF % (clock_off_s * 1000))
        page.goto(path or list_path(field))
        quiet(page)
        return page

    return opened
