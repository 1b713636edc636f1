"""What is on the phone outlives the browser's death and later versions of its database."""

from __future__ import annotations

import contextlib
import os
import signal
import time
from pathlib import Path

import pytest
from playwright.sync_api import Error, expect

from tests.browser import phone as on
from tests.browser.conftest import ARGUMENTS, PATIENCE_MS, PROGRAM

pytestmark = [pytest.mark.browser, pytest.mark.slow]

# a later version of the page's own open(): it only adds a store
NEXT_VERSION = """() => new Promise((resolve, reject) => {
  const asked = indexedDB.open("mastwright-field", 2);
  asked.onupgradeneeded = () => asked.result.createObjectStore("drawings", { keyPath: "id" });
  asked.onsuccess = () => {
    const got = asked.result.transaction("entries").objectStore("entries").getAll();
    got.onsuccess = () => { asked.result.close(); resolve(got.result.map((row) => row.key)); };
  };
  asked.onerror = () => reject(asked.error);
  asked.onblocked = () => reject(new Error("blocked"));
})"""


def test_a_later_version_of_the_phones_database_finds_all_that_waits(field, phone) -> None:
    page, number = phone(), field.job(on.OWNER).number
    page.route(on.API, on.lost_request)
    on.add(page, number, on.list_path(field), 0, 200)
    page.goto("/sign-in/")  # of the same origin, without the queue of today
    assert page.evaluate(NEXT_VERSION) == [f"place {n}" for n in range(200)]


def processes_of(folder: Path) -> list[int]:
    """The browser that this test started: the folder's name stands in its command line alone."""
    found = []
    for entry in Path("/proc").iterdir():
        with contextlib.suppress(OSError):
            if entry.name.isdigit() and str(folder).encode() in (entry / "cmdline").read_bytes():
                found.append(int(entry.name))
    return found


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="finds the browser's processes in /proc")
def test_a_browser_killed_right_after_a_tick_still_has_it(field, chromium, tmp_path) -> None:
    folder = tmp_path / "profile"

    def opened():
        context = chromium.browser_type.launch_persistent_context(
            str(folder),
            executable_path=PROGRAM,
            args=ARGUMENTS,
            base_url=field.url,
            has_touch=True,
            service_workers="block",
        )
        context.set_default_timeout(PATIENCE_MS)
        return context

    cookies = field.page("ben").context.cookies()
    context = opened()
    context.add_cookies([{**cookie, "expires": time.time() + 86_400} for cookie in cookies])
    page = context.new_page()
    on.wait_for_ready(page)
    page.goto(on.list_path(field))
    on.quiet(page)
    context.set_offline(True)
    on.choose(page, "C07").get_by_role("button", name="Done").tap()
    expect(page.locator("[data-row=C07] .kept")).to_be_visible()
    for process in processes_of(folder):
        with contextlib.suppress(ProcessLookupError):
            os.kill(process, signal.SIGKILL)
    with contextlib.suppress(Error):
        context.close()
    assert not on.entries(field).exists()

    context = opened()
    context.add_cookies([{**cookie, "expires": time.time() + 86_400} for cookie in cookies])
    page = context.new_page()
    on.wait_for_ready(page)
    page.goto(on.list_path(field))
    on.emptied(field, page)
    context.close()
    assert [e.code for e in on.entries(field)] == ["C07"]
