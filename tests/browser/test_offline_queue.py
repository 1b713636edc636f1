"""Nothing is lost and nothing arrives twice, whatever the line does. The request is really cut, the reply
really thrown away."""

from __future__ import annotations

import base64
import contextlib
import json
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Error, expect

from crew.phone.ending import end_access
from installs.checklists.models import Device, Entry
from installs.files.models import StoredFile
from installs.people.models import SignedIn, User
from tests.browser import phone as on

pytestmark = [pytest.mark.browser, pytest.mark.slow]

BATCH = 40  # static/installs/queue.js
PASSWORD = "wet concrete, dry boots"


def test_cut_before_sending_the_entry_waits_and_goes_when_there_is_signal(field, phone) -> None:
    page = phone()
    page.context.set_offline(True)
    on.tick(page, "C07")
    expect(page.locator("#waiting")).to_contain_text("1 entry is on this phone, not sent")
    expect(page.locator("[data-row=C07] .kept")).to_contain_text("on this phone, not sent")
    assert not on.entries(field).exists()
    page.context.set_offline(False)
    on.emptied(field, page)
    assert [e.code for e in on.entries(field)] == ["C07"]


FAULTS = [
    pytest.param(on.lost_request, on.ENTRIES, id="request lost"),
    pytest.param(on.lost_reply, on.ENTRIES, id="reply lost"),
    pytest.param(on.hotel_page, on.API, id="captive portal"),
    pytest.param(on.hotel_page, on.ENTRIES, id="captive portal after the hello"),
    pytest.param(on.failing_server, on.ENTRIES, id="server error"),
    pytest.param(on.bad_gateway, on.API, id="bad gateway"),
]


@pytest.mark.parametrize(("fault", "where"), FAULTS)
def test_what_was_not_answered_for_is_kept_and_arrives_once(field, phone, fault, where) -> None:
    page = phone()
    mend = on.until_mended(page, where, fault)
    on.tick(page, "C07")
    expect(page.locator("#waiting")).to_contain_text("not sent")
    uuid = on.waiting(page)[0]["entry"]["uuid"]
    mend()
    on.emptied(field, page)
    assert [str(e.uuid) for e in on.entries(field)] == [uuid]
    assert on.whole(field)


def test_an_answer_without_our_uuid_frees_nothing(field, phone) -> None:
    page = phone()

    def another(route) -> None:
        answers = [{"uuid": "0" * 8 + "-0000-4000-8000-" + "0" * 12, "state": "taken"}]
        route.fulfill(status=200, content_type="application/json", body=json.dumps({"answers": answers}))

    page.route(on.ENTRIES, another)
    on.tick(page, "C07")
    on.quiet(page)
    assert len(on.waiting(page)) == 1


def test_a_clock_two_days_off_changes_no_order_and_its_skew_is_measured(field, phone) -> None:
    ahead = phone("ben", clock_off_s=2 * 86_400)
    on.tick(ahead, "C07")
    on.emptied(field, ahead)
    right = phone("tilda")
    on.tick(right, "C07")
    on.emptied(field, right)
    behind = phone("ben", clock_off_s=-2 * 86_400)
    on.tick(behind, "C07")
    on.emptied(field, behind)
    kept = list(on.entries(field))
    assert [e.person.username for e in kept] == ["ben", "tilda", "ben"]
    assert [e.sequence for e in kept] == [1, 2, 3]
    assert [round(e.skew_s / 86_400, 1) for e in kept] == [2, 0, -2]


def test_a_clock_off_does_not_make_a_new_page_old(field, phone) -> None:
    page = phone("ben", clock_off_s=2 * 86_400)
    page.reload()
    on.quiet(page)
    expect(page.locator("#waiting")).not_to_contain_text("no newer one yet")


def test_two_phones_on_one_item_are_both_kept_and_shown(field, phone) -> None:
    one, other = phone("ben"), phone("tilda")
    for page in (one, other):
        page.context.set_offline(True)
        on.tick(page, "C07")
    for page in (one, other):
        page.context.set_offline(False)
        on.emptied(field, page)
    assert on.entries(field).filter(code="C07").count() == 2
    one.goto(on.list_path(field))
    expect(one.locator("[data-row=C07]")).to_contain_text("done BO")
    expect(one.locator("[data-row=C07]")).to_contain_text("done TM")
    expect(one.locator("[data-row=C07]")).to_contain_text("Two entries stand")


