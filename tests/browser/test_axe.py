"""The phone's pages against axe-core: names, roles, contrast, order of headings (WCAG 2.2, best practice)."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from tests.browser import phone as on

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def pages(site) -> list[str]:
    empty, tower = site.job(on.OWNER).number, site.job("Aasen Dairy").number
    lists = [reverse("phone-list", args=[empty, on.LIST]) + f"?item=C{n:02}" for n in (1, 2, 5, 7, 10, 16)]
    pour = reverse("pour-card", args=[tower])
    return [
        reverse("day-sheet"),
        *lists,
        pour,
        pour + "?truck=6&code=D03",
        reverse("pour-day", args=[empty]),
        reverse("pour-day", args=[empty]) + "?code=D08",
        reverse("torque-log", args=[tower]),
        reverse("emergency-card", args=[tower]),
        reverse("stop-work", args=[tower]),
        reverse("torque-log", args=[site.job("Harrow School District").number]) + "?joint=1",
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(site, scheme: str) -> None:
    page = site.page("ben", has_touch=True, color_scheme=scheme)
    found = []
    # by night only the colors differ, which tests/browser/test_sun_and_gloves.py measures
    for path in pages(site)[:: 1 if scheme == "light" else 4]:
        page.goto(path)
        on.quiet(page)
        for fault in Axe().run(page).response["violations"]:
            found += [f"{path}: {fault['id']}: {node['html'][:120]}" for node in fault["nodes"][:3]]
    assert "\n".join(found) == ""


def test_axe_finds_nothing_in_what_waits_and_what_was_refused(field, phone) -> None:
    page, number = phone(), field.job(on.OWNER).number
    page.context.set_offline(True)
    on.tick(page, "C07")
    on.add(page, number, on.list_path(field), 0, 3)
    found = Axe().run(page).response["violations"]
    assert [(fault["id"], fault["nodes"][0]["html"]) for fault in found] == []
