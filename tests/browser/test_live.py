"""Office pages renew themselves under somebody who reads, tabs and types."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from crew.plan.models import Crew, CrewDay
from crew.plan.services import add_day, strike_day
from installs.checklists.taking import take_entry
from installs.jobs.services import change_job, open_deviation
from installs.people.models import User

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.usefixtures("one_age")]
OWNER = "Aasen Dairy"
widths = pytest.mark.parametrize("width", [390, 1440])


def enter(site, number: float) -> None:
    ben, now = User.objects.get(username="ben"), timezone.now()
    fields = {"code": "E03", "subject": "edge", "number": number, "taken_at": now, "received_at": now}
    take_entry(site.job(OWNER), by=ben, **fields)


# whether the page, at its turn to ask, does not ask
HELD_BACK = """() => {
  const turns = [], note = (event) => { if (event.target.id === "live") turns.push(event.defaultPrevented); };
  document.addEventListener("htmx:beforeRequest", note);
  document.dispatchEvent(new Event("visibilitychange"));
  document.removeEventListener("htmx:beforeRequest", note);
  return turns.length === 1 && turns[0];
}"""


def ask_now(page) -> None:
    """As when the page comes to the front again; by itself it asks every 20 s."""
    with page.expect_response(lambda r: "/live/" in r.url):
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")


@widths
@pytest.mark.parametrize("name", ["look-ahead", "job-book"])
def test_an_entry_appears_with_who_and_when(site, name, width) -> None:
    page = site.page("alma", width=width)
    page.goto(reverse(name, args=[site.job(OWNER).number] if name == "job-book" else []))
    expect(page.locator("#since")).to_be_hidden()
    enter(site, 52)
    ask_now(page)
    expect(page.locator("#since li")).to_contain_text("E03 edge 52 F")
    enter(site, 53)
    ask_now(page)
    expect(page.locator("#since li").first).to_contain_text("E03 edge 53 F")
    assert page.locator("#since li").count() == 2
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert site.said == []


def test_the_row_that_changed_is_swapped_in_its_place_and_no_other(site) -> None:
    page = site.page("alma", width=1440)
    page.goto(reverse("look-ahead"))
    rows = "[...document.querySelectorAll('[data-row]')]"
    before = page.evaluate(f"{rows}.map(row => {{ row.met = true; return row.id }})")
    job = site.job(OWNER)
    ben = User.objects.get(username="ben")
    open_deviation(job, "frozen edge", "blanket blew off", by=ben, at=timezone.now())
    change_job(job, {"owner": "Aasen Renamed"}, by=ben, at=timezone.now())
    ask_now(page)
    expect(page.locator(f"#job-{job.pk}")).to_contain_text("frozen edge")
    expect(page.locator(f"#strip-{job.pk} text", has_text="Aasen Renamed")).to_have_count(1)
    drawn = page.evaluate(f"document.getElementById('strip-{job.pk}').getBBox().width")
    assert drawn > 100  # a shape of the drawing, not a word in it
    assert page.evaluate(f"{rows}.map(row => row.id)") == before
    assert set(page.evaluate(f"{rows}.filter(row => !row.met).map(row => row.id)")) == {
        f"job-{job.pk}",
        f"strip-{job.pk}",
    }
    assert site.said == []


def test_it_asks_by_itself(site) -> None:
    page = site.page("alma", width=1440)
    page.clock.install()
    page.goto(reverse("look-ahead"))
    with page.expect_response(lambda r: "/live/" in r.url) as answered:
        page.clock.run_for(20_000)
    assert answered.value.status == 204


def test_the_keyboard_and_the_strip_stay_where_they_were(site) -> None:
    page = site.page("alma", width=390)
    page.goto(reverse("look-ahead"))
    number = site.job(OWNER).number
    link = page.locator("#job-rows td.job a", has_text=number)
    link.focus()
    page.locator(".strip-frame").evaluate("strip => { strip.scrollLeft = 120 }")
    enter(site, 52)
    ask_now(page)
    expect(page.locator("#since li")).to_have_count(1)
    expect(page.locator("#job-rows td.job a", has_text=number)).to_be_focused()
    assert page.locator(".strip-frame").evaluate("strip => strip.scrollLeft") == 120


def test_what_somebody_types_is_never_swapped_away(site) -> None:
    job = site.job(OWNER)
    open_deviation(
        job, "frozen edge", "blanket blew off", by=User.objects.get(username="ben"), at=timezone.now()
    )
    page = site.page("alma", width=1440)
    page.goto(reverse("job-book", args=[job.number]))
    reason = page.locator(".deviation input[name=reason]").first
    reason.fill("core sample of the edge")
    page.locator("h1").click()
    enter(site, 52)
    assert page.evaluate(HELD_BACK)
    expect(page.locator("#since")).to_be_hidden()
    assert reason.input_value() == "core sample of the edge"
    reason.fill("")
    assert page.evaluate(HELD_BACK)  # still in the field
    expect(page.locator("#since")).to_be_hidden()
    page.locator("h1").click()
    page.evaluate("document.activeElement.blur()")
    ask_now(page)
    expect(page.locator("#since li")).to_have_count(1)


def test_the_form_of_a_crew_day_keeps_what_is_typed_while_the_days_renew(site) -> None:
    page = site.page("alma", width=1440)
    page.goto(reverse("crew-days"))
    note = page.locator("form [name=note]")
    note.fill("bring the long sling")
    before = page.locator("#live").get_attribute("hx-get")
    enter(site, 52)
    ask_now(page)
    expect(page.locator("#live")).not_to_have_attribute("hx-get", before or "")
    assert note.input_value() == "bring the long sling"
    expect(note).to_be_focused()


def test_a_plan_can_be_issued_from_a_page_that_was_opened_before_anything_was_tentative(site) -> None:
    now, alma = timezone.now(), User.objects.get(username="alma")
    for day in CrewDay.objects.filter(plan=None, struck_at=None):
        strike_day(day, by=alma, at=now, why="none of it")
    page = site.page("alma", width=1440)
    page.goto(reverse("crew-days"))
    issue = page.get_by_role("button", name="Issue the plan")
    expect(issue).to_have_count(0)
    job = site.job(OWNER)
    add_day(job, "survey", job.local(now).date() + timedelta(days=3), Crew.objects.all()[0], by=alma, at=now)
    ask_now(page)
    expect(issue).to_be_visible()
    page.get_by_label("What changed, in a line").fill("A second survey")
    issue.click()
    expect(page.locator("main")).to_contain_text("issued")
    assert site.said == []


def test_signed_out_the_page_stays_and_says_so(site) -> None:
    page = site.page("alma", width=1440)
    page.goto(reverse("look-ahead"))
    page.context.clear_cookies()
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator("#trouble")).to_contain_text("sign in again")
    expect(page.locator("h1")).to_contain_text("Look-ahead")
