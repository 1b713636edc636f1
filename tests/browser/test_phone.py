"""The phone in gloves: few taps, large keys, every record; with JavaScript and without."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from installs.checklists.models import Item
from tests.browser.phone import choose, emptied

pytestmark = [pytest.mark.browser, pytest.mark.slow]
OWNER = "Juniper Rural Water"  # all parts released, nothing recorded in the field
TOWER, LAST_PASS = "Aasen Dairy", "255 ft-lb"

both_ways = pytest.mark.parametrize(
    "javascript", [True, False], ids=["with JavaScript", "without JavaScript"]
)


@pytest.fixture
def phone(site):
    def opened(person: str, name: str, *args: str, javascript: bool = True, query: str = ""):
        page = site.page(person, has_touch=True, is_mobile=True, java_script_enabled=javascript)
        page.goto(reverse(name, args=args) + query)
        return page

    return opened


def entries(site, owner: str = OWNER):
    return site.job(owner).entries.order_by("sequence")


def choose_wrench(page) -> None:
    """One that is in calibration."""
    offered = page.locator("#id_wrench option").all_inner_texts()
    good = next(words for words in offered[1:] if "not in calibration" not in words)
    page.get_by_label("Wrench").select_option(label=good)


def type_by_keys(page, text: str) -> None:
    for key in text:
        page.locator(f".keypad [data-key='{key}']").tap()


@both_ways
def test_a_tick_takes_two_taps_at_most(site, phone, javascript) -> None:
    number = site.job(OWNER).number
    page = phone("ben", "phone-list", number, "forming", javascript=javascript)
    choose(page, "C07").get_by_role("button", name="Done").tap()
    expect(page.get_by_text("1 of 15 done.")).to_be_visible()
    assert entries(site).get().code == "C07"


def test_number_keys_fill_the_value_and_enter_sends_it(site, phone) -> None:
    page = phone("ben", "phone-list", site.job(OWNER).number, "forming", query="?item=C02")
    type_by_keys(page, "8.55")
    page.locator("[data-key=back]").tap()
    page.get_by_role("button", name="Enter 8.5 in").tap()
    site.until(page, entries(site).exists)
    expect(page.locator(".kept")).to_contain_text("8.5 in")
    assert entries(site).get().number == 8.5


@both_ways
def test_a_reading_out_of_tolerance_asks_for_a_second_look(site, phone, javascript) -> None:
    page = phone(
        "ben", "phone-list", site.job(OWNER).number, "forming", query="?item=C10", javascript=javascript
    )
    page.get_by_label("Which leg").select_option("leg A")
    page.locator("input.value").fill("0.25")
    page.locator("form.next button.main").tap()
    expect(page.get_by_text("Check it again")).to_be_visible()
    assert page.locator("input.value").input_value() == "0.25"
    assert not entries(site).exists()
    page.get_by_label("Note").fill("template bent")
    page.locator("form.next button.main").tap()
    site.until(page, entries(site).exists)
    expect(page.locator(".kept")).to_contain_text("template bent")
    assert entries(site).get().data == {"out_of_tolerance": True}


def test_without_signal_a_reading_is_held_against_the_card_that_the_page_was_made_with(
    field, site, phone
) -> None:
    """The signed plan's stop gust goes with the form: the phone says stop by itself, and by which plan."""
    lifting = "Harrow School District"
    page = phone("ben", "phone-list", site.job(lifting).number, "tower lift", query="?item=H12")
    page.context.set_offline(True)
    page.locator("input.value").fill("28")
    page.locator("form.next button.main").tap()
    expect(page.locator(".errorlist")).to_contain_text("Over the card: stop. Accepted 11 mph gust or less")
    page.get_by_label("Note").fill("squall")
    page.locator("form.next button.main").tap()
    expect(page.locator("[data-row=H12]")).to_contain_text("Beyond the card: stop.")
    page.context.set_offline(False)
    sent = entries(site, lifting).filter(code="H12")
    site.until(page, sent.exists)
    assert sent.get().data == {"plan": "A", "out_of_tolerance": True}
    assert sent.get().deviations.get().title == "H12 28 mph gust, over the card: stop"


