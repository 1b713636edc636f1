"""First paint of the day sheet without signal, on a processor slowed four times; the goal is 1 s.

``python tests/bench/first_paint.py``. The demo on its own server, one visit with signal, then the line is
cut. Prints and asserts nothing: a benchmark, not a test.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.bench.office import Office
from tests.browser.chromium import ARGUMENTS, PROGRAM

ROUNDS, SLOWER, GOAL_MS = 7, 4, 1000
SIGN_IN = """
import json
from django.test import Client
from installs.people.models import User
client = Client()
client.force_login(User.objects.get(username="tilda"))
print(json.dumps(client.cookies["sessionid"].value))
"""
PAINT = "() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime"


def paints(browser: Browser, office: Office, session: str) -> list[float]:
    url = f"http://127.0.0.1:{office.port}"
    context = browser.new_context(base_url=url, viewport={"width": 390, "height": 844})
    context.add_cookies([{"name": "sessionid", "value": session, "url": url}])
    page = context.new_page()
    page.goto("/day/")
    page.get_by_text("pages saved for when there is no signal, as of").wait_for()
    page.wait_for_load_state("networkidle")
    context.set_offline(True)
    slow = context.new_cdp_session(page)
    slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    found = []
    for _ in range(ROUNDS):
        page.goto("/day/")
        page.wait_for_function(PAINT)
        found.append(float(page.evaluate(PAINT)))
    context.close()
    return found


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        office = Office(Path(folder))
        office.run("manage.py", "demo")
        office.start()
        try:
            browser = playwright.chromium.launch(executable_path=PROGRAM, args=ARGUMENTS)
            found = paints(browser, office, office.told(SIGN_IN))
            browser.close()
        finally:
            office.kill()
    print(f"Day sheet without signal, processor {SLOWER} times slower, goal {GOAL_MS} ms")
    middle = statistics.median(found)
    print(f"  first paint {middle:.0f} ms (median of {ROUNDS}), {min(found):.0f} to {max(found):.0f} ms")


if __name__ == "__main__":
    main()
