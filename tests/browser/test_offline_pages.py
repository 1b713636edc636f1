"""Pages without signal: what was held opens, with its age; nothing is permitted by an old page."""

from __future__ import annotations

import re
from threading import Event

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from crew.phone import offline
from installs.checklists.models import Device
from installs.gates.services import gate_now
from installs.jobs.models import PhaseState
from tests.browser import phone as on
from tests.served import PATIENCE_S

pytestmark = [pytest.mark.browser, pytest.mark.slow]

DAY = reverse("day-sheet")


@pytest.fixture
def holding(phone):
    """A phone whose service worker has taken the day sheet and what it points to."""

    def opened(person: str = "ben", path: str = DAY):
        page = phone(person, path=path, service_workers="allow")
        if path == DAY:
            expect(page.locator("#held")).to_contain_text("pages saved for when there is no signal, as of")
        else:
            on.held(page, path)
        on.quiet(page)
        return page

    return opened


def cut(page) -> None:
    page.context.set_offline(True)


def test_after_one_visit_the_day_sheet_and_the_lists_of_the_next_days_open(field, holding) -> None:
    page = holding("tilda")
    links = [a.get_attribute("href") for a in page.locator("a[data-hold]").all()]
    assert page.locator("section", has_text="The next days").locator("a[data-hold]").count() >= 2
    cut(page)
    for path in [DAY, *links]:
        page.goto(path)
        expect(page.locator("h1")).not_to_have_text("No signal")
        expect(page.locator("body")).to_have_css("font-family", re.compile("Overpass"))
    page.goto("/")
    page.wait_for_url(f"**{DAY}")
    expect(page.locator("h1")).to_have_text("Day sheet")


def test_a_page_never_visited_says_so(field, holding) -> None:
    page = holding()
    cut(page)
    page.goto(reverse("phone-list", args=[field.job(on.OWNER).number, "annual"]))
    expect(page.locator("h1")).to_have_text("No signal")
    expect(page.locator("main")).to_contain_text("never opened with signal on this phone")
    field.said[:] = [words for words in field.said if "503" not in words]


def test_a_held_page_and_its_gates_say_how_old_they_are(field, holding) -> None:
    page = holding()
    cut(page)
    page.context.add_init_script(on.CLOCK_OFF % (4 * 60_000))
    page.goto(DAY)
    expect(page.locator("#waiting")).to_contain_text("This page and its gates are from")


def test_starting_a_phase_without_signal_is_refused_in_words(field, holding) -> None:
    page = holding()
    before = PhaseState.objects.count()
    cut(page)
    page.goto(DAY)
    button = page.locator("form[action*='/phases/'] button, form[action*='phase'] button")
    button.locator("visible=true").and_(page.locator(":enabled")).first.tap()
    expect(page.locator("#waiting")).to_contain_text("asks the office first: that needs signal")
    assert page.url.endswith(DAY)
    page.context.set_offline(False)
    assert PhaseState.objects.count() == before


def test_a_lift_never_becomes_permitted_without_signal(field, holding) -> None:
    """Its list is ticked on the phone; the gates and buttons stay as the office judged them."""
    job = field.job(on.OWNER)
    path = reverse("phone-list", args=[job.number, "tower lift"])
    page = holding("ben", path)
    page.goto(DAY)
    expect(page.locator("#held")).to_contain_text("pages saved for when there is no signal")
    started = list(PhaseState.objects.order_by("pk").values_list("job", "key"))
    gates, closed = page.locator(".gate").all_inner_texts(), page.locator("main button:disabled").count()
    cut(page)
    page.goto(path)
    for code in ("H11", "H17", "H18"):
        on.tick(page, code)
    page.goto(DAY)
    assert page.locator(".gate").all_inner_texts() == gates
    assert page.locator("main button:disabled").count() == closed
    assert list(PhaseState.objects.order_by("pk").values_list("job", "key")) == started
    assert not gate_now(job, "tower lift", timezone.now()).open


def test_a_failing_server_does_not_take_the_held_page_away(field, holding, monkeypatch) -> None:
    page = holding()
    monkeypatch.setattr("crew.phone.views.day_works", lambda *_: 1 / 0)
    page.goto(DAY)
    expect(page.locator("h1")).to_have_text("Day sheet")


def test_what_was_entered_is_still_there_after_a_reload_without_signal_and_arrives(field, holding) -> None:
    path = on.list_path(field)
    page = holding("ben", path)
    cut(page)
    on.tick(page, "C07")
    page.goto(path)
    expect(page.locator("[data-row=C07] .kept")).to_contain_text("on this phone, not sent")
    page.goto(path + "?item=C14")
    expect(page.locator("#steps form").first).to_have_attribute("data-step", re.compile('"key": "C14"'))
    page.get_by_role("button", name="Done").tap()
    page.context.set_offline(False)
    on.emptied(field, page)
    assert [e.code for e in on.entries(field)] == ["C07", "C14"]
    assert on.whole(field)


def sign_out(page) -> None:
    page.on("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Sign out").tap()
    page.wait_for_url("**/sign-in/**")


def as_person(field, page, person: str) -> None:
    """The same phone with another person's sign-in."""
    other = field.page(person)
    page.context.add_cookies(other.context.cookies())
    other.context.close()
    field.contexts.remove(other.context)