def signature_item(site):
    return Item.objects.filter(list__job=site.job(OWNER), kind="signature").select_related("list").first()


def test_a_signature_drawn_by_finger_arrives_as_a_picture(site, phone) -> None:
    item = signature_item(site)
    page = phone("ben", "phone-list", site.job(OWNER).number, item.list.key, query=f"?item={item.code}")
    pad = page.locator("canvas.pen")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 40)
    page.mouse.down()
    for step in range(12):
        page.mouse.move(box["x"] + 20 + 20 * step, box["y"] + 40 + 30 * (step % 2))
    page.mouse.up()
    expect(page.locator("input[name=photo]")).not_to_have_js_property("value", "")
    page.get_by_role("button", name="Signed", exact=True).tap()
    site.until(page, entries(site).exists)
    expect(page.locator(".items .kept")).to_be_visible()
    assert entries(site).get().photo is not None


def test_without_javascript_a_signature_is_the_name(site, phone) -> None:
    item = signature_item(site)
    query = f"?item={item.code}"
    page = phone("ben", "phone-list", site.job(OWNER).number, item.list.key, query=query, javascript=False)
    expect(page.locator("canvas.pen")).to_be_hidden()
    page.get_by_label("Name of who signs").fill("D. Arneson")
    page.get_by_role("button", name="Signed", exact=True).tap()
    expect(page.locator(".items .kept")).to_be_visible()
    assert entries(site).get().data["signed"] == "D. Arneson"


def test_the_list_of_a_cure_under_way_stands_on_the_day_sheet(site, phone) -> None:
    page = phone("ben", "day-sheet")
    cure = page.locator(".work", has_text=f"{site.job(TOWER).number} Cure")
    expect(cure.get_by_role("button")).to_have_count(0)
    cure.get_by_text("Cure and strength").tap()
    expect(page.get_by_text("2 of 10 done.")).to_be_visible()


@both_ways
def test_torque_whole_early_passes_then_bolt_by_bolt_and_a_failed_one_is_replaced(
    site, phone, javascript
) -> None:
    page = phone("tilda", "torque-log", site.job(TOWER).number, javascript=javascript)
    before = entries(site, TOWER).count()
    choose_wrench(page)
    page.get_by_role("button", name="All 24 at snug").tap()
    page.get_by_role("button", name="All 24 at 180 ft-lb").tap()
    expect(page.get_by_role("heading", name=f"A1 to {LAST_PASS}")).to_be_visible()
    page.get_by_role("button", name="A1 torqued").tap()
    expect(page.get_by_text("1 torqued, 0 failed, 23 to go")).to_be_visible()
    page.get_by_role("button", name="A2 kept turning, no torque").tap()
    expect(page.get_by_text("1 torqued, 1 failed, 22 to go")).to_be_visible()
    expect(page.get_by_text("Take A2 out today: new bolt, nut, washer.")).to_be_visible()
    assert page.locator(".joint a[aria-label='bolt A2, failed'] .crayon").count() > 0
    page.locator(".joint a[aria-label='bolt A2, failed']").tap()
    page.get_by_role("button", name="New bolt in A2").tap()
    for early in ("A2 to snug", "A2 to 180 ft-lb"):  # a new bolt skips no pass of its joint
        expect(page.get_by_role("heading", name=early)).to_be_visible()
        expect(page.get_by_text("23 torqued, 0 failed, 1 to go")).to_be_visible()
        page.get_by_role("button", name="A2 torqued").tap()
    expect(page.get_by_text("1 torqued, 0 failed, 23 to go")).to_be_visible()
    page.get_by_role("button", name="A2 torqued").tap()
    expect(page.get_by_text("2 torqued, 0 failed, 22 to go")).to_be_visible()
    expect(page.get_by_text("to come, 24 bolts")).to_be_visible()  # all of them, since one had failed
    assert entries(site, TOWER).count() == before + 8


def test_the_next_bolt_and_its_buttons_stay_at_the_foot_of_the_screen(site, phone) -> None:
    page = phone("tilda", "torque-log", site.job(TOWER).number)
    for where in (0, 400):
        page.evaluate(f"window.scrollTo(0, {where})")
        box = page.locator(".at-foot button.main").bounding_box()
        assert box["y"] > 0 and box["y"] + box["height"] <= 844


