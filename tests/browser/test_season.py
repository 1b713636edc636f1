"""The office's long pages as a browser lays them out: how high they are, and that no two words stand on one
another on the season schedule. Heights are the office's own measure: one page of crew days for 40 jobs that
need no search.
"""

from __future__ import annotations

from datetime import timedelta

import pypdfium2
import pytest
from django.utils import timezone
from playwright.sync_api import Page

from crew.plan.models import Crew, CrewDay
from installs.jobs.models import Job
from installs.people.models import User
from tests.make import make_job, make_person

pytestmark = [pytest.mark.browser, pytest.mark.slow]

WORK = (
    ("survey", -12), ("excavation", 0), ("excavation", 1), ("pour", 2), ("tower assembly", 5),
    ("ground station", 8), ("tower lift", 33), ("turbine lift", 35), ("commissioning", 37),
)  # fmt: skip
# boxes of the words of a row by the letters as they stand: pairs that share more than a hair
OVERLAPS = """() => [...document.querySelectorAll("#strip svg g[id^=strip-]")].flatMap((row) => {
  const words = [...row.querySelectorAll("text")].map((t) => [t.textContent, t.getBoundingClientRect()]);
  const over = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 0.5
    && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4;
  return words.flatMap(([text, box], n) =>
    words.slice(n + 1).filter(([, other]) => over(box, other)).map(([o]) => `${row.id} ${text} / ${o}`));
})"""


def planned(jobs: int, apart: int) -> None:
    """Jobs one after the other, so many days apart, each with its days, papers, and a moved day."""
    now, office = timezone.now(), User.objects.get(username="alma")
    crews = [Crew.objects.create(name=f"Crew {n}", foreman=make_person()) for n in range(6)]
    for n in range(jobs):
        job = make_job(by=office, at=now, number=f"2131-{n:03}", owner=f"Owner of the farm number {n}")
        today = job.local(now).date()
        begun = today + timedelta(days=3 + apart * n)
        for kind, days in (("building", 60), ("airspace", 48), ("locate", 9)):
            job.permits.create(
                kind=kind, asked_of="County", asked_on=begun - timedelta(days=days), number="N",
                granted_on=min(today, begun - timedelta(days=days - 5)),
            )  # fmt: skip
        made = {"job": job, "crew": crews[n % 6], "made_at": now, "made_by": office}
        struck = {"struck_at": now, "struck_by": office, "struck_why": "gusts over 30 mph"}
        old = CrewDay.objects.create(phase="survey", on=begun - timedelta(days=14), **made, **struck)
        for phase, days in WORK:
            moved = old if phase == "survey" else None
            on = begun + timedelta(days=days)
            day = CrewDay.objects.create(phase=phase, on=on, moved_from=moved, **made)
            day.people.add(crews[n % 6].foreman)


def height(page: Page) -> float:
    return page.evaluate("document.documentElement.scrollHeight")


def test_crew_days_of_forty_jobs_are_at_most_6000_px_high_and_the_form_is_at_the_top(site) -> None:
    planned(40, 3)
    page = site.page("alma", width=1440)
    page.goto("/crew-days/")
    assert height(page) <= 6000
    assert page.locator("#add").bounding_box()["y"] <= 900
    assert page.get_by_role("button", name="Add, tentative").bounding_box()["y"] <= 900
    assert Job.objects.filter(number__startswith="2131").count() == 40


@pytest.mark.parametrize("over", ["10 weeks", "a season", "9 months"])
def test_no_two_words_of_sixty_jobs_stand_on_one_another(site, over) -> None:
    planned(60, 4)
    page = site.page("alma", width=1440)
    rows = 0
    for path in (f"/look-ahead/?over={over}", f"/look-ahead/?over={over}&sheet=2"):
        page.goto(path)
        rows += page.locator("#strip svg g[id^=strip-2], #strip svg g[id^=strip-]").count()
        # what is scrolled under the names is hidden by them, and no word of the drawing
        page.locator(".strip-frame").evaluate("frame => { frame.scrollLeft = 0 }")
        names = page.locator("#strip .layer-names").first
        site.until(page, lambda: names.get_attribute("transform") == "translate(0 0)")  # noqa: B023
        assert page.evaluate(OVERLAPS) == []
    assert rows > 60


def test_on_a_phone_the_schedule_begins_three_days_before_today_and_the_numbers_stay(site) -> None:
    planned(8, 4)
    page = site.page("alma", width=390)
    page.goto("/look-ahead/")
    frame = page.locator(".strip-frame")
    today = page.evaluate(
        """() => {
          const frame = document.querySelector(".strip-frame").getBoundingClientRect();
          const words = [...document.querySelectorAll("#strip text")]
            .find((t) => t.textContent.startsWith("today,"));
          return words.getBoundingClientRect().right + 8 - frame.left;
        }"""
    )
    assert today == pytest.approx(84 + 3 * 14, abs=2)
    number = page.locator("#strip .layer-names text").first
    left = number.bounding_box()["x"]
    frame.evaluate("frame => { frame.scrollLeft += 300 }")
    site.until(page, lambda: abs(number.bounding_box()["x"] - left) < 1)


def test_the_week_for_the_wall_prints_on_one_sheet(site, tmp_path) -> None:
    planned(8, 0)
    page = site.page("alma", width=1440)
    page.goto("/crew-days/wall/")
    kept = tmp_path / "wall.pdf"
    page.pdf(path=kept, prefer_css_page_size=True)
    printed = pypdfium2.PdfDocument(kept)
    width, tall = printed[0].get_size()
    assert len(printed) == 1 and width > tall
