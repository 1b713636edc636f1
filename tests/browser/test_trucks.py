"""The phone judges, sums and asks of a truck without signal what the office judges, sums and asks."""

from __future__ import annotations

import json
import random
import re
from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from crew.phone.pour import told_to_phone
from installs.pour.field_log import RULE_OF
from installs.pour.record_words import load_record
from sitecalc.pour.placing import MINUTES, TruckLimits, judged, last_order, limits_of
from tests.browser import phone as on

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def open_card(field, phone):
    return phone(path=reverse("pour-card", args=[field.job(on.OWNER).number]))


def table_told(limits):
    return [
        {
            "code": code, "title": rule.title, "unit": rule.unit, "low": row.low, "high": row.high,
            "out": row.out, "only_if_any": row.only_if_any, "source": row.judge(None).source_note,
        }
        for code, rule in RULE_OF.items()
        for row in limits
        if row.rule is rule
    ]  # fmt: skip


def test_the_phone_judges_trucks_as_the_office_does(field, phone) -> None:
    """300 trucks of chance, half of their figures near a limit: the same decision in the same words."""
    page, dice = open_card(field, phone), random.Random(94)
    now = datetime(2031, 4, 24, 14, 0, tzinfo=UTC)
    likely = {"D03": (2.5, 6), "D04": (4, 8), "D05": (40, 95), "D07": (0, 8)}
    cases = []
    for _ in range(300):
        water = dice.choice([None, 6.0])
        limits = TruckLimits(slump_in=4, air_pct=6, least_dimension_in=42, water_gal=water)
        rows = limits_of(limits, dice.choice([None, 30.0, 55.0]))
        rows = tuple(sorted(rows, key=lambda row: [*RULE_OF.values()].index(row.rule)))
        readings = {c: round(dice.uniform(*r), 2) for c, r in likely.items() if dice.random() < 0.85}
        cannot = [c for c in ("D03", "D04") if c not in readings and dice.random() < 0.5]
        batched = now - timedelta(minutes=dice.choice([20, 60, 90, 91, 120])) if dice.random() < 0.9 else None
        truck = {
            "batched_at": batched.isoformat() if batched else None, "water": water,
            "readings": readings, "cannot": cannot, "refused": False,
        }  # fmt: skip
        by_rule = {rule.key: readings.get(code) for code, rule in RULE_OF.items()}
        by_rule[MINUTES.key] = (now - batched).total_seconds() / 60 if batched else None
        found = judged(rows, by_rule, frozenset(RULE_OF[c].key for c in cannot))
        cases.append((table_told(rows), truck, found.decision, found.words))
    said = page.evaluate(
        "([cases, now]) => cases.map(([table, truck]) => Trucks.judged(table, truck, now))",
        [[case[:2] for case in cases], now.timestamp() * 1000],
    )
    for (_, truck, decision, words), phones in zip(cases, said, strict=True):
        assert (phones["decision"], phones["words"]) == (decision, words), truck
    assert len({decision for *_, decision, _ in cases}) == 4


def test_the_phone_sums_the_last_order_as_the_office_does(field, phone) -> None:
    page, dice = open_card(field, phone), random.Random(7)
    cases = []
    for _ in range(200):
        loads = [dice.choice([9.5, 9.0, 6.25, 4.75]) for _ in range(dice.randint(0, 6))]
        placed = dice.randint(0, len(loads))
        trucks = {
            str(n): {"yards": yards, "readings": {"D02": 60} if n <= placed else {}, "cannot": []}
            for n, yards in enumerate(loads, start=1)
        }
        found = last_order(
            order_yd3=49.5, placed_yd3=sum(loads[:placed]), on_site_yd3=sum(loads[placed:]), truck_yd3=9.5,
            step_yd3=0.5,
        )  # fmt: skip
        cases.append((trucks, found))
    pour = {"net_yd3": 47.4, "order_yd3": 49.5, "truck_yd3": 9.5, "step_yd3": 0.5, "table": []}
    said = page.evaluate(
        "([pour, every]) => every.map((trucks) => Trucks.sums(pour, trucks).order)",
        [pour, [trucks for trucks, _ in cases]],
    )
    for (_, found), words in zip(cases, said, strict=True):
        if not found.loads_yd3:
            assert words == "All 49.5 yd³ ordered have come."
            continue
        assert words.startswith(f"{found.left_yd3:.1f} of 49.5 yd³ ordered still to come")
        assert words.endswith(f"last order {found.last_yd3:g} yd³.")
        assert (f" in {len(found.loads_yd3)} trucks" in words) == (len(found.loads_yd3) > 1)


def enter(page, value: str) -> None:
    page.locator("#steps input.value").fill(value)
    page.locator("#steps form.next button.main").first.tap()


def ticket(page, number: str, yards: str = "9.5", batched: str = "") -> None:
    page.locator("#id_ticket").fill(number)
    page.locator("#id_yards").fill(yards)
    if batched:
        page.locator("#id_batched").fill(batched)
    page.get_by_role("button", name="Enter the ticket").tap()


