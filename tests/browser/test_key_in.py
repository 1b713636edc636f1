"""Keying in a paper sheet by keyboard, on a desk and on a phone; a fault loses nothing."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]
OWNER = "Juniper Rural Water"


@pytest.mark.parametrize("width", [390, 1440])
def test_a_sheet_is_keyed_in_and_a_fault_keeps_what_was_typed(site, width) -> None:
    job = site.job(OWNER)
    page = site.page("alma", width=width)
    page.goto(reverse("job-list", args=[job.number, "cure"]))
    page.get_by_role("link", name="Key in a paper sheet").click()
    yesterday = job.local(timezone.now()).date() - timedelta(days=1)
    page.get_by_label("Date on the paper").fill(yesterday.isoformat())
    page.get_by_label("E03, line 1, sensor").fill("edge")
    page.keyboard.press("Tab")
    page.keyboard.type("52")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.type("1041")
    page.get_by_label("E03, line 2, sensor").fill("top")
    page.get_by_label("E03, line 2, value").fill("54")
    page.get_by_role("button", name="Record the filled lines").click()
    expect(page.get_by_role("alert")).to_contain_text("Nothing is recorded yet. Look at E03, line 2.")
    expect(page.get_by_label("E03, line 2, time")).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_label("E03, line 1, value")).to_have_value("52")
    assert not job.entries.exists()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.get_by_label("E03, line 2, time").fill("10:45")
    page.get_by_role("button", name="Record the filled lines").click()
    expect(page.get_by_role("status")).to_contain_text("2 lines recorded from the paper.")
    assert [job.local(e.taken_at).strftime("%H:%M") for e in job.entries.order_by("sequence")] == [
        "10:41",
        "10:45",
    ]
    assert site.said == []


def test_a_joint_of_the_torque_log_by_keyboard_and_a_fault_keeps_what_was_typed(site) -> None:
    job = site.job(OWNER)
    page = site.page("alma", width=390)
    page.goto(reverse("key-in", args=[job.number, "assembly"]))
    page.get_by_role("link", name="The paper torque log").click()
    yesterday = job.local(timezone.now()).date() - timedelta(days=1)
    page.get_by_label("Date on the paper").fill(yesterday.isoformat())
    page.get_by_label("Torque wrench, serial number").fill("tw-3")
    page.get_by_label("pass 3, time").fill("1005")
    page.get_by_label("A1", exact=True).focus()
    for keys in ("Space", "Tab", "Tab", "Space", "Tab"):
        page.keyboard.press(keys)
    page.keyboard.type("1011")
    page.get_by_role("button", name="Record joint 1").click()
    expect(page.get_by_text("Who torqued it, by the paper?")).to_be_visible()
    expect(page.get_by_label("A2", exact=True)).to_be_checked()
    expect(page.get_by_label("bolt A2, time")).to_have_value("1011")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.get_by_label("Who torqued").select_option(label="Gus Pruitt")
    page.get_by_role("button", name="Record joint 1").click()
    expect(page.get_by_text("2 lines recorded from the paper.")).to_be_visible()
    expect(page.get_by_role("heading", name="Joint 2, splice")).to_be_visible()
    told = [(e.subject, job.local(e.taken_at).strftime("%H:%M")) for e in job.entries.order_by("sequence")]
    assert told == [("joint 1 pass 3 bolt A1", "10:05"), ("joint 1 pass 3 bolt A2", "10:11")]
    assert site.said == []
