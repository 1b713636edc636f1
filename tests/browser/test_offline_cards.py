"""Torque log and pour card without signal, card by card; the office has them in order afterwards."""

from __future__ import annotations

import json

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from installs.tower.torque_log import load_torque
from tests.browser import phone as on

pytestmark = [pytest.mark.browser, pytest.mark.slow]

TOWER, CHECKED = "Aasen Dairy", "Harrow School District"


def choose_wrench(page) -> None:
    """One that is in calibration."""
    offered = page.locator("#id_wrench option").all_inner_texts()
    page.get_by_label("Wrench").select_option(
        label=next(words for words in offered[1:] if "not in calibration" not in words)
    )


def test_torque_an_early_pass_with_exceptions_then_bolt_by_bolt(field, phone) -> None:
    before = on.entries(field, TOWER).count()
    page = phone("tilda", path=reverse("torque-log", args=[field.job(TOWER).number]))
    page.context.set_offline(True)
    page.get_by_role("button", name="All 24 at snug").tap()
    expect(page.locator(".errorlist")).to_have_count(0)  # a snug pass takes no torque wrench
    on.has_waiting(page, 1)
    page.get_by_role("button", name="All 24 at ").tap()
    expect(page.locator(".errorlist")).to_contain_text("Which wrench?")
    choose_wrench(page)
    page.get_by_text("Any bolt keep turning? Tap it").tap()
    page.locator("#steps label", has_text="A2").first.tap()
    page.get_by_role("button", name="The others at ").tap()
    expect(page.get_by_role("button", name="A1 torqued")).to_be_visible()
    page.get_by_role("button", name="A1 torqued").tap()
    # A2 kept turning: it is torqued no further until it is new
    expect(page.get_by_role("heading", name="A3 to 255 ft-lb")).to_be_visible()
    on.has_waiting(page, 3)
    page.context.set_offline(False)
    on.emptied(field, page)
    new = list(on.entries(field, TOWER))[before:]
    assert [e.subject for e in new] == ["joint 1 pass 1", "joint 1 pass 2", "joint 1 pass 3 bolt A1"]
    assert (new[1].data["failed"], new[1].data["torqued"]) == (["A2"], 23)
    assert (new[2].number, new[2].unit) == (255, "ft-lb")
    assert new[2].data["wrench"] == new[1].data["wrench"] != ""
    assert on.whole(field, TOWER)


def test_a_bolt_that_kept_turning_is_made_new_and_torqued_without_signal(field, phone) -> None:
    """Then all bolts of the joint are checked by a second person, not only some of them."""
    page = phone("tilda", path=reverse("torque-log", args=[field.job(TOWER).number]))
    bolts = json.loads(page.locator("template[data-joint]").first.get_attribute("data-joint"))["bolts"]
    choose_wrench(page)
    page.context.set_offline(True)
    for button in ("All 24 at snug", "All 24 at 180 ft-lb", "A1 kept turning, no torque"):
        page.get_by_role("button", name=button).tap()
    for bolt in bolts[1:]:
        page.get_by_role("button", name=f"{bolt} torqued", exact=True).tap()
    page.get_by_role("button", name="New bolt in A1").tap()
    for _ in range(3):  # a new bolt begins at the first pass
        page.get_by_role("button", name="A1 torqued", exact=True).tap()
    expect(page.locator("#steps")).to_contain_text("checks all 24 bolts")
    on.has_waiting(page, 2 + 24 + 1 + 3)
    page.context.set_offline(False)
    on.emptied(field, page)
    joint = load_torque([field.job(TOWER)])[field.job(TOWER).pk].joints[0]
    assert (joint.torqued, joint.failed, joint.to_check) == (24, (), 24)
    assert joint.open == ("second check of all its bolts since then not recorded",)


def test_a_bolt_tapped_on_the_drawing_without_signal_is_the_next_card(field, phone) -> None:
    page = phone("tilda", path=reverse("torque-log", args=[field.job(TOWER).number]))
    choose_wrench(page)
    for button in ("All 24 at snug", "All 24 at 180 ft-lb"):
        page.get_by_role("button", name=button).tap()
    on.emptied(field, page)
    expect(page.locator(".joint a[aria-label*='A4']").first).to_be_visible()
    page.context.set_offline(True)
    page.locator(".joint a[aria-label*='A4']").first.tap()
    expect(page.get_by_role("button", name="A4 torqued")).to_be_visible()


