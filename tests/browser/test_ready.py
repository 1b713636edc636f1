"""A page says when it is ready, and no test presses before."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import Route, expect

from tests.browser.phone import KEPT, OWNER, SEND, choose, list_path, patiently, quiet, tick, until

pytestmark = [pytest.mark.browser, pytest.mark.slow]

READY_LATE = """() => {
  const root = document.documentElement;
  root.dataset.ready = "no";
  window.pressed = [];
  document.addEventListener("click", (event) => {
    pressed.push(root.dataset.ready);
    event.preventDefault();
  }, true);
  setTimeout(() => { root.dataset.ready = "yes"; }, 700);
}"""


def pages(site) -> list[str]:
    number = site.job(OWNER).number
    return [reverse("look-ahead"), reverse("job-book", args=[number]), reverse("day-sheet"), list_path(site)]


def test_without_its_scripts_a_page_does_not_say_that_it_is_ready(site) -> None:
    page = site.page("alma", java_script_enabled=False)
    for path in pages(site):
        page.goto(path)
        expect(page.locator("html")).to_have_attribute("data-ready", "no")


def test_with_them_every_page_comes_to_say_so(site) -> None:
    page = site.page("alma")
    for path in pages(site):
        page.goto(path)
        expect(page.locator("html")).to_have_attribute("data-ready", "yes")


def test_a_press_waits_until_the_page_is_ready(site) -> None:
    page = site.page("alma")
    page.goto(reverse("look-ahead"))
    page.evaluate(READY_LATE)
    page.get_by_role("heading").first.click()
    assert page.evaluate("pressed") == ["yes"]


def test_a_phone_is_quiet_only_when_what_was_entered_has_been_answered_for(field, phone) -> None:
    page = phone()
    tick(page, "C07")
    quiet(page)
    assert [entry.code for entry in field.job(OWNER).entries.all()] == ["C07"]


def test_nor_while_it_was_entered_behind_a_pass_that_had_looked_before(field, phone) -> None:
    """The pass finds nothing and ends well; what was entered meanwhile is still to be sent."""
    page = phone()
    choose(page, "C07")
    held: list[Route] = []
    page.route("**/api/hello/**", lambda route: held.append(route), times=1)
    page.evaluate(SEND)
    patiently(page, lambda: held, "the pass has not begun")
    page.locator("#steps form").get_by_role("button", name="Done").tap()
    until(page, f"async () => (await ({KEPT})('C07')) === 1")
    held[0].continue_()
    quiet(page)
    assert [entry.code for entry in field.job(OWNER).entries.all()] == ["C07"]