def test_two_tabs_of_one_phone_send_each_entry_once(field, phone) -> None:
    page = phone()
    other = page.context.new_page()
    on.wait_for_ready(other)
    other.goto(on.list_path(field))
    on.quiet(other)
    page.context.set_offline(True)
    on.tick(page, "C07")
    on.tick(other, "C14")
    assert {row["entry"]["code"] for row in on.waiting(page)} == {"C07", "C14"}
    posts = []
    for tab in (page, other):
        tab.on("request", lambda r: posts.append(r) if r.url.endswith("/api/entries/") else None)
    page.context.set_offline(False)
    for tab in (page, other, page, other):
        tab.evaluate(on.SEND)
    on.emptied(field, page)
    sent = [entry["uuid"] for r in posts for entry in r.post_data_json["entries"]]
    assert len(sent) == len(set(sent)) == 2
    assert on.entries(field).count() == 2


# what Chromium says at its quota, and what it says on a full disk
FULL = ("QuotaExceededError", "DataError")
FULL_ONCE = """(name) => {
  const real = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = function (...given) {
    IDBObjectStore.prototype.add = real;
    const all = this.transaction, request = real.apply(this, given);
    Object.defineProperty(all, "error", { get: () => new DOMException("full", name) });
    request.onsuccess = () => all.abort();
    return request;
  };
}"""


@pytest.mark.parametrize("name", FULL)
def test_a_full_phone_says_so_drops_nothing_and_takes_it_when_pressed_again(field, phone, name) -> None:
    page = phone()
    page.context.set_offline(True)
    on.tick(page, "C14")
    page.evaluate(FULL_ONCE, name)
    on.choose(page, "C07").get_by_label("Note").fill("north side")
    page.get_by_role("button", name="Done").tap()
    expect(page.get_by_role("alert")).to_contain_text("storage is full: it was not kept")
    assert [row["key"] for row in on.waiting(page)] == ["C14"]
    assert page.get_by_label("Note").input_value() == "north side"
    page.get_by_role("button", name="Done").tap()
    expect(page.locator("[data-row=C07] .kept")).to_be_visible()
    page.context.set_offline(False)
    on.emptied(field, page)
    assert [(e.code, e.text) for e in on.entries(field)] == [("C14", ""), ("C07", "north side")]


IMPATIENT = "AbortSignal.timeout = ((real) => () => real.call(AbortSignal, 4000))(AbortSignal.timeout)"


def test_a_line_that_hangs_is_given_up_and_the_entry_goes_again(field, phone) -> None:
    page = phone()
    page.add_init_script(IMPATIENT)
    page.reload()
    on.quiet(page)
    hanging = []
    page.route(on.ENTRIES, on.with_entries(hanging.append))
    on.tick(page, "C07")
    on.emptied(field, page)
    assert on.entries(field).count() == 1
    assert len(hanging) == 1
    with contextlib.suppress(Error):  # the page has given it up
        hanging[0].abort()


def test_a_page_older_than_the_phones_storage_asks_to_be_loaded_again(field, phone) -> None:
    page = phone()
    page.context.set_offline(True)
    on.tick(page, "C07")
    page.evaluate(
        """() => new Promise((done, fail) => {
          const asked = indexedDB.open("mastwright-field", 99);
          asked.onsuccess = () => { asked.result.close(); done(); };
          asked.onerror = fail;
        })"""
    )
    page.evaluate("() => dispatchEvent(new Event('online'))")
    expect(page.locator("#waiting")).to_contain_text("Mastwright was renewed on this phone")
    expect(page.get_by_role("button", name="Load again")).to_be_visible()


