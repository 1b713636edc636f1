"""The papers' page in a browser: a paper's line follows the worker by itself."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.urls import reverse
from playwright.sync_api import Page, expect, sync_playwright

from installs.checklists.services import copy_lists
from installs.work.runner import work_one
from tests.browser.chromium import ARGUMENTS, PROGRAM
from tests.make import AT
from tests.served import PATIENCE_S

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def page(client, office, live_server, monkeypatch):
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")  # Playwright's loop runs in this thread
    client.force_login(office)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=PROGRAM, args=ARGUMENTS, timeout=1000 * PATIENCE_S
        )
        context = browser.new_context()
        context.set_default_timeout(1000 * PATIENCE_S)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
        yield context.new_page()
        browser.close()


def test_a_line_turns_into_a_download_by_itself(page: Page, live_server, job, office):
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    copy_lists(job, by=office, at=AT)
    page.goto(live_server.url + reverse("papers", args=[job.number]))
    page.get_by_role("button", name="Order checklists").click()
    expect(page.get_by_text("Waiting for the printer")).to_be_visible()
    assert work_one("papers")
    with page.expect_download() as download:
        link = page.get_by_role("link", name="Download, ")
        expect(link).to_be_visible(timeout=1000 * PATIENCE_S)
        link.evaluate("link => link.setAttribute('download', '')")
        link.click()
    assert download.value.suggested_filename == f"{job.number} checklists A.pdf"
    assert said == []
