"""A design page: a changed number redraws the sheet, a bad one is said at its field."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from installs.foundation.models import FoundationDesign

pytestmark = [pytest.mark.browser, pytest.mark.slow]
OWNER = "Delmar and Joy Kettleson"  # nothing of its foundation is released


@pytest.fixture
def open_sheet(site):
    def opened(**options):
        page = site.page("lindqvist", width=1440, **options)
        page.goto(reverse("foundation", args=[site.job(OWNER).number]))
        return page

    return opened


def thickness(site) -> float:
    return FoundationDesign.objects.get(job=site.job(OWNER)).figures.thickness_ft


def test_a_changed_number_redraws_drawing_and_notes_at_once(site, open_sheet) -> None:
    page, before = open_sheet(), thickness(site)
    drawings, notes = page.locator(".drawings").inner_html(), page.locator(".notes").first.inner_text()
    page.get_by_label("Thickness", exact=True).fill("5.5")
    page.keyboard.press("Tab")
    expect(page.locator("#state")).to_contain_text("Not saved yet")
    expect(page.locator(".drawings")).to_contain_text("5 ft 6 in")
    assert page.locator(".drawings").inner_html() != drawings
    assert page.locator(".notes").first.inner_text() != notes
    assert thickness(site) == before != 5.5
    page.get_by_role("button", name="Save draft").click()
    expect(page.get_by_text("Draft saved.")).to_be_visible()
    assert thickness(site) == 5.5
    assert page.get_by_label("Thickness", exact=True).input_value() == "5.5"


def test_a_bad_number_is_said_at_its_field_and_stays_as_typed(site, open_sheet) -> None:
    page = open_sheet()
    page.get_by_label("Thickness", exact=True).fill("thick")
    page.keyboard.press("Tab")
    expect(page.locator("#fault-thickness_ft .errorlist")).to_be_visible()
    assert page.get_by_label("Thickness", exact=True).input_value() == "thick"
    expect(page.locator(".drawings svg").first).to_be_visible()


def test_the_same_as_a_plain_form(site, open_sheet) -> None:
    page, before = open_sheet(java_script_enabled=False), thickness(site)
    page.get_by_label("Thickness", exact=True).fill("thick")
    page.get_by_role("button", name="Redraw").click()
    expect(page.locator("#fault-thickness_ft .errorlist")).to_be_visible()
    assert page.get_by_label("Thickness", exact=True).input_value() == "thick"
    page.get_by_label("Thickness", exact=True).fill("5.5")
    page.get_by_role("button", name="Redraw").click()
    expect(page.locator(".drawings")).to_contain_text("5 ft 6 in")
    assert thickness(site) == before != 5.5
    page.get_by_role("button", name="Save draft").click()
    expect(page.get_by_text("Draft saved.")).to_be_visible()
    assert thickness(site) == 5.5


def test_by_keyboard_alone(site, open_sheet) -> None:
    page = open_sheet()
    page.keyboard.press("Tab")
    focused = page.locator(":focus")
    expect(focused).to_have_class("skip")
    assert focused.bounding_box()["x"] >= 0
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")
    page.get_by_label("Thickness", exact=True).focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("5.5")
    button = page.get_by_role("button", name="Save draft")
    for _ in range(260):
        page.keyboard.press("Tab")
        if button.evaluate("button => button === document.activeElement"):
            break
    assert button.evaluate("button => getComputedStyle(button).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    expect(page.get_by_text("Draft saved.")).to_be_visible()
    assert thickness(site) == 5.5


class Posts:
    """What the page posts, held until the test lets it go: ``drawn`` by its script, ``saved`` by a button."""

    def __init__(self, page) -> None:
        self.drawn, self.saved, self.waiting = [], [], []
        self.held, self.ended = True, []
        page.route("**/foundation/", self._one)
        page.on("requestfinished", self._over)
        page.on("requestfailed", self._over)

    def _over(self, request) -> None:
        if "hx-request" in request.headers:
            self.ended.append(request)

    def _one(self, route) -> None:
        request = route.request
        if request.method != "POST":
            route.continue_()
            return
        by_script = "hx-request" in request.headers
        (self.drawn if by_script else self.saved).append(request.post_data_buffer.decode())
        if self.held:
            self.waiting.append(route)
        else:
            route.continue_()

    def let_go(self) -> None:
        """The eldest goes on to the server."""
        self.waiting.pop(0).continue_()

    def let_all_go(self) -> None:
        """Those that are held go on in their order, later ones at once."""
        self.held = False
        while self.waiting:
            self.let_go()


def pressed(body: str) -> list[str]:
    """The buttons that a form posts: the values of its parts "do"."""
    return [part.split("\r\n")[0] for part in body.split('name="do"\r\n\r\n')[1:]]


def once_sent(page, then: str) -> None:
    """In the page, when its form is on the way: a page that is about to go answers no test."""
    page.evaluate(
        f"document.getElementById('schedule').addEventListener('submit', ({{target: form}}) => {{ {then} }})"
    )


@pytest.fixture
def cut_short(site):
    """A redraw that a press cuts short is said by htmx on the console."""
    site.expected += ["htmx:sendAbort", "htmx:afterRequest"]


def kept(site) -> int:
    return site.job(OWNER).events.filter(verb="draft kept").count()


def test_a_redraw_that_waits_behind_save_draft_neither_saves_nor_has_its_button(
    site, open_sheet, cut_short
) -> None:
    page = open_sheet()
    before, posts = kept(site), Posts(page)
    # typed on while the answer is under way
    once_sent(page, "setTimeout(() => form.dispatchEvent(new Event('change', { bubbles: true })))")
    page.get_by_label("Thickness", exact=True).fill("5.5")
    page.keyboard.press("Tab")
    site.until(page, lambda: len(posts.drawn) == 1)
    page.get_by_label("Frost depth", exact=True).fill("5")  # its redraw waits for the first to end
    page.get_by_role("button", name="Save draft").click(no_wait_after=True)
    site.until(page, lambda: len(posts.saved) == 1)
    posts.let_go()
    site.until(page, lambda: posts.ended)
    posts.let_all_go()
    expect(page.get_by_text("Draft saved.")).to_be_visible()
    assert [pressed(body) for body in posts.saved] == [["keep"]]
    assert [pressed(body) for body in posts.drawn] == [["look"]] * len(posts.drawn)
    assert (kept(site) - before, thickness(site)) == (1, 5.5)


def test_while_a_draft_is_saved_its_page_takes_no_figure_and_no_second_press(
    site, open_sheet, cut_short
) -> None:
    page = open_sheet()
    before, posts = kept(site), Posts(page)
    once_sent(
        page,
        "setTimeout(() => { sessionStorage.shut = form.inert;"
        " form.requestSubmit(form.querySelector('[value=keep]')); })",
    )
    page.get_by_label("Thickness", exact=True).fill("5.5")
    page.get_by_role("button", name="Save draft").click(no_wait_after=True)
    site.until(page, lambda: posts.saved)
    posts.let_all_go()
    expect(page.get_by_text("Draft saved.")).to_be_visible()
    assert page.evaluate("sessionStorage.shut") == "true"
    expect(page.locator("#schedule")).not_to_have_attribute("inert", "")
    assert (len(posts.saved), kept(site) - before, thickness(site)) == (1, 1, 5.5)
