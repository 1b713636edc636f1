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
    page = open_sheet()
    drawings, notes = page.locator(".drawings").inner_html(), page.locator(".notes").first.inner_text()
    page.get_by_label("Thickness", exact=True).fill("5.5")
    page.keyboard.press("Tab")
    expect(page.locator("#state")).to_contain_text("Not kept yet")
    expect(page.locator(".drawings")).to_contain_text("5 ft 6 in")
    assert page.locator(".drawings").inner_html() != drawings
    assert page.locator(".notes").first.inner_text() != notes
    assert thickness(site) == 4.0
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
    page = open_sheet(java_script_enabled=False)
    page.get_by_label("Thickness", exact=True).fill("thick")
    page.get_by_role("button", name="Redraw").click()
    expect(page.locator("#fault-thickness_ft .errorlist")).to_be_visible()
    assert page.get_by_label("Thickness", exact=True).input_value() == "thick"
    page.get_by_label("Thickness", exact=True).fill("5.5")
    page.get_by_role("button", name="Redraw").click()
    expect(page.locator(".drawings")).to_contain_text("5 ft 6 in")
    assert thickness(site) == 4.0
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
