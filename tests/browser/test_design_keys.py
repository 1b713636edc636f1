"""A design page by keys alone: its first field is near, wherever the drawing stands."""

from __future__ import annotations

import pytest
from django.urls import reverse

from installs.jobs.parts import TABLE

pytestmark = [pytest.mark.browser, pytest.mark.slow]

OWNER = "Juniper Rural Water"
FIELD = """() => Boolean(document.activeElement.closest("#schedule"))
  && document.activeElement.matches("input, select, textarea")"""


@pytest.mark.parametrize("width", [390, 1440])
def test_the_second_link_leads_to_the_figures(site, width: int) -> None:
    page = site.page("alma", width=width)
    for part in TABLE.values():
        page.goto(reverse(part.page, args=[site.job(OWNER).number]))
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate(FIELD), part.key
    assert site.said == []


def test_what_is_drawn_and_noted_comes_after_the_figures(site) -> None:
    """Whoever tabs from the head of the sheet meets a field before the notes, as they stand on a phone."""
    page = site.page("alma", width=1440)
    page.goto(reverse("foundation", args=[site.job(OWNER).number]))
    stops = "a[href], button, summary, input:not([type=hidden]), select, textarea"
    first = page.locator(f"#main :is({stops}):not([tabindex='-1'])").first
    assert first.evaluate("stop => stop.closest('#schedule, #sheet')?.id") == "schedule"