@both_ways
def test_a_truck_from_ticket_to_discharge_and_one_rejected(site, phone, javascript) -> None:
    job = site.job(OWNER)
    page = phone("ben", "pour-card", job.number, javascript=javascript)
    batched = job.local(timezone.now() - timedelta(minutes=74))
    page.get_by_label("Ticket number").fill("48833")
    page.get_by_label("Yards, yd³").fill("9.5")
    page.get_by_label("Batched at").fill(f"{batched:%H:%M}")
    page.get_by_role("button", name="Enter the ticket").tap()
    for title, value in (
        ("Concrete temperature", "64"),
        ("Slump", "4.25"),
        ("Air", "6.2"),
        ("Water added", "0"),
        ("Minutes from batching to discharge", "74"),
    ):
        expect(page.get_by_role("heading", name=title, exact=True)).to_be_visible()
        expect(page.get_by_text("Discharge truck 1 by")).to_be_visible()
        if javascript:
            type_by_keys(page, value)
        else:
            page.locator("input.value").fill(value)
        page.locator("form.next button.main").tap()
    expect(page.get_by_role("heading", name="Ticket of truck 2")).to_be_visible()
    page.get_by_label("Ticket number").fill("48840")
    page.get_by_label("Yards, yd³").fill("9.5")
    page.get_by_role("button", name="Enter the ticket").tap()
    page.get_by_text("Reject truck 2, say why").tap()
    page.locator("#id_refuse").fill("air 8.9 %")
    page.get_by_role("button", name="Reject truck 2").tap()
    expect(page.locator(".ticket", has_text="truck 2")).to_contain_text("rejected")
    told = {e.code: e.number for e in entries(site) if e.subject == "truck 1"}
    assert told == {"D01": 9.5, "D05": 64, "D03": 4.25, "D04": 6.2, "D07": 0, "D02": 74}


def test_a_bad_figure_is_said_at_its_field_and_stays_as_typed(site, phone) -> None:
    page = phone("ben", "pour-card", site.job(OWNER).number)
    page.get_by_label("Ticket number").fill("48833")
    page.get_by_label("Yards, yd³").fill("nine")
    page.get_by_role("button", name="Enter the ticket").tap()
    expect(page.locator(".errorlist")).to_be_visible()
    assert page.get_by_label("Ticket number").input_value() == "48833"
    assert page.get_by_label("Yards, yd³").input_value() == "nine"
    assert not entries(site).exists()


def test_a_bolt_is_as_large_as_a_button(site, phone) -> None:
    page = phone("tilda", "torque-log", site.job(TOWER).number)
    choose_wrench(page)
    for button in ("All 24 at snug", "All 24 at 180 ft-lb"):
        page.get_by_role("button", name=button).tap()
    expect(page.get_by_role("button", name="A1 torqued")).to_be_visible()
    emptied(site, page)
    expect(page.locator(".joint a")).to_have_count(24)  # the office's page, in which each bolt is a link
    boxes = [bolt.bounding_box() for bolt in page.locator(".joint a").all()]
    assert len(boxes) == 24
    assert min(min(box["width"], box["height"]) for box in boxes) >= 72


def test_the_check_counts_only_with_a_wrench_and_asks_for_it(site, phone) -> None:
    """Tilda torqued joint 1 of the tower that waits to be lifted; Ben may check it again."""
    job = site.job("Harrow School District")
    page = phone("ben", "torque-log", job.number, query="?joint=1")
    page.get_by_label("Wrench").select_option("")
    page.locator(".bolt-boxes label", has_text="A1").first.tap()
    before = job.entries.count()
    page.get_by_role("button", name="Record the check").tap()
    expect(page.get_by_text("Checked with which wrench?")).to_be_visible()
    assert job.entries.count() == before
    choose_wrench(page)  # the tick is still there
    page.get_by_role("button", name="Record the check").tap()
    expect(page.get_by_text("Checked with which wrench?")).to_be_hidden()
    site.until(page, lambda: job.entries.count() == before + 1)