def test_signed_out_in_the_middle_what_is_left_waits_for_the_same_person(field, phone) -> None:
    ben = User.objects.get(username="ben")
    ben.set_password(PASSWORD)
    ben.save()
    page, number, path = phone(), field.job(on.OWNER).number, on.list_path(field)
    page.context.set_offline(True)
    on.add(page, number, path, 0, BATCH + 5)

    def then_end_the_session(route) -> None:
        answer = route.fetch()
        SignedIn.objects.all().delete()
        route.fulfill(response=answer)

    page.route(on.ENTRIES, then_end_the_session, times=1)
    page.context.set_offline(False)
    page.evaluate(on.SEND)
    expect(page.locator("#waiting")).to_contain_text("Sign in to send what waits")
    assert len(on.waiting(page)) == 5
    page.locator("#waiting").get_by_role("link", name="Sign in").tap()
    page.locator("[name=username]").fill("ben")
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("main form button").tap()
    page.wait_for_url(f"**{path}")
    on.emptied(field, page)
    assert [e.subject for e in on.entries(field)] == [f"place {n}" for n in range(BATCH + 5)]


def test_access_ended_by_the_office_is_said_and_the_entries_stay(field, phone) -> None:
    page = phone()
    on.tick(page, "C14")
    on.emptied(field, page)
    Device.objects.update(ended_at=timezone.now())
    on.tick(page, "C07")
    expect(page.locator("#waiting")).to_contain_text("The office has ended this phone's access")
    assert [row["key"] for row in on.waiting(page)] == ["C07"]
    assert on.entries(field).count() == 1


def test_an_ended_phone_is_told_on_every_page_and_holds_none(field, phone) -> None:
    page = phone()
    on.tick(page, "C14")
    on.emptied(field, page)
    lost = Device.objects.filter(person__username="ben").latest("heard_at")
    page.context.set_offline(True)
    end_access(lost, "lost", by=User.objects.get(username="alma"), at=timezone.now())
    on.tick(page, "C07")
    expect(page.locator("#waiting .unsent li")).to_have_count(1)
    held = page.locator("#waiting .unsent").text_content()
    page.context.set_offline(False)
    page.goto("/day/")
    expect(page.locator("main")).to_contain_text("has not been sent stays on this phone")
    told = page.locator("#unsent-here")
    expect(told).to_contain_text("On this phone and not at the office: 1. Read it to the office.")
    expect(told.locator("li")).to_have_text(held)
    expect(told.locator("li")).to_contain_text(f"Job {field.job(on.OWNER).number}, C07 ")
    on.until(page, "async () => !(await caches.keys()).some((name) => name.startsWith('pages-'))")


def test_access_that_ends_between_hello_and_entries_keeps_them_too(field, phone) -> None:
    page = phone()
    on.tick(page, "C14")
    on.emptied(field, page)

    def end_it(route) -> None:
        Device.objects.update(ended_at=timezone.now())
        route.continue_()

    page.route(on.ENTRIES, end_it)
    on.tick(page, "C07")
    expect(page.locator("#waiting")).to_contain_text("The office has ended this phone's access")
    assert [row["key"] for row in on.waiting(page)] == ["C07"]


def refused(route) -> None:
    answers = [
        {"uuid": e["uuid"], "state": "refused", "reason": "Not in this job."}
        for e in route.request.post_data_json["entries"]
    ]
    route.fulfill(status=200, content_type="application/json", body=json.dumps({"answers": answers}))


def tick_with_a_note(page, note: str) -> None:
    on.choose(page, "C07").get_by_label("Note").fill(note)
    page.locator("input[name=photo]").set_input_files(
        {"name": "caps.jpg", "mimeType": "image/jpeg", "buffer": on.small_photo(3)}
    )
    page.get_by_role("button", name="Done").tap()


def test_what_the_office_refuses_is_shown_with_its_reason_and_entered_again_as_it_was_typed(
    field, phone
) -> None:
    page = phone()
    page.route(on.ENTRIES, on.with_entries(refused))
    tick_with_a_note(page, "north side")
    box = page.locator("#waiting .refused")
    expect(box).to_contain_text("The office refused it: Not in this job.")
    box.get_by_role("button", name="Enter it again").tap()
    assert page.get_by_label("Note").input_value() == "north side"
    page.get_by_label("Note").fill("north side, capped")
    page.get_by_role("button", name="Done").tap()
    expect(box).to_have_count(0)  # the new one stands in its place
    on.emptied(field, page)
    entry = on.entries(field).get()
    assert (entry.text, entry.photo is not None) == ("north side, capped", True)
    assert [row["state"] for row in on.waiting(page)] == ["replaced"]


