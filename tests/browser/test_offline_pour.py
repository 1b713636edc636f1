"""The day of the pour without signal: what is recorded beside the trucks, and the pour on the signed card."""

from __future__ import annotations

import random
import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from crew.demo.field import picture
from crew.phone.pour_forms import FORMS, form_of
from installs.checklists.models import Weight
from installs.checklists.standing import needs_photo
from installs.checklists.state import list_states
from installs.checklists.taking import take_entry
from installs.gates.by_card import CARD
from installs.gates.services import gate_now
from installs.jobs.phases import ON_THE_CARD
from installs.jobs.services import answer_deviation
from installs.people.models import User
from sitecalc.pour.placing import EvaporationCase, evaporation
from tests.browser import phone as on

pytestmark = [pytest.mark.browser, pytest.mark.slow]

LEGS = ("leg A", "leg B", "leg C", "leg D")
SOON = timezone.now().date() + timedelta(days=3)
TYPED = {
    "D20": {"day": f"{SOON}", "hour": "07:30"},
    "D15": {"text": "Dana Moe, county"},
    "D16": {"text": "Plant dispatcher, read back"},
    "D17": {"text": "Harrow Testing"},
    "D06": {"air": "28", "low": "-3.5"},
    "D18": {"text": "12 blankets, 2 heaters"},
    "D19": {"ground": "35", "form": "36.5", "steel": "34"},
    "D08": {"truck": "2", "lab": "3", "field": "2", "marks": "T2 A to E", "beside": "on"},
    "D22": {"concrete_f": "75", "air_f": "88", "humidity_pct": "30", "wind_mph": "12"},
    "D21": {"yards": "9.5", "text": "plant broke down; face roughened"},
}


def open_card(field, phone, name: str = "pour-day"):
    return phone(path=reverse(name, args=[field.job(on.OWNER).number]))


def record(page, code: str, typed: dict[str, str]) -> None:
    form = on.choose(page, code)
    for name, value in typed.items():
        field = form.locator(f"[name={name}]")
        field.check() if value == "on" else field.fill(value)
    form.get_by_role("button", name="Record").tap()


def content(entry) -> tuple:
    return entry.code, entry.subject, entry.number, entry.unit, entry.text, entry.data


def test_every_form_of_the_day_says_without_signal_what_it_says_with_it(field, phone) -> None:
    """The office reads each form by its own code; the phone by what the office declares of it."""
    assert set(TYPED) == set(FORMS)
    came = timezone.now()
    take_entry(
        field.job(on.OWNER), by=User.objects.get(username="ben"), received_at=came, taken_at=came,
        code="D01", subject="truck 2", number=9.5, text="48833",
    )  # fmt: skip
    page = open_card(field, phone)
    page.context.set_offline(True)
    shown = [code for code in TYPED if page.locator(f"[data-row={code}]").count()]
    assert {"D20", "D15", "D06", "D08", "D22", "D21"} <= set(shown)
    for code in shown:
        record(page, code, TYPED[code])
        expect(page.locator(f"[data-row={code}] .kept").first).to_contain_text("on this phone, not sent")
    page.context.set_offline(False)
    on.emptied(field, page)
    here = field.job(on.OWNER).local(timezone.now())
    expected = []
    for code in shown:
        form = form_of(code, here, TYPED[code])
        assert form.is_valid(), form.errors
        expected += [(code, e["subject"], e.get("number"), e.get("unit", ""), e.get("text", ""), e["data"])
                     for e in form.entries()]  # fmt: skip
    assert [content(entry) for entry in on.entries(field).exclude(code="D01")] == expected
    assert on.whole(field)


def test_a_newer_record_takes_the_place_of_the_one_still_on_the_phone(field, phone) -> None:
    page = open_card(field, phone)
    page.context.set_offline(True)
    record(page, "D20", TYPED["D20"])
    record(page, "D20", {"day": f"{SOON}", "hour": "06:45"})
    page.context.set_offline(False)
    on.emptied(field, page)
    first, second = on.entries(field)
    assert (first.data["for"], second.data["for"]) == (f"{SOON}T07:30", f"{SOON}T06:45")
    assert second.corrects == first


