"""Every page, for everybody who may see it, on a phone, a narrow phone and a desk."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.urls import Resolver404, resolve, reverse

from installs.people.access import may
from installs.people.models import User

pytestmark = [pytest.mark.browser, pytest.mark.slow]

CLEAN = set[str]()  # drawings whose lines were looked at in this process, by the name that the script gives
WIDTHS = (1440, 390, 320)
DRAWN_WORDS = Path(__file__).with_name("drawn_words.js").read_text(encoding="utf-8")
FIRM = (
    "look-ahead", "next-day", "crew-days", "plans", "crew-add", "absence-add", "jobs", "job-open",
    "all-papers", "people", "person-add", "equipment", "crane-add", "turbine-models",
    "turbine-model-add", "day-sheet", "phones", "crew-days-wall", "feeds", "crane-bookings",
    "utilities", "utility-profile-add",
)  # fmt: skip
OF_A_JOB = (
    "job-book", "job-edit", "job-lists", "permits", "permit-add", "inspections", "materials", "papers",
    "site", "foundation", "pour", "tower", "tower-torque", "turbine", "ground-station", "lift",
    "turbine-lift", "pour-card", "torque-log", "torque-key-in", "pour-key-in", "cure-key-in", "contacts",
    "emergency", "emergency-edit", "emergency-card", "stop-work", "utility", "utility-edit",
)  # fmt: skip
# pages of one thing, found by the links to it: one of each is opened
OF_ONE_THING = {
    "person",
    "crew",
    "crew-day",
    "crane",
    "wrench",
    "sling",
    "turbine-model",
    "permit",
    "phone-end",
    "utility-profile",
}
# the office, a foreman, the electrician and the engineer; a job in each state: a draft that fails (140 ft of
# lattice), a tube on an octagon, cure under way, ready to lift, in service
ROUNDS = (
    *((name, None) for name in ("alma", "ben", "nadia", "lindqvist")),
    ("alma", "Delmar and Joy Kettleson"),
    ("alma", "Plum Township"),
    ("alma", "Aasen Dairy"),
    ("alma", "Harrow School District"),
    ("alma", "Tilley Farm"),
    ("ben", "Aasen Dairy"),
    ("nadia", "Harrow School District"),
    ("lindqvist", "Delmar and Joy Kettleson"),
)


def may_open(person: User, path: str) -> bool:
    return may(person, resolve(urlsplit(path).path).func.ability)


def addresses(site, owner: str | None) -> list[str]:
    if owner is None:
        return [reverse(name) for name in FIRM]
    job = site.job(owner)
    pages = [reverse(name, args=[job.number]) for name in OF_A_JOB]
    lists = [reverse("phone-list", args=[job.number, kept.key]) for kept in job.lists.all()[:3]]
    paper = [job.number, job.lists.first().key]
    return [*pages, *lists, reverse("job-list", args=paper) + "?paper", reverse("key-in", args=paper)]


def links(page) -> set[str]:
    """Paths of this site to which the page leads."""
    read = "links => links.map(link => new URL(link.getAttribute('href'), document.baseURI).href)"
    here = urlsplit(page.url).netloc
    found = map(urlsplit, page.eval_on_selector_all("a[href]", read))
    return {link.path for link in found if link.netloc == here}


def page_name(path: str) -> str:
    """The name of the page at a path; "" where there is none."""
    try:
        return resolve(path).url_name or ""
    except Resolver404:
        return ""


def unfit(page) -> list[str]:
    """What is wrong at each width: the page must be pushed sideways, words of a drawing cannot be read."""
    faults = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        if page.evaluate("document.documentElement.scrollWidth") > width:
            faults.append(f"wider than {width}")
        faults += [f"at {width} {fault}" for fault in drawn_faults(page)]
    return faults


def drawn_faults(page) -> list[str]:
    """Of the words of the drawings on a page; a drawing is looked at for lines once, wherever it stands.

    A schedule is looked at from its beginning: what is scrolled under its names is hidden by them on purpose.
    """
    page.eval_on_selector_all(
        ".strip-frame",
        "all => all.forEach(one => { one.scrollLeft = 0; one.dispatchEvent(new Event('scroll')); })",
    )
    found = page.evaluate(DRAWN_WORDS, list(CLEAN))
    CLEAN.update(found["clean"])
    return found["faults"]


def unnamed_fields(page) -> list[str]:
    """Fields that somebody who hears the page would not know the name of."""
    return page.evaluate(
        """() => [...document.querySelectorAll("input:not([type=hidden]), select, textarea")]
          .filter(field => !field.labels?.length && !field.ariaLabel)
          .map(field => field.outerHTML.slice(0, 120))"""
    )


@pytest.mark.parametrize(("who", "owner"), ROUNDS, ids=lambda told: told or "the firm")
def test_pages_open_fit_the_screen_and_have_no_broken_part(site, who: str, owner: str | None) -> None:
    person = User.objects.get(username=who)
    page = site.page(who, width=1440)
    faults = []
    to_open = addresses(site, owner)
    opened = set()
    for path in to_open:
        if not may_open(person, path):
            continue
        answer = page.goto(path)
        faults += [f"{path}: {answer.status}"] if answer.status != 200 else []
        page.eval_on_selector_all("details", "folded => folded.forEach(each => { each.open = true; })")
        faults += [f"{path}: {fault}" for fault in unfit(page)]
        for link in sorted(links(page)):
            name = page_name(link)
            faults += [] if name else [f"{path}: leads to {link}"]
            if name in OF_ONE_THING - opened:
                opened.add(name)
                to_open.append(link)
        faults += [f"{path}: no label: {html}" for html in unnamed_fields(page)]
    assert "\n".join(faults) == ""


def test_words_on_one_another_and_off_the_sheet_are_found(site) -> None:
    """Of the reader itself: turned words, words beside one another, words of a drawing that is not shown."""
    page = site.page("ben")
    page.set_content(
        """<svg width="300" height="200" font-size="12"><text x="10" y="20">420 ft</text>
        <text x="30" y="22">north</text><text x="100" y="20">one line</text>
        <text x="100" y="34">the next</text>
        <text x="200" y="100" transform="rotate(-90 200 100)">turned</text><text x="190" y="80">across</text>
        <text x="205" y="150">far beyond the sheet</text></svg>
        <svg width="300" height="50" style="display: none"><text x="290" y="20">not shown</text></svg>"""
    )
    assert drawn_faults(page) == [
        "“far beyond the sheet” leaves its sheet",
        "“420 ft” and “north” stand on one another",
        "“turned” and “across” stand on one another",
    ]


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
    assert unfit(page) == []
    page.get_by_label("Sign-in name").fill("alma")
    page.get_by_label("Password").fill("a quiet wind over the coulee")
    page.keyboard.press("Enter")
    page.wait_for_url("**" + reverse("next-day"))
