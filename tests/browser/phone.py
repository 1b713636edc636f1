"""A phone of the demo: what waits on it, and ways to cut its line."""

from __future__ import annotations

import contextlib
import io
import time
from collections.abc import Callable
from typing import Any

from django.urls import reverse
from PIL import Image
from playwright.sync_api import Page, Route, TimeoutError

from installs.checklists.models import Entry
from installs.checklists.services import chain_faults

OWNER, LIST = "Juniper Rural Water", "forming"  # all parts released, nothing recorded in the field
PATIENCE_S = 15
ENTRIES, PHOTOS, API = "**/api/entries/", "**/api/photos/", "**/api/**"

WAITING = "() => Queue.waiting(Number(document.documentElement.dataset.person))"
SEND = "() => { Queue.send(); }"
# as a card hands it over, without the card
ADD = """async ([job, path, from, to, photos]) => {
  const person = Number(document.documentElement.dataset.person);
  for (let n = from; n < to; n++) {
    const photo = photos[n - from];
    const bytes = photo ? Uint8Array.from(atob(photo), (c) => c.charCodeAt(0)).buffer : null;
    const entry = { uuid: crypto.randomUUID(), job, code: "C07", taken_at: new Date().toISOString(),
      subject: `place ${n}`, data: {} };
    await Queue.add([{ person, path, key: `place ${n}`, title: "C07", entry }], bytes);
  }
}"""
CLOCK_OFF = """(() => {
  const Real = Date, off = %d;
  window.Date = class extends Real {
    constructor(...given) { if (given.length) super(...given); else super(Real.now() + off); }
    static now() { return Real.now() + off; }
  };
})()"""


def until(page: Page, predicate: str, arg: Any = None) -> None:
    """Waits for an asynchronous predicate; wait_for_function takes its promise for true."""
    give_up = time.monotonic() + PATIENCE_S
    while not page.evaluate(predicate, arg):
        assert time.monotonic() < give_up, f"never true: {predicate}"
        page.wait_for_timeout(50)


def has_waiting(page: Page, n: int) -> None:
    """Until so many entries wait on the phone."""
    until(page, f"async (n) => (await ({WAITING})()).length === n", n)


def held(page: Page, path: str) -> None:
    """Until the page of that path is held for no signal."""
    until(page, "path => caches.match(path).then(Boolean)", path)


def list_path(site: Any, owner: str = OWNER) -> str:
    return reverse("phone-list", args=[site.job(owner).number, LIST])


def entries(site: Any, owner: str = OWNER) -> Any:
    return site.job(owner).entries.order_by("sequence")


def waiting(page: Page) -> list[dict[str, Any]]:
    return page.evaluate(WAITING)


def tick(page: Page, code: str) -> None:
    """Choose an item of the list, then Done; returns when the phone has it."""
    before = len(waiting(page)), _sent(page)
    card = page.locator(f'#steps form[data-step*=\'"key": "{code}"\']')
    for _ in range(3):  # the list moves up when the line of what waits goes: then another card has come
        page.locator(f"[data-row={code}] a").first.tap()
        with contextlib.suppress(TimeoutError):
            card.wait_for(timeout=5000)
            break
    card.get_by_role("button", name="Done").tap()
    until(page, f"async ([n, sent]) => (await ({WAITING})()).length > n || ({SENT})() > sent", list(before))


SENT = "() => performance.getEntriesByType('resource').filter(r => r.name.endsWith('/api/entries/')).length"


def _sent(page: Page) -> int:
    return page.evaluate(SENT)


def add(page: Page, number: str, path: str, first: int, last: int, photos: list[str] | None = None) -> None:
    page.evaluate(ADD, [number, path, first, last, photos or []])


def emptied(site: Any, page: Page) -> None:
    """Send until nothing waits; what is refused stays and is no longer waiting."""

    def empty() -> bool:
        page.evaluate(SEND)
        return not [row for row in waiting(page) if row["state"] == "waiting"]

    site.until(page, empty)


def small_photo(n: int) -> bytes:
    """Each another picture, so that each is another file."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (n * 5 % 256, n % 256, 90)).save(out, "JPEG")
    return out.getvalue()


def lost_request(route: Route) -> None:
    route.abort("connectionfailed")


def lost_reply(route: Route) -> None:
    """The office has it; the phone never hears so."""
    route.fetch()
    route.abort("connectionreset")


def hotel_page(route: Route) -> None:
    """A captive portal answers everything with its own page."""
    route.fulfill(status=200, content_type="text/html", body="<h1>Welcome to the Prairie Inn</h1>")


def failing_server(route: Route) -> None:
    route.fulfill(status=500, content_type="text/html", body="<h1>Server Error (500)</h1>")


def bad_gateway(route: Route) -> None:
    route.fulfill(status=502, content_type="text/html", body="<h1>Bad Gateway</h1>")


def with_entries(what: Callable[[Route], None]) -> Callable[[Route], None]:
    """The first batch that holds an entry meets it; a phone that only reports itself goes through."""
    met = []

    def handle(route: Route) -> None:
        if met or not route.request.post_data_json["entries"]:
            route.continue_()
        else:
            met.append(route)
            what(route)

    return handle


def times(n: int, what: Callable[[Route], None]) -> Callable[[Route], None]:
    """The first ``n`` requests meet it, those after go through."""
    left = [n]

    def handle(route: Route) -> None:
        if left[0]:
            left[0] -= 1
            what(route)
        else:
            route.continue_()

    return handle


def whole(site: Any, owner: str = OWNER) -> bool:
    return chain_faults(site.job(owner)) == [] and Entry.objects.values("uuid").distinct().count() == (
        Entry.objects.count()
    )
