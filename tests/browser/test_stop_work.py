"""Stop work in two taps from the day sheet, also where there is no signal."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from installs.jobs.models import Deviation
from tests.browser import phone as on

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def test_two_taps_without_signal_stop_the_site_as_soon_as_there_is_some(field, phone) -> None:
    page, job = phone(), field.job(on.OWNER)
    path = reverse("stop-work", args=[job.number])
    page.goto(path)
    on.quiet(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Stop all work on this site").tap()
    expect(page.locator("#waiting")).to_contain_text("1 entry is on this phone, not sent")
    assert not Deviation.objects.filter(job=job).exists()
    page.context.set_offline(False)
    on.emptied(field, page)
    assert Deviation.objects.get(job=job).kind == "stop work, site"
    page.goto(path)
    expect(page.locator("main")).to_contain_text("Stopped.")
