"""The job book on a phone: drawings of its own, whole in their row, with words that can be read."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.test_every_page import drawn_faults

pytestmark = [pytest.mark.browser, pytest.mark.slow]

OWNERS = ("Delmar and Joy Kettleson", "Aasen Dairy", "Harrow School District", "Tilley Farm")
# px of the smallest letters, and of what stands beyond its row
SMALLEST = """all => Math.min(...all.map(word => {
  const on = word.getScreenCTM();
  return parseFloat(getComputedStyle(word).fontSize) * Math.hypot(on.a, on.b); }))"""
BEYOND = """all => Math.max(...all.map(drawn =>
  drawn.getBoundingClientRect().right - drawn.closest(".drawing-cell").getBoundingClientRect().right))"""


@pytest.mark.parametrize("owner", OWNERS)
def test_each_drawing_is_whole_and_its_words_can_be_read(site, owner: str) -> None:
    page = site.page("ben" if owner == OWNERS[1] else "alma", width=390)
    page.goto(reverse("job-book", args=[site.job(owner).number]))
    places = page.locator(".drawing-cell > .on-phone")
    count = places.count()
    assert count >= 6
    for n in range(count):
        places.nth(n).scroll_into_view_if_needed()
        expect(places.nth(n).locator("svg")).to_be_visible()
    words = page.locator(".on-phone svg text")
    assert page.evaluate(
        "() => [...document.querySelectorAll('.at-desk')].every(one => !one.checkVisibility())"
    )
    assert page.eval_on_selector_all(".on-phone svg", BEYOND) <= 0.5
    assert words.evaluate_all(SMALLEST) >= 10
    assert drawn_faults(page) == []
    assert site.said == []


def test_a_desk_asks_for_none_of_them(site) -> None:
    page = site.page("alma", width=1440)
    asked = []
    page.on("request", lambda request: asked.append(request.url) if "/drawings/" in request.url else None)
    page.goto(reverse("job-book", args=[site.job(OWNERS[1]).number]))
    page.evaluate("() => window.scrollTo(0, document.body.scrollHeight)")
    page.wait_for_load_state("networkidle")
    assert asked == []