def test_a_truck_without_signal_from_its_ticket_to_its_discharge(field, phone) -> None:
    """The card says what to do with it and what is placed; the office says the same once it has arrived."""
    page, job = open_card(field, phone), field.job(on.OWNER)
    batched = job.local(datetime.now(UTC) - timedelta(minutes=50)).replace(second=0, microsecond=0)
    page.context.set_offline(True)
    ticket(page, "48833", batched=f"{batched:%H:%M}")
    verdict, placed = page.locator("#steps [data-verdict]").first, page.locator("#pour")
    expect(placed).to_contain_text("0.0 yd³ placed")
    expect(placed).to_contain_text("truck 1 on site with 9.5 yd³")
    expect(verdict).to_contain_text("Not yet. ")
    enter(page, "411")
    expect(page.locator("#steps .errorlist")).to_contain_text("411 F: it can be 32 to 110 F")
    enter(page, "30")
    expect(page.locator("#steps .errorlist")).to_contain_text("30 F: it can be 32 to 110 F")
    enter(page, "30")
    expect(verdict).to_contain_text("Reject it. Concrete temperature: 30 F")
    for value in ("4.5", "6.1", "0"):
        enter(page, value)
    now = page.locator("#steps button[value=now]")
    expect(now).to_have_text(re.compile(r"^\s*Discharged now, \d+ min\s*$"), use_inner_text=True)
    shown = int(re.findall(r"\d+", now.inner_text())[0])
    now.tap()
    expect(page.locator("#steps .errorlist")).to_contain_text(
        "Reject it: concrete temperature. Discharged anyway?"
    )
    now.tap()
    expect(placed).to_contain_text("9.5 yd³ placed")
    ticket(page, "48833")
    expect(page.locator("#steps .errorlist")).to_contain_text("Ticket 48833 is on record for truck 1.")
    said = placed.inner_text()
    page.context.set_offline(False)
    on.emptied(field, page)
    record = load_record(job, datetime.now(UTC))
    office = told_to_phone(record)
    assert f"{record.section.words[0].upper()}{record.section.words[1:]}." in said
    # a busy machine takes its minutes too
    held = json.loads(json.dumps(office["trucks"][1]))["readings"]["D02"]
    assert 50 <= shown <= held <= (datetime.now(UTC) - batched).total_seconds() / 60
    assert job.deviations.filter(title="truck 1 discharged over a limit").exists()
    assert on.whole(field)


def test_minutes_typed_without_signal_are_held_against_the_ticket(field, phone) -> None:
    page, job = open_card(field, phone), field.job(on.OWNER)
    batched = job.local(datetime.now(UTC) - timedelta(minutes=50)).replace(second=0, microsecond=0)
    page.context.set_offline(True)
    ticket(page, "48833", batched=f"{batched:%H:%M}")
    for value in ("62", "4.5", "6.1", "0"):
        enter(page, value)
    enter(page, "74")
    expect(page.locator("#steps .errorlist")).to_contain_text("74 min after batching is still to come")
    enter(page, "74")
    on.has_waiting(page, 6)
    page.context.set_offline(False)
    on.emptied(field, page)
    assert "still to come" in on.entries(field).get(code="D02").data["confirmed"][0]


def test_cylinders_without_signal_come_from_a_truck_that_came(field, phone) -> None:
    page, number = open_card(field, phone), field.job(on.OWNER).number
    day = reverse("pour-day", args=[number])
    page = phone(path=day)
    page.context.set_offline(True)
    form = on.choose(page, "D08")
    for name, value in {"truck": "9", "lab": "3", "field": "0", "marks": "A to C"}.items():
        form.locator(f"[name={name}]").fill(value)
    form.get_by_role("button", name="Record").tap()
    expect(page.locator("#steps .errorlist")).to_contain_text(
        "There is no ticket of truck 9; none is on record."
    )
    form.get_by_role("button", name="Record").tap()
    on.has_waiting(page, 1)


def test_a_reading_far_outside_is_asked_without_signal_and_then_kept(field, phone) -> None:
    page = phone(path=reverse("phone-list", args=[field.job(on.OWNER).number, "cure"]))
    page.context.set_offline(True)
    form = on.choose(page, "E03")
    form.locator("[name=subject]").select_option("edge")
    enter(page, "411")
    expect(page.locator("#steps .errorlist")).to_contain_text("411 F: it can be 33 to 160 F")
    assert on.waiting(page) == []
    enter(page, "411")
    on.has_waiting(page, 1)
    page.context.set_offline(False)
    on.emptied(field, page)
    kept = on.entries(field).get(code="E03")
    assert (kept.subject, kept.number) == ("edge", 411)
    assert kept.data["confirmed"] == [
        "411 F: it can be 33 to 160 F. Read it again; if it is so, press once more."
    ]
