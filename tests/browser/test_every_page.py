"""Every page, for everybody who may see it, on a phone, a narrow phone and a desk."""

from __future__ import annotations

from urllib.parse import urlsplit

import pytest
from django.urls import Resolver404, resolve, reverse

from installs.people.access import may
from installs.people.models import User

pytestmark = [pytest.mark.browser, pytest.mark.slow]

WIDTHS = (1440, 390, 320)
PEOPLE = ("alma", "ben", "nadia", "lindqvist")
FIRM = (
    "look-ahead", "next-day", "crew-days", "plans", "crew-add", "absence-add", "jobs", "job-open",
    "all-papers", "people", "person-add", "equipment", "crane-add", "turbine-models",
    "turbine-model-add", "day-sheet",
)  # fmt: skip
OF_A_JOB = (
    "job-book", "job-edit", "job-lists", "permits", "permit-add", "inspections", "materials", "papers",
    "site", "foundation", "pour", "tower", "tower-torque", "turbine", "ground-station", "lift",
    "turbine-lift", "pour-card", "torque-log",
)  # fmt: skip
# a job in each state: nothing released, cure under way, ready to lift, in service
JOBS = ("Delmar and Joy Kettleson", "Aasen Dairy", "Harrow School District", "Tilley Farm")


def may_open(person: User, path: str) -> bool:
    return may(person, resolve(urlsplit(path).path).func.ability)


def addresses(site, owner: str | None) -> list[str]:
    if owner is None:
        return [reverse(name) for name in FIRM]
    job = site.job(owner)
    pages = [reverse(name, args=[job.number]) for name in OF_A_JOB]
    lists = [reverse("phone-list", args=[job.number, kept.key]) for kept in job.lists.all()[:3]]
    return [*pages, *lists, reverse("job-list", args=[job.number, job.lists.first().key]) + "?paper"]


def broken_links(page) -> list[str]:
    """Links into this site that lead to no page of it."""
    read = "links => links.map(link => new URL(link.getAttribute('href'), document.baseURI).href)"
    here = urlsplit(page.url).netloc
    found = map(urlsplit, page.eval_on_selector_all("a[href]", read))
    paths = {link.path for link in found if link.netloc == here}
    broken = []
    for path in paths:
        try:
            resolve(path)
        except Resolver404:
            broken.append(path)
    return broken


def too_wide(page) -> list[int]:
    """The widths at which the page itself must be pushed sideways."""
    wide = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        if page.evaluate("document.documentElement.scrollWidth") > width:
            wide.append(width)
    return wide


def unnamed_fields(page) -> list[str]:
    """Fields that somebody who hears the page would not know the name of."""
    return page.evaluate(
        """() => [...document.querySelectorAll("input:not([type=hidden]), select, textarea")]
          .filter(field => !field.labels?.length && !field.ariaLabel)
          .map(field => field.outerHTML.slice(0, 120))"""
    )


@pytest.mark.parametrize("owner", [None, *JOBS], ids=lambda owner: owner or "the firm")
@pytest.mark.parametrize("name", PEOPLE)
def test_pages_open_fit_the_screen_and_have_no_broken_part(site, name: str, owner: str | None) -> None:
    if owner != JOBS[1] and name in ("ben", "nadia") and owner is not None:
        owner = JOBS[1]  # outdoors they see the same pages of every job
    person = User.objects.get(username=name)
    page = site.page(name, width=1440)
    faults = []
    for path in addresses(site, owner):
        if not may_open(person, path):
            continue
        answer = page.goto(path)
        faults += [f"{path}: {answer.status}"] if answer.status != 200 else []
        faults += [f"{path}: wider than {width}" for width in too_wide(page)]
        faults += [f"{path}: leads to {link}" for link in broken_links(page)]
        faults += [f"{path}: no label: {html}" for html in unnamed_fields(page)]
    assert "\n".join(faults) == ""


def test_who_may_not_is_refused(site) -> None:
    page = site.page("ben")
    assert page.goto(reverse("people")).status == 403
    site.said.clear()  # the browser says that it was refused


def test_signing_in_leads_to_the_page_asked_for(site) -> None:
    person = User.objects.get(username="alma")
    person.set_password("a quiet wind over the coulee")
    person.save()
    page = site.stranger()
    page.goto(reverse("next-day"))
    assert too_wide(page) == []
    page.get_by_label("Sign-in name").fill("alma")
    page.get_by_label("Password").fill("a quiet wind over the coulee")
    page.keyboard.press("Enter")
    page.wait_for_url("**" + reverse("next-day"))