def test_the_second_persons_check_without_signal(field, phone) -> None:
    """Tilda torqued joint 1 of the tower that waits to be lifted; Ben may check it again."""
    before = on.entries(field, CHECKED).count()
    page = phone("ben", path=reverse("torque-log", args=[field.job(CHECKED).number]) + "?joint=1")
    page.context.set_offline(True)
    choose_wrench(page)
    page.locator(".bolt-boxes label", has_text="A1").first.tap()
    page.get_by_role("button", name="Record the check").tap()
    on.has_waiting(page, 1)
    page.context.set_offline(False)
    on.emptied(field, page)
    new = on.entries(field, CHECKED).last()
    assert on.entries(field, CHECKED).count() == before + 1
    assert (new.code, new.subject, new.data["bolts"]) == ("F10", "joint 1", ["A1"])


FIGURES = (
    ("Concrete temperature", "64"),
    ("Slump", "4.25"),
    ("Air", "6.2"),
    ("Water added", "0"),
    ("Minutes from batching to discharge", "74"),
)


def ticket(page, truck: int, number: str) -> None:
    expect(page.get_by_role("heading", name=f"Ticket of truck {truck}")).to_be_visible()
    page.get_by_label("Ticket number").fill(number)
    page.get_by_label("Yards, yd³").fill("9.5")
    page.get_by_role("button", name="Enter the ticket").tap()


def figure(page, title: str, value: str) -> None:
    expect(page.get_by_role("heading", name=title, exact=True)).to_be_visible()
    page.locator("input.value").fill(value)
    page.locator("form.next button.main").tap()


def reject(page, truck: int, why: str) -> None:
    page.get_by_text(f"Reject truck {truck}, say why").tap()
    page.locator("#id_refuse").fill(why)
    page.get_by_role("button", name=f"Reject truck {truck}").tap()


def test_a_pour_without_signal_ticket_figures_and_a_truck_sent_back(field, phone) -> None:
    path = reverse("pour-card", args=[field.job(on.OWNER).number])
    page = phone(path=path)
    page.context.set_offline(True)
    ticket(page, 1, "48833")
    for title, value in FIGURES:
        figure(page, title, value)
    ticket(page, 2, "48840")
    figure(page, *FIGURES[0])
    reject(page, 2, "air 8.9 %")
    ticket(page, 3, "48851")
    on.has_waiting(page, 10)
    page.context.set_offline(False)
    on.emptied(field, page)
    page.goto(path)
    expect(page.locator(".ticket", has_text="truck 2")).to_contain_text("rejected")
    expect(page.locator(".ticket", has_text="truck 2")).to_contain_text("48840")
    expect(page.locator(".ticket", has_text="truck 3")).to_contain_text("on site")
    told = list(on.entries(field))
    assert {e.code: e.number for e in told if e.subject == "truck 1"} == {
        "D01": 9.5, "D05": 64, "D03": 4.25, "D04": 6.2, "D07": 0, "D02": 74,
    }  # fmt: skip
    sent_back = next(e for e in told if e.data.get("refused"))
    assert sent_back.corrects == next(e for e in told if e.subject == "truck 2" and e.text == "48840")
    assert sent_back.data == {"ticket": "48840", "yards": 9.5, "refused": True}
    assert on.whole(field)


def test_a_truck_whose_ticket_was_sent_is_rejected_on_a_page_from_before(field, phone) -> None:
    """The ticket went out, then the signal was gone before a newer page came."""
    path = reverse("pour-card", args=[field.job(on.OWNER).number])
    page = phone(path=path)
    page.route(f"**{path}", on.lost_request)
    ticket(page, 1, "48833")
    on.emptied(field, page)
    page.context.set_offline(True)
    on.quiet(page)  # a form that is put in place under the press takes it for a second one
    reject(page, 1, "water added at the gate")
    on.has_waiting(page, 1)
    page.context.set_offline(False)
    on.emptied(field, page)
    first, second = on.entries(field)
    assert (second.corrects, second.text) == (first, "water added at the gate")


def test_two_phones_without_signal_give_one_number_to_two_trucks(field, phone) -> None:
    """Both tickets are kept and shown, and one press gives the second its own number."""
    path = reverse("pour-card", args=[field.job(on.OWNER).number])
    one, other = phone("ben", path=path), phone("tilda", path=path)
    for page, number in ((one, "48833"), (other, "48840")):
        page.context.set_offline(True)
        ticket(page, 1, number)
        on.has_waiting(page, 1)
    for page in (one, other):
        page.context.set_offline(False)
        on.emptied(field, page)
    one.goto(path)
    on.quiet(one)
    said = one.locator("#two-hands")
    expect(said).to_contain_text("ticket 48833")
    expect(said).to_contain_text("ticket 48840")
    desk = field.page("alma")
    desk.goto(reverse("pour", args=[field.job(on.OWNER).number]))
    expect(desk.locator("section.tickets .fault")).to_contain_text("ticket 48840")
    said.get_by_role("button", name="Another truck: TM").click()
    expect(one.locator("#two-hands")).to_have_count(0)
    expect(one.locator("section.ticket h3").first).to_contain_text("Ticket, truck 2")
    assert on.entries(field).filter(code="D01").count() == 3