@pytest.mark.parametrize(
    ("code", "changed", "field_name", "words"),
    [
        ("D08", {"lab": "0", "field": "0"}, "lab", "No cylinder made?"),
        ("D08", {"truck": "1.5"}, "truck", "whole number"),
        ("D06", {"air": "300"}, "air", "it can be -40 to 120 F"),
        ("D22", {"air_f": "300"}, "air_f", "it can be 0 to 130 F"),
        ("D21", {"text": ""}, "text", "Required"),
        ("D20", {"day": f"{SOON.year + 10}-06-01"}, "day", "more than a year from now"),
    ],
)
def test_a_fault_is_said_at_its_field_and_nothing_typed_is_lost(
    field, phone, code, changed, field_name, words
) -> None:
    page = open_card(field, phone)
    page.context.set_offline(True)
    record(page, code, TYPED[code] | changed)
    expect(page.locator(f"#steps [name={field_name}] + .errorlist")).to_contain_text(words)
    for name, value in (TYPED[code] | changed).items():
        if value != "on":
            assert page.locator(f"#steps [name={name}]").input_value() == value
    assert on.waiting(page) == []


def test_the_field_set_must_stand_beside_the_pad(field, phone) -> None:
    page = open_card(field, phone)
    page.context.set_offline(True)
    record(page, "D08", {name: value for name, value in TYPED["D08"].items() if name != "beside"})
    expect(page.locator("#steps .errorlist")).to_contain_text("no field-cured cylinders")


def test_the_phones_evaporation_is_the_offices(site) -> None:
    """Uno's equation of sitecalc; the phone rounds to 0.001 lb/ft2/h."""
    dice = random.Random(1998)
    cases = [
        {
            "concrete_f": dice.uniform(32, 120),
            "air_f": dice.uniform(0, 130),
            "humidity_pct": dice.uniform(0, 100),
            "wind_mph": dice.uniform(0, 60),
        }
        for _ in range(300)
    ]
    page = site.page("ben")
    page.goto(reverse("day-sheet"))
    told = page.evaluate("cases => cases.map(Entries.derived.evaporation)", cases)
    for case, rate in zip(cases, told, strict=True):
        assert rate == pytest.approx(evaporation(EvaporationCase(**case)).rate_lb_ft2_h, abs=0.00051)


def test_the_batching_time_is_by_the_clock_at_the_site(site) -> None:
    """The last such time that is not ahead by more than 15 min, for a plant's clock is another.

    Whatever zone the phone is set to; held against zoneinfo.
    """
    page = site.page("ben", timezone_id="Asia/Tokyo")
    page.goto(reverse("day-sheet"))
    cases = []
    for zone in ("America/Chicago", "America/Denver"):
        for now in (
            datetime(2031, 5, 5, 14, 20, tzinfo=UTC),
            datetime(2031, 5, 6, 4, 50, tzinfo=UTC),  # before midnight at the site, the next day in UTC
            datetime(2031, 3, 9, 16, 0, tzinfo=UTC),  # the morning on which the clocks were put forward
            datetime(2031, 11, 2, 15, 0, tzinfo=UTC),  # and back
        ):
            for clock in ("07:10", "23:55", "00:05", "09:19", "09:22", "09:36"):
                cases.append((clock, zone, now))
    told = page.evaluate(
        "cases => cases.map(([clock, zone, now]) => Entries.lastTime(clock, zone, now, 15).toISOString())",
        [(clock, zone, now.timestamp() * 1000) for clock, zone, now in cases],
    )
    for (clock, zone, now), said in zip(cases, told, strict=True):
        local = now.astimezone(ZoneInfo(zone))
        hour, minute = map(int, clock.split(":"))
        meant = local.replace(hour=hour, minute=minute, second=0)
        if meant > local + timedelta(minutes=15):
            day = local.date() - timedelta(days=1)
            meant = datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZoneInfo(zone))
        assert datetime.fromisoformat(said) == meant, (clock, zone, now)


# --- the pour on the inspector's signed card --------------------------------------------------------------


@pytest.fixture
def formed(field):
    """All before the pour recorded but the inspection of the steel and the bolts' projection."""
    job, ben, now = field.job(on.OWNER), User.objects.get(username="ben"), timezone.now()
    for state in (s for kept in list_states(job, job.lists.filter(phase="excavation")) for s in kept.items):
        item = state.item
        if item.code in (CARD, "C12") or item.weight == Weight.RECORD:
            continue
        limit = item.low if item.low is not None else item.high
        number = (1.0 if limit is None else limit) if item.kind == "reading" else None
        for name in state.lacking if state.names else ("",):
            photo = picture(item, name, ben, now) if needs_photo(item) else None
            take_entry(
                job, by=ben, received_at=now, taken_at=now, code=item.code, number=number, subject=name,
                photo=photo,
            )  # fmt: skip
    office = User.objects.get(username="alma")
    answer_deviation(job.deviations.get(), "accept", "permit by telephone", by=office, at=now)
    return job


