"""Back in the browser: what was typed and not sent is there, on a page that no browser keeps."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from installs.equipment.models import Crane
from installs.jobs.models import Job
from installs.jobs.parts import TABLE

pytestmark = [pytest.mark.browser, pytest.mark.slow]
OWNER = "Delmar and Joy Kettleson"


def test_figures_that_were_typed_are_there_after_going_back_and_drawn(site) -> None:
    page = site.page("alma", width=1440)
    shown = reverse(TABLE["foundation"].page, args=[site.job(OWNER).number])
    answer = page.goto(shown)
    assert "no-store" in answer.headers["cache-control"]
    thickness = page.get_by_label("Thickness", exact=True)
    before = thickness.input_value()
    expect(page.locator(".drawings")).not_to_contain_text("5 ft 6 in")
    thickness.fill("5.5")
    page.keyboard.press("Tab")
    expect(page.locator(".drawings")).to_contain_text("5 ft 6 in")
    page.goto(reverse("jobs"))
    page.go_back()
    expect(thickness).to_have_value("5.5")
    expect(page.locator(".drawings")).to_contain_text("5 ft 6 in")
    draft = TABLE["foundation"].draft_of(Job.objects.get(owner=OWNER))
    assert f"{draft.figures.thickness_ft:g}" == before, "nothing was saved by it"


def test_what_another_saved_meanwhile_stands_in_the_fields_that_nobody_touched(site) -> None:
    """Going back is another reading of the page: only what was typed is put back."""
    page = site.page("alma", width=1440)
    crane = Crane.objects.filter(archived_on=None).first()
    page.goto(reverse("crane", args=[crane.pk]))
    page.locator("#id_weight_lb").fill("81234")
    page.goto(reverse("jobs"))
    Crane.objects.filter(pk=crane.pk).update(across_ft=21.5)
    page.go_back()
    expect(page.locator("#id_weight_lb")).to_have_value("81234")
    expect(page.locator("#id_across_ft")).to_have_value("21.5")
    with page.expect_navigation():
        page.get_by_role("button", name="Save", exact=True).first.click()
    crane.refresh_from_db()
    assert (crane.weight_lb, crane.across_ft) == (81_234, 21.5)


@pytest.mark.parametrize("part", sorted(TABLE))
def test_a_page_that_is_opened_sends_nothing_and_is_as_it_was_saved(site, part: str) -> None:
    """A select that names no choice stands on its first one: that is nothing that anybody typed."""
    page = site.page("alma", width=1440)
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    page.goto(reverse(TABLE[part].page, args=[site.job("Harrow School District").number]))
    page.wait_for_load_state("networkidle")
    assert sent == []
    expect(page.locator("#state")).not_to_contain_text("Not saved yet")