def test_what_was_refused_can_be_set_aside_and_is_still_named_on_the_day_sheet(field, phone) -> None:
    page = phone()
    page.route(on.ENTRIES, on.with_entries(refused))
    tick_with_a_note(page, "north side")
    page.get_by_role("button", name="Set it aside").tap()
    expect(page.locator("#waiting .refused")).to_have_count(0)
    page.goto(reverse("day-sheet"))
    page.get_by_text("1 set aside on this phone, not at the office").tap()
    expect(page.locator("#waiting details")).to_contain_text("north side")


def test_a_refused_entry_counts_as_not_at_the_office(field, phone) -> None:
    page = phone()
    page.route(on.ENTRIES, on.with_entries(refused))
    tick_with_a_note(page, "north side")
    expect(page.locator("#waiting .refused")).to_be_visible()
    page.evaluate(on.SEND)
    field.until(page, lambda: Device.objects.filter(person__username="ben", waiting=1).exists())


def test_a_deviation_that_an_entry_raised_is_said_until_it_was_seen(field, phone) -> None:
    """The pour's gate is closed: the first figure of its concrete is kept, and a deviation stands."""
    job = field.job(on.OWNER)
    page = phone(path=f"/day/{job.number}/pour/")
    page.get_by_label("Ticket number").fill("48833")
    page.get_by_label("Yards, yd³").fill("9.5")
    page.get_by_role("button", name="Enter the ticket").tap()
    page.locator("input.value").fill("64")
    page.locator("form.next button.main").tap()
    on.emptied(field, page)
    expect(page.locator("#waiting")).to_contain_text("Deviation")
    page.reload()
    expect(page.locator("#waiting")).to_contain_text("Deviation")
    page.get_by_role("button", name="Seen").tap()
    expect(page.locator("#waiting")).to_be_hidden()


def test_a_step_sent_since_a_page_was_made_is_not_asked_for_again(field, phone) -> None:
    """The reply to the sending was heard, the newer page was not."""
    page = phone()
    page.route(f"**{on.list_path(field)}", on.lost_request)
    first = json.loads(page.locator("#steps form").first.get_attribute("data-step"))["key"]
    on.tick(page, "C07")
    on.emptied(field, page)
    expect(page.locator("[data-row=C07] .kept")).to_contain_text("at the office")
    assert first != "C07"
    page.evaluate("() => dispatchEvent(new Event('online'))")
    expect(page.locator("[data-row=C07] .kept")).to_have_count(1)


def test_200_entries_and_40_photos_after_a_day_without_signal_arrive_once_each(field, phone) -> None:
    page, number, path = phone(), field.job(on.OWNER).number, on.list_path(field)
    before = StoredFile.objects.count()
    page.context.set_offline(True)
    pictures = [base64.b64encode(on.small_photo(n)).decode() for n in range(40)]
    on.add(page, number, path, 0, 40, pictures)
    on.add(page, number, path, 40, 200)
    expect(page.locator("#waiting")).to_contain_text("200 entries are on this phone")
    page.context.set_offline(False)
    page.route(on.ENTRIES, on.times(2, on.lost_reply))
    on.emptied(field, page)
    kept = list(on.entries(field).select_related("photo"))
    assert [e.subject for e in kept] == [f"place {n}" for n in range(200)]
    assert len({e.photo.sha256 for e in kept if e.photo}) == 40
    assert StoredFile.objects.count() == before + 40
    assert on.whole(field)
    assert Device.objects.get(person__username="ben", uuid=kept[0].device.uuid).waiting == 0


def test_the_office_knows_how_many_wait_and_since_when(field, phone) -> None:
    page, number, path = phone(), field.job(on.OWNER).number, on.list_path(field)
    page.context.set_offline(True)
    on.add(page, number, path, 0, BATCH + 5)
    seen = []
    page.on("request", lambda r: seen.append(r.post_data_json) if r.url.endswith("/api/entries/") else None)
    page.context.set_offline(False)
    on.emptied(field, page)
    assert {(b["waiting"], len(b["entries"])) for b in seen if b["entries"]} == {(5, BATCH), (0, 5)}
    assert Entry.objects.filter(device__heard_at__gte=timezone.now() - timedelta(minutes=5)).exists()
