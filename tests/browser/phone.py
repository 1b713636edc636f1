"""A phone of the demo: what waits on it, and ways to cut its line."""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from typing import Any

from django.urls import reverse
from PIL import Image
from playwright.sync_api import Error, Locator, Page, Route

from installs.checklists.models import Entry
from installs.checklists.services import chain_faults
from tests.served import PATIENCE_S

OWNER, LIST = "Juniper Rural Water", "forming"  # all parts released, nothing recorded in the field
# what the driver says of a page that went while it was asked, or whose scripts have not come yet
MOVED = ("Execution context was destroyed", "Cannot find context", "is not defined")
ENTRIES, PHOTOS, API = "**/api/entries/", "**/api/photos/", "**/api/**"

WAITING = "() => Queue.waiting(Number(document.documentElement.dataset.person))"
SEND = "() => { Queue.send(); }"
# what is sent holds the lock, and tells the page before it lets go of it
QUIET = """async () => {
  const { held, pending } = await navigator.locks.query();
  if ([...held, ...pending].some((lock) => lock.name === "mastwright-field-send")) return false;
  return document.readyState === "complete" && document.documentElement.dataset.ready !== "no";
}"""
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


def wait_for_ready(page: Page) -> None:
    """From now on every press and expect() waits until the page has set its listeners and is at rest."""
    page.add_locator_handler(page.locator("html[data-ready=no]"), lambda _: None)


def patiently(page: Page, true: Callable[[], Any], what: str = "it has not come") -> None:
    """Until it is true. The page goes on meanwhile: it stands still while Python sleeps."""
    give_up = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < give_up, what
        page.wait_for_timeout(50)


def asked(page: Page, script: str, arg: Any = None) -> Any:
    """What the page answers; a page that another takes the place of meanwhile is asked again."""
    give_up = time.monotonic() + PATIENCE_S
    while True:
        page.wait_for_load_state()
        try:
            return page.evaluate(script, arg)
        except Error as error:
            if time.monotonic() > give_up or not any(words in error.message for words in MOVED):
                raise


def until(page: Page, predicate: str, arg: Any = None) -> None:
    """Waits for an asynchronous predicate; wait_for_function takes its promise for true."""
    patiently(page, lambda: asked(page, predicate, arg), f"never true: {predicate}")


def quiet(page: Page) -> None:
    """Until the page is ready, and nothing of what it sends, asks or puts in its place is under way."""
    until(page, QUIET)


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
    return asked(page, WAITING)


def choose(page: Page, code: str) -> Locator:
    """Tap an item of the list; gives the form that the tap brings, not one that stood there before."""
    page.evaluate(
        "() => document.querySelectorAll('#steps form').forEach((f) => { f.dataset.before = 'yes'; })"
    )
    page.locator(f"[data-row={code}] a").first.tap()
    form = page.locator(f'#steps form:not([data-before])[data-step*=\'"key": "{code}"\']').first
    form.wait_for()
    return form


def tick(page: Page, code: str) -> None:
    """Choose an item of the list, then Done; returns when the phone has it."""
    quiet(page)
    before = asked(page, KEPT, code)
    choose(page, code).get_by_role("button", name="Done").tap()
    until(page, f"async ([code, before]) => (await ({KEPT})(code)) > before", [code, before])


# how often the phone has recorded it on this page; read first where it waits, from where it only moves on
KEPT = """async (code) => {
  const person = Number(document.documentElement.dataset.person);
  const waits = await Queue.waiting(person), sent = await Queue.sent(person, location.pathname);
  const here = [...waits.filter((row) => row.path === location.pathname), ...sent];
  return here.filter((row) => row.key === code).length;
}"""


def add(page: Page, number: str, path: str, first: int, last: int, photos: list[str] | None = None) -> None:
    page.evaluate(ADD, [number, path, first, last, photos or []])


def emptied(site: Any, page: Page) -> None:
    """Send until nothing waits; what is refused stays and is no longer waiting."""

    def empty() -> bool:
        asked(page, SEND)
        return not [row for row in waiting(page) if row["state"] == "waiting"]

    patiently(page, empty)
    quiet(page)


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


def until_mended(page: Page, where: Any, what: Callable[[Route], None]) -> Callable[[], None]:
    """Every request meets it until what is returned is called: it lasts as long as somebody looks at it."""
    page.route(where, what)
    return lambda: page.unroute(where, what)


def whole(site: Any, owner: str = OWNER) -> bool:
    return chain_faults(site.job(owner)) == [] and Entry.objects.values("uuid").distinct().count() == (
        Entry.objects.count()
    )
