"""A list's paper copy as it is printed: a line for each truck, leg, sensor or joint, with room to write.

What is on record is printed in its place, and what was crossed out or corrected stands there crossed out, so
that a copy printed half way through the work says what is still to be done.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from installs.checklists.limits import Limit
from installs.checklists.models import Entry, ItemKind
from installs.checklists.received import received_words
from installs.checklists.standing import AGAIN_AND_AGAIN, SENSOR, lacking, named, newest
from installs.checklists.state import ItemState, ListState
from installs.checklists.subjects import LINES_EACH, Subjects, lines_for, on_paper, subjects_of
from installs.jobs.models import Job
from installs.jobs.parts import TABLE, ByHand, OnPaper
from sitecalc.checks import readable
from sitecalc.wording import clock_words, day_words, quantity_words, unit_words

LINES = "installs/checklists/_paper_lines.html"
# what stands in the box where no number is written
IN_BOX = {
    ItemKind.TICK: "done / not done",
    ItemKind.TORQUE: "done / not done",
    ItemKind.PHOTO: "photo taken / not",
    ItemKind.SIGNATURE: "name",
    ItemKind.DOCUMENT: "number",
}


def by_hand_of(key: str) -> ByHand | None:
    """The table that goes with a list, if a part has one."""
    return next((part.by_hand[key] for part in TABLE.values() if key in part.by_hand), None)


def copy_sheets(job: Job, state: ListState) -> list[dict[str, Any]]:
    """The list's own sheet, and the pages of the table that goes with it."""
    table = by_hand_of(state.list.key)
    behind = table.sheets(job) if table else []
    return [_lines_sheet(job, state, table if behind else None), *behind]


def _lines_sheet(job: Job, state: ListState, table: ByHand | None) -> dict[str, Any]:
    subjects, planned = subjects_of(job), on_paper(job)
    return {
        "title": f"Checklist: {state.list.title.lower()}",
        "said": "Paper copy",
        "said_note": f"List version {state.list.version}. Keyed in later by number.",
        "inner": LINES,
        "rows": [
            row
            for each in state.items
            for row in (
                _elsewhere(each, table)
                if table and each.item.code in table.codes
                else _item_rows(job, each, subjects, planned)
            )
        ],
    }


def _elsewhere(state: ItemState, table: ByHand) -> list[dict[str, Any]]:
    return [{**_head(state), "place": "first", "elsewhere": table.title}]


def _head(state: ItemState) -> dict[str, Any]:
    item = state.item
    return {
        "code": item.code,
        "wording": item.wording,
        "signs": item.signs,
        "hold": item.weight == "hold",
        "photo": item.photo,
        "first": True,
    }


def _item_rows(
    job: Job, state: ItemState, subjects: Subjects, planned: Mapping[str, OnPaper]
) -> list[dict[str, Any]]:
    item, limit = state.item, state.limit
    said = planned[item.code].accepted if item.code in planned else ""
    common = {
        "accepted": said or accepted_range(limit),
        "unit": unit_words(item.unit),
        "box": IN_BOX.get(ItemKind(item.kind), ""),
    }
    told = list(_told(job, state))
    rows: list[dict[str, Any]] = []
    lines = lines_for(item, subjects, planned)
    for subject in _subjects(state, lines, told):
        here = [
            row for row in told if not item.per or named(row["subject"], item.per) == named(subject, item.per)
        ]
        rows += ({**row, **common, "subject": subject or row["subject"]} for row in here)
        known = not item.per or named(subject, item.per) in {named(line, item.per) for line in lines}
        if not here or (known and _open(state, subject)):
            rows.append({**common, "subject": subject, "write": True})
    last = len(rows) - 1
    return [
        {**row, **(_head(state) if place == 0 else {}), "place": _place(place, last)}
        for place, row in enumerate(rows)
    ]


def _place(place: int, last: int) -> str:
    """Of the rows of one item, for their rules: the first, one that follows, one that more follow."""
    return ("more" if place else "first") + (" goes-on" if place < last else "")


def _subjects(state: ItemState, lines: tuple[str, ...], told: list[dict[str, Any]]) -> tuple[str, ...]:
    """The lines there are, and every other subject on record: of a leg that the design no longer has, too."""
    per = state.item.per
    if not per:
        return ("",)
    on_record = dict.fromkeys(row["subject"] for row in told)
    if set(lines) == {per}:  # nobody knows them: those on record, and lines on which each is named by hand
        return (*on_record, *(f"{per} ______" for _ in range(max(LINES_EACH - len(on_record), 1))))
    known = {named(line, per) for line in lines}
    return (*lines, *(subject for subject in on_record if named(subject, per) not in known))


def _open(state: ItemState, subject: str) -> bool:
    """Whether there is still something to write: of a sensor always, it is read again and again."""
    if not state.item.per:
        return not state.done
    return state.item.per == SENSOR or bool(lacking(state.item, _of(state, subject), (subject,), state.limit))


def _of(state: ItemState, subject: str) -> list[Entry]:
    per = state.item.per
    return [e for e in state.standing if named(e.subject, per) == named(subject, per)]


def _told(job: Job, state: ItemState) -> Iterator[dict[str, Any]]:
    """What is on record, by the time of its receipt, each behind what it put in place of another."""
    standing: Iterable[Entry] = state.standing
    if state.item.per in AGAIN_AND_AGAIN:
        standing = sorted({e.pk: e for e in newest(state.item, state.standing).values()}.values(),
                          key=lambda e: e.sequence)  # fmt: skip
    for was, by in state.struck:
        yield {**_row(job, was), "struck": f"crossed out by {by.person.initials}{_because(by)}"}
    for entry in standing:
        older, new = [], entry
        while (old := new.corrects) is not None:
            older.append({**_row(job, old), "struck": f"corrected by {new.person.initials}{_because(new)}"})
            new = old
        yield from reversed(older)
        yield _row(job, entry)


def _because(entry: Entry) -> str:
    return f": {entry.text}" if entry.text else ""


def _row(job: Job, entry: Entry) -> dict[str, Any]:
    at = job.local(entry.happened_at)
    value, note = value_words(entry), "" if entry.text == entry.said.get("ticket") else entry.text
    if value == "done" and note:
        value, note = note, ""  # of a document its number says that it is there
    return {
        "subject": entry.subject,
        "value": value,
        "day": day_words(at, year=True),
        "clock": clock_words(at),
        "by": entry.person.initials,
        "note": "; ".join(filter(None, (note, received_words(entry, job, year=True)))),
    }


def value_words(entry: Entry) -> str:
    """ "0.06 in", "not done", "done" """
    if entry.unreadable:
        return "cannot be read"
    if entry.said.get("cannot"):
        return "not done"
    if entry.number is not None:
        return quantity_words(entry.number, entry.unit)
    return "failed" if entry.said.get("failed") else str(entry.said.get("signed", "done"))


def accepted_range(limit: Limit) -> str:
    """ "3 to 5 in", "at least 0.5 in", "at most 90 F, by lift plan A", or nothing"""
    low, high = limit.least, limit.high
    if low is not None and high is not None and low == -high:
        said = f"±{readable(high)}"
    elif low is not None and high is not None:
        said = f"{readable(low)} to {readable(high)}"
    elif low is not None:
        said = f"at least {readable(low)}"
    elif high is not None:
        said = f"at most {readable(high)}"
    elif limit.named:
        return f"{limit.named}, by {limit.plan}"
    else:
        return f"no limit: {limit.lacks}" if limit.lacks else ""
    return f"{said} {unit_words(limit.unit)}".strip() + (f", by {limit.plan}" if limit.plan else "")
