"""Pour card and cure sheet to write on: a row a truck, a row a day, with what is on record in its place."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone

from installs.jobs.models import DesignRevision, Job
from installs.pour.field_log import TruckTicket
from installs.pour.record_words import PourRecord, load_record
from installs.pour.review import table_of
from sitecalc.pour.cold import COLD_AIR_F
from sitecalc.pour.placing import AIR, CONCRETE, MINUTES, SLUMP, WATER, Decision
from sitecalc.wording import clock_words, day_words, quantity_words, unit_words

TRUCKS, CURE = "Pour card", "Cure sheet"
A_PAGE = 7  # trucks on a page of the card
UPRIGHT, ACROSS = 14, 9  # days on a page of the cure sheet
MOST_SENSORS = 4  # that fit on an upright page, by dawn and by dusk
MOST_ACROSS = 6
UNKNOWN_DAYS = 28  # while no pour is released: the least that one can ask for

# What is done with a truck out of its limits: who decides is the table's (sitecalc/pour/placing.py). A second
# test of the same load: ASTM C94 (from memory). The rest is common practice, no source.
OUT = {
    MINUTES: "Add no water. Call the engineer before it is discharged; write who answered.",
    SLUMP: "Test once more from the same load. Out again: {out}, write REJECTED and why.",
    AIR: "Test once more from the same load. Out again: {out}, write REJECTED and why.",
    CONCRETE: "Read it once more. Out again: {out}, write REJECTED and why. Nothing on frozen ground.",
    WATER: "None beyond the ticket, none once it is discharging. More was added: {out}.",
}


def truck_sheets(job: Job, revision: DesignRevision | None) -> list[dict[str, Any]]:
    """P-1.2 on, behind the card and the order to the plant."""
    return [{**page, "sheet": f"P-1.{n}"} for n, page in enumerate(truck_pages(job), start=2)]


def cure_sheets(job: Job, revision: DesignRevision | None) -> list[dict[str, Any]]:
    return [{**page, "sheet": f"P-2.{n}"} for n, page in enumerate(cure_pages(job), start=1)]


# --- the pour card ----------------------------------------------------------------------------------


def truck_numbers(record: PourRecord) -> list[list[int]]:
    """By page: every truck that is ordered or came, and one that takes the place of a rejected one."""
    ordered = len(record.order.loads_yd3) + 1 if record.order else 0
    came = max((t.number for t in record.tickets), default=0)
    pages = math.ceil(max(ordered, came, 1) / A_PAGE)
    return [list(range(A_PAGE * page + 1, A_PAGE * (page + 1) + 1)) for page in range(pages)]


def truck_pages(job: Job) -> list[dict[str, Any]]:
    record = load_record(job, timezone.now())
    pages = truck_numbers(record)
    letter = record.terms.letter if record.terms else ""
    return [
        {
            "title": f"{TRUCKS}, trucks {numbers[0]} to {numbers[-1]}",
            "said": "To write on",
            "said_note": f"Page {place} of {len(pages)} of the card. Keyed in row by row.",
            "size": "landscape",
            "inner": "installs/pour/_paper_trucks.html",
            "order": record.order_words,
            "by": f"pour release {letter}" if letter else "",
            "limits": limit_rows(record),
            "rows": [_truck_row(record, number) for number in numbers],
        }
        for place, numbers in enumerate(pages, start=1)
    ]


def limit_rows(record: PourRecord) -> list[dict[str, str]]:
    """What a truck is held to, and in one line what is done with one that is out of it."""
    found = []
    for row in table_of(None, record.terms, record.air_f):
        accepted = row.accepted.removesuffix(" accepted")
        if row.rule is WATER and row.high is None:
            accepted = "as the ticket allows"
        elif row.rule is CONCRETE and record.air_f is None and record.terms:
            cold = table_of(None, record.terms, COLD_AIR_F - 1)
            of_cold = next(each for each in cold if each.rule is CONCRETE)
            accepted += f"; air under {COLD_AIR_F:g} F, {of_cold.low:g} to {of_cold.high:g} F"
        out = "send it back" if row.out is Decision.REJECT else str(row.out)
        found.append(
            {"title": row.rule.title, "accepted": unit_words(accepted), "out": OUT[row.rule].format(out=out)}
        )
    return found


def _truck_row(record: PourRecord, number: int) -> dict[str, Any]:
    truck = next((t for t in record.facts.log.trucks if t.number == number), None)
    if truck is None:
        return {"number": number, "write": True}
    ticket = next(t for t in record.tickets if t.number == number)
    struck = {line.title: line.struck for line in ticket.lines if line.struck}
    made = [s for s in record.cylinder_sets if s.where == f"truck {number}"]
    cells = [
        {"value": truck.ticket},
        {"value": f"{truck.yards:g}" if truck.yards else ""},
        *({"value": _clock(record.job, at)} for at in _times(truck)),
        *(
            {"value": _figure(truck, code), "struck": struck.get(title, "")}
            for code, title in (
                ("D03", "Slump"), ("D04", "Air"), ("D05", "Concrete"), ("D07", "Water added"),
            )
        ),
        {"value": "; ".join(f"{s.count:g} {s.marks}".strip() for s in made)},
        {"value": f"REJECTED: {truck.why_refused}" if truck.refused else ticket.state},
        {"value": next(iter(truck.told.values())).entry.person.initials},
    ]  # fmt: skip
    # of a truck that stands there what is not measured yet is still to be written
    return {"number": number, "cells": cells, "out": truck.refused, "write": truck.on_site}


def _times(truck: TruckTicket) -> tuple[datetime | None, ...]:
    return truck.batched_at, truck.more("arrived_at"), truck.more("began_at"), truck.discharged_at


def _clock(job: Job, at: datetime | None) -> str:
    return clock_words(job.local(at)) if at else ""


def _figure(truck: TruckTicket, code: str) -> str:
    told = truck.told.get(code)
    if told is None:
        return ""
    if told.entry.said.get("cannot"):
        return "not measured"
    value = truck.figure(code)
    return "" if value is None else quantity_words(value, "")


# --- the cure sheet ---------------------------------------------------------------------------------


def sensors_of(record: PourRecord) -> tuple[str, ...]:
    """Of the pad, and the air beside it."""
    return (*(record.terms.sensors if record.terms else ("edge", "top", "core")), "air")


def days_of(record: PourRecord) -> int:
    """Days to be read: as many as the released pour asks for. A cold day counts less than one, and the
    sheet goes on by another copy."""
    return math.ceil(record.terms.curing_days) if record.terms else UNKNOWN_DAYS


def day_one(record: PourRecord) -> date | None:
    return record.facts.log.poured_on


def cure_pages(job: Job) -> list[dict[str, Any]]:
    record = load_record(job, timezone.now())
    sensors, days, first = sensors_of(record), days_of(record), day_one(record)
    across = len(sensors) > MOST_SENSORS
    groups = list(_groups(sensors)) if across else [sensors]
    each = ACROSS if across else UPRIGHT
    starts = [(group, start) for group in groups for start in range(1, days + 1, each)]
    return [
        {
            "title": f"{CURE}, days {start} to {min(start + each - 1, days)}",
            "said": "To write on",
            "said_note": f"Page {place} of {len(starts)} of the sheet. Keyed in day by day.",
            "size": "landscape" if across else "letter",
            "inner": "installs/pour/_paper_cure_round.html",
            "sensors": group,
            "days": days,
            "poured_on": first,
            "rows": [
                {
                    "number": n,
                    "day": day_words(first + timedelta(days=n - 1), year=True) if first else "",
                    "poured": n == 1,
                }
                for n in range(start, min(start + each, days + 1))
            ],
        }
        for place, (group, start) in enumerate(starts, start=1)
    ]


def _groups(sensors: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Sensors side by side as they fit, the air on the last."""
    for start in range(0, len(sensors), MOST_ACROSS):
        yield sensors[start : start + MOST_ACROSS]
