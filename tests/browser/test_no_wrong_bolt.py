"""A double tap torques no bolt that nobody touched, and the last press can be taken back."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from installs.checklists.standing import standing
from installs.tower.torque_log import load_torque
from tests.browser.phone import emptied, has_waiting, quiet

pytestmark = [pytest.mark.browser, pytest.mark.slow]
TOWER = "Aasen Dairy"

# the second tap of one finger, as soon as another form stands where it lands
TWICE = """() => new Promise((done) => {
  document.addEventListener("card:new", () => {
    document.querySelector("#steps form button.main").click();
    done();
  }, { once: true });
  document.querySelector("#steps form button.main").click();
})"""


def torque_page(field, person: str = "tilda") -> Page:
    page = field.page(person, has_touch=True, is_mobile=True)
    page.goto(reverse("torque-log", args=[field.job(TOWER).number]))
    quiet(page)
    offered = page.locator("#id_wrench option").all_inner_texts()
    good = next(words for words in offered[1:] if "not in calibration" not in words)
    page.get_by_label("Wrench").select_option(label=good)
    return page


def joint_log(field) -> list:
    return standing(field.job(TOWER).entries.filter(subject__startswith="joint 1 "))


def test_a_second_tap_on_the_next_form_records_nothing(field) -> None:
    page = torque_page(field)
    page.evaluate(TWICE)
    quiet(page)
    assert [e.subject for e in joint_log(field)] == ["joint 1 pass 1"]
    expect(page.get_by_role("heading", name="Joint 1, pass 2")).to_be_visible()


def test_the_last_press_is_taken_back_kept_and_struck(field) -> None:
    page = torque_page(field)
    page.get_by_role("button", name="All 24 at").tap()
    page.get_by_role("button", name="Take back pass 1").tap()
    expect(page.get_by_role("heading", name="Joint 1, pass 1")).to_be_visible()
    emptied(field, page)
    assert joint_log(field) == []
    assert field.job(TOWER).entries.filter(subject="joint 1 pass 1").count() == 2
    expect(page.get_by_role("button", name="Take back")).to_have_count(0)
    page.get_by_text("On record in joint 1").tap()
    expect(page.locator(".on-record s")).to_contain_text("Pass 1 torqued")


def test_without_signal_too_and_both_wait(field) -> None:
    page = torque_page(field)
    page.context.set_offline(True)
    page.get_by_role("button", name="All 24 at").tap()
    page.get_by_role("button", name="Take back pass 1").tap()
    expect(page.get_by_role("heading", name="Joint 1, pass 1")).to_be_visible()
    has_waiting(page, 2)
    page.context.set_offline(False)
    emptied(field, page)
    assert joint_log(field) == [] and field.job(TOWER).entries.filter(subject="joint 1 pass 1").count() == 2


def test_a_button_that_says_all_does_not_stand_beside_one_that_turned(field) -> None:
    page = torque_page(field)
    expect(page.get_by_role("button", name="All 24 at")).to_be_visible()
    page.get_by_text("Any bolt keep turning?").tap()
    page.get_by_label("B4").check()
    expect(page.get_by_role("button", name="All 24 at")).to_have_count(0)
    expect(page.get_by_role("button", name="The others at")).to_be_visible()


def test_without_signal_title_and_form_are_of_the_joint_that_is_written(field) -> None:
    page = torque_page(field)
    page.context.set_offline(True)
    page.evaluate("() => Queue.send()")
    page.locator(".items a", has_text="J3").tap()
    expect(page.get_by_role("heading", name="Joint 3, pass 1")).to_be_visible()
    joint = load_torque([field.job(TOWER)])[field.job(TOWER).pk].joints[2].joint
    expect(page.locator("#joint .joint-title")).to_contain_text(joint.title)
    expect(page.get_by_text("The drawing of joint 3 comes with signal.")).to_be_visible()


@pytest.mark.parametrize("javascript", [True, False], ids=["with JavaScript", "without JavaScript"])
def test_later_a_line_of_the_torque_log_is_struck_with_its_reason(field, javascript) -> None:
    page = torque_page(field)
    page.get_by_role("button", name="All 24 at").tap()
    field.until(page, lambda: len(joint_log(field)) == 1)
    later = field.page("tilda", has_touch=True, is_mobile=True, java_script_enabled=javascript)
    later.goto(reverse("torque-log", args=[field.job(TOWER).number]) + "?joint=1")
    later.get_by_text("On record in joint 1").tap()
    later.get_by_text("Wrong? Cross it out").tap()
    later.get_by_label("What was wrong").fill("it was joint 2")
    later.get_by_role("button", name="Cross out this line").tap()
    field.until(later, lambda: joint_log(field) == [])
    assert (
        field.job(TOWER).entries.get(subject="joint 1 pass 1", corrects__isnull=False).text
        == "it was joint 2"
    )