def test_another_person_on_the_phone_neither_sees_nor_sends_nor_reads(field, holding) -> None:
    path = on.list_path(field)
    page = holding("ben", path)
    page.route(on.ENTRIES, on.lost_request)
    on.tick(page, "C07")
    sign_out(page)
    cut(page)
    page.goto(path)
    expect(page.locator("h1")).to_have_text("No signal")
    page.context.set_offline(False)
    page.unroute(on.ENTRIES)
    as_person(field, page, "tilda")
    page.goto(DAY)
    on.quiet(page)
    page.evaluate(on.SEND)
    on.quiet(page)
    expect(page.locator("#waiting")).to_be_hidden()
    cut(page)
    page.goto(path)
    expect(page.locator("h1")).to_have_text("No signal")
    assert not on.entries(field).exists()
    page.context.set_offline(False)
    as_person(field, page, "ben")
    page.goto(DAY)
    on.emptied(field, page)
    assert [(e.code, e.person.username) for e in on.entries(field)] == [("C07", "ben")]
    field.said[:] = [words for words in field.said if "503" not in words]


def test_signing_out_on_an_office_page_hides_the_held_pages_too(field, holding) -> None:
    page = holding()
    page.goto(reverse("jobs"))
    sign_out(page)
    cut(page)
    page.goto(DAY)
    expect(page.locator("h1")).to_have_text("No signal")
    field.said[:] = [words for words in field.said if "503" not in words]


HELD = """async () => { const found = [];
  for (const name of (await caches.keys()).filter((n) => n.startsWith("pages-")))
    for (const request of await (await caches.open(name)).keys()) found.push(new URL(request.url).pathname);
  return found; }"""


def test_signing_out_lets_go_of_the_pages_held(field, holding) -> None:
    page = holding()
    assert DAY in page.evaluate(HELD)
    sign_out(page)
    assert page.evaluate(HELD) == []


def test_a_phone_whose_access_ended_lets_go_of_its_pages_and_keeps_what_waits(field, holding) -> None:
    path = on.list_path(field)
    page = holding("ben", path)
    on.tick(page, "C14")
    on.emptied(field, page)
    page.route(on.ENTRIES, on.lost_request)
    on.tick(page, "C07")
    Device.objects.update(ended_at=timezone.now())
    page.evaluate(on.SEND)
    on.until(page, f"async () => !(await ({HELD})()).length")
    assert [row["key"] for row in on.waiting(page)] == ["C07"]
    cut(page)
    page.goto(path)
    expect(page.locator("h1")).to_have_text("No signal")
    field.said[:] = [words for words in field.said if "503" not in words]


@pytest.mark.parametrize("ends", ["access", "signing out"])
def test_a_page_still_under_way_when_all_is_let_go_is_not_held_after_it(
    field, holding, monkeypatch, ends: str
) -> None:
    """Its answer was made before: the phone has it in hand only after its pages were let go."""
    path = on.list_path(field)
    page = holding("ben", path)
    asked, going_on = Event(), Event()
    made = offline.say_whose

    def slowly(request, response) -> None:
        made(request, response)
        if request.headers.get("X-Hold"):
            asked.set()
            assert going_on.wait(PATIENCE_S)

    monkeypatch.setattr(offline, "say_whose", slowly)
    page.evaluate("path => { window.late = Held.take(path); }", path)
    on.patiently(page, asked.is_set)
    if ends == "access":
        Device.objects.update(ended_at=timezone.now())
        page.evaluate(on.SEND)
    else:
        page.evaluate("() => fetch('/sign-out/', { method: 'POST' }).then((said) => said.text())")
    on.until(page, f"async () => !(await ({HELD})()).length")
    going_on.set()
    page.evaluate("() => window.late")
    assert page.evaluate(HELD) == []


def test_pages_that_the_day_sheet_no_longer_names_are_let_go_after_a_day(field, holding) -> None:
    """As little as the days need; what was opened today stays, whatever the sheet names."""
    old, new = on.list_path(field), reverse("phone-list", args=[field.job(on.OWNER).number, "annual"])
    page = holding("ben", old)
    page.evaluate(
        """async (path) => { for (const name of (await caches.keys()).filter((n) => n.startsWith("pages-"))) {
          const cache = await caches.open(name), held = await cache.match(path);
          const headers = new Headers(held.headers);
          headers.set("X-Held-At", Date.now() - 2 * 86400000);
          await cache.put(path, new Response(await held.blob(), { headers })); } }""",
        old,
    )
    page.goto(new)
    on.held(page, new)
    page.goto(DAY)
    assert old not in [a.get_attribute("href") for a in page.locator("a[data-hold]").all()]
    on.until(page, f"async (old) => !(await ({HELD})()).includes(old)", old)
    assert {DAY, new} <= set(page.evaluate(HELD))


def test_a_new_version_of_the_phones_pages_loses_nothing(field, holding, monkeypatch) -> None:
    path = on.list_path(field)
    page = holding("ben", path)
    page.route(on.API, on.lost_request)
    on.tick(page, "C07")
    before = page.evaluate("() => caches.keys()")
    monkeypatch.setattr(offline, "SHELL", (*offline.SHELL, "installs/errors.js"))
    offline._worker_text.cache_clear()
    try:
        page.goto(path)
        page.evaluate("() => navigator.serviceWorker.getRegistration().then((r) => r.update())")
        on.until(
            page,
            "async (had) => (await caches.keys()).some((n) => n.startsWith('shell-') && !had.includes(n))",
            before,
        )
        cut(page)
        page.goto(path)
        expect(page.locator("[data-row=C07] .kept")).to_contain_text("on this phone, not sent")
        expect(page.locator("body")).to_have_css("font-family", re.compile("Overpass"))
        page.context.set_offline(False)
        page.unroute(on.API)
        on.emptied(field, page)
        assert [e.code for e in on.entries(field)] == ["C07"]
    finally:
        offline._worker_text.cache_clear()