def sign_the_card(page, signer: str) -> None:
    page.get_by_label("Name of who signs").fill(signer)
    page.locator("input[name=photo]").set_input_files(
        {"name": "card.jpg", "mimeType": "image/jpeg", "buffer": on.small_photo(7)}
    )
    page.get_by_role("button", name="Signed", exact=True).tap()


def test_the_pour_goes_on_by_the_signed_card_and_the_office_judges_it(field, phone, formed) -> None:
    path, pour = on.list_path(field), reverse("pour-card", args=[formed.number])
    page = phone(path=pour, service_workers="allow")
    on.held(page, pour)
    page.goto(path)
    on.held(page, path)
    on.quiet(page)
    page.context.set_offline(True)
    page.goto(pour)
    expect(page.locator("#by-card")).to_contain_text(f"Still open: C12, {CARD}")
    page.goto(path)
    on.choose(page, CARD)
    sign_the_card(page, "M. Ruiz, county")
    on.has_waiting(page, 1)
    page.goto(pour)
    expect(page.locator("#by-card")).to_contain_text("still open before the pour may go on by the card: C12.")
    page.goto(path)
    expect(page.locator("#waiting")).to_be_visible()
    expect(page.locator("#steps form").first).to_have_attribute("data-step", re.compile('"key": "C12"'))
    for waiting, leg in enumerate(LEGS, start=2):
        on.choose(page, "C12")
        page.locator("[name=subject]").select_option(leg)
        page.locator("input.value").fill("0.1")
        page.locator("form.next button.main").tap()
        on.has_waiting(page, waiting)
        page.goto(pour)
        if leg != LEGS[-1]:
            expect(page.locator("#by-card")).to_contain_text("may go on by the card: C12.")
            page.goto(path)
    expect(page.locator("#by-card")).to_contain_text("Provisional: M. Ruiz, county signed the card")
    page.get_by_label("Ticket number").fill("48833")
    page.get_by_label("Yards, yd³").fill("9.5")
    page.get_by_role("button", name="Enter the ticket").tap()
    page.locator("input.value").fill("64")
    page.locator("form.next button.main").tap()
    on.has_waiting(page, 7)
    assert not gate_now(formed, "pour", timezone.now()).open
    page.context.set_offline(False)
    on.emptied(field, page)
    deviation = formed.deviations.get(gate="pour")
    assert (deviation.title, "M. Ruiz, county" in deviation.what) == (ON_THE_CARD, True)
    assert on.whole(field)


def rejection_opened_before_the_answer(page) -> None:
    """The ticket's answer comes while the truck's rejection is open, nothing typed yet."""
    held = []
    page.route(on.ENTRIES, on.with_entries(held.append))
    page.get_by_label("Ticket number").fill("48833")
    page.get_by_label("Yards, yd³").fill("9.5")
    page.get_by_role("button", name="Enter the ticket").tap()
    page.get_by_text("Reject truck 1, say why").tap()
    on.patiently(page, lambda: held)
    held[0].continue_()
    on.has_waiting(page, 0)
    on.quiet(page)


def test_a_form_that_was_opened_stays_open_when_the_offices_page_comes(field, phone) -> None:
    page = open_card(field, phone, "pour-card")
    rejection_opened_before_the_answer(page)
    expect(page.locator(".ticket")).to_have_count(0)
    page.locator("#id_refuse").fill("air 8.9 %")
    page.get_by_role("button", name="Reject truck 1").tap()
    expect(page.locator(".ticket", has_text="truck 1")).to_contain_text("rejected")


def test_a_form_closed_again_makes_way_for_the_offices_page(field, phone) -> None:
    page = open_card(field, phone, "pour-card")
    rejection_opened_before_the_answer(page)
    page.get_by_text("Reject truck 1, say why").tap()
    expect(page.locator(".ticket", has_text="truck 1")).to_be_visible()
