"""Torque sheets to write on: one a joint, its passes and its bolts by number, with what is on record.

The order is that of the form by which they are keyed in (joint_lines.py): the passes of the joint, the last
pass bolt by bolt, bolts apart from the others, the second person's check.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from installs.checklists.models import Entry
from installs.checklists.received import received_words
from installs.checklists.standing import struck_keys
from installs.jobs.models import DesignRevision, Job
from installs.people.models import User
from installs.tower.facts import JointFacts
from installs.tower.from_paper import hand, hand_key
from installs.tower.torque import CHECK_LINES, DOUBTED, FAILED, OWN_LINES, TORQUED, JointState
from installs.tower.torque_log import CHECK_CODE, PASS_CODES, SUBJECT, load_torque
from sitecalc.tower.bolting import Pass
from sitecalc.wording import clock_words, day_words, quantity_words

TORQUE = "Torque sheets"


@dataclass(frozen=True)
class Line:
    """One entry of the log as a cell or a row prints it. ``why`` it was crossed out, of one that was."""

    step: int  # 0: the check
    bolt: str  # "" for the whole joint
    what: str
    value: str
    wrench: str
    day: str
    clock: str
    by: str
    bolts: tuple[str, ...] = ()  # that were checked
    apart: tuple[str, ...] = ()  # that kept turning, or turned under the check
    why: str = ""
    received: str = ""  # where that was well after it

    @property
    def when(self) -> str:
        return f"{self.day} {self.clock}" + (f"; {self.received}" if self.received else "")

    def names(self, bolt: str) -> bool:
        return self.bolt == bolt or (not self.bolt and bolt not in self.apart)


def torque_sheets(job: Job, revision: DesignRevision) -> list[dict[str, Any]]:
    """T-2.1 on, behind the torque log."""
    return [{**page, "sheet": f"T-2.{n}"} for n, page in enumerate(torque_pages(job), start=1)]


def torque_pages(job: Job) -> list[dict[str, Any]]:
    """A sheet for each joint of the tower in force."""
    state = load_torque([job])[job.pk]
    lines = list(_lines(job))
    return [
        {
            **_page(each, [line for number, line in lines if number == each.joint.number], state.letter),
            "said_note": f"Joint {each.joint.number} of {len(state.joints)}. Keyed in joint by joint.",
        }
        for each in state.joints
    ]


def _page(state: JointState, lines: list[Line], letter: str) -> dict[str, Any]:
    joint = state.joint
    done = state.complete
    apart = [line for line in lines if line.step and line.bolt and (line.what != TORQUED or line.why)]
    checks = [line for line in lines if not line.step]
    return {
        "title": f"Torque sheet, {joint.title[:1].lower()}{joint.title[1:]}",
        "said": "Complete" if done else "To write on",
        "inner": "installs/tower/_paper_torque_sheets.html",
        "bolts_words": f"{len(joint.bolts)} bolts, {joint.size} {joint.grade}, by tower release {letter}",
        "open": list(state.open),
        "passes": [
            {
                "number": p.number,
                "words": p.words,
                "told": _told([line for line in lines if line.step == p.number and not line.bolt]),
                "write": state.pass_state(p.number) != TORQUED,
            }
            for p in joint.passes
        ],
        "bolts": [_bolt(state, bolt, place, lines) for place, bolt in enumerate(joint.bolts)],
        "own": _told(apart),
        "own_lines": range(0 if done else OWN_LINES),
        "second_checks": [
            {
                **told,
                "bolts": "all" if len(told["bolts"]) == len(joint.bolts) else ", ".join(told["bolts"]),
                "turned": ", ".join(told["apart"]) or "none",
            }
            for told in _told(checks)
        ],
        "to_check": state.to_check,
        "count": len(joint.bolts),
        "check_lines": range(0 if done else CHECK_LINES),
    }


def _told(lines: Iterable[Line]) -> list[dict[str, Any]]:
    return [
        {**vars(line), "when": line.when, "apart": list(line.apart), "bolts": list(line.bolts)}
        for line in lines
    ]


def _bolt(state: JointState, bolt: str, place: int, lines: list[Line]) -> dict[str, Any]:
    """A row by the bolt's number: each pass with who, when and value, blank where it is to do."""
    passes = state.bolts[place].passes
    cells = [_cell(state.joint, p, bolt, passes[p.number - 1], lines) for p in state.joint.passes]
    return {
        "name": bolt,
        "cells": cells,
        "last": cells[-1]["told"],
        "write": any(each != TORQUED for each in passes),
    }


def _cell(joint: JointFacts, step: Pass, bolt: str, state: str, lines: list[Line]) -> dict[str, Any]:
    here = [line for line in lines if line.step == step.number and line.names(bolt)]
    # the whole last pass at once counts for no bolt, and is printed with the passes
    here = [line for line in here if line.bolt or step.number != joint.last_pass.number]
    told = [line for line in here if not line.why and line.what == TORQUED]
    shown = told[-1] if told and state in (TORQUED, DOUBTED) else None
    return {
        "struck": _told(line for line in here if line.why),
        "told": _told([shown])[0] if shown else None,
        "failed": state == FAILED,
        "doubted": state == DOUBTED,
    }


# --- the log, with what was crossed out ---------------------------------------------------------------


def _lines(job: Job) -> Iterator[tuple[int, Line]]:
    """(joint, line) of every entry, by the time at which it was done; the ones that stand no more say why."""
    entries = list(
        job.entries.filter(code__in=(*PASS_CODES, CHECK_CODE)).select_related("person").order_by("sequence")
    )
    people = User.objects.in_bulk({key for e in entries if (key := hand_key(e))})
    gone = struck_keys(entries)
    counted = [e for e in entries if e.pk not in gone]
    ended = {e.corrects_id: e for e in counted if e.corrects_id}
    for entry in sorted(entries, key=lambda e: (e.happened_at, e.sequence)):
        found = SUBJECT.match(entry.subject)
        if entry.struck or found is None or entry.unreadable or entry.said.get("cannot"):
            continue
        by = ended.get(entry.pk)
        yield (
            int(found[1]),
            _line(job, entry, hand(entry, people), (int(found[2] or 0), found[3] or ""), _why(by)),
        )


def _why(by: Entry | None) -> str:
    if by is None:
        return ""
    words = f"{'crossed out' if by.struck else 'corrected'} by {by.person.initials}"
    return f"{words}: {by.text}" if by.text else words


def _line(job: Job, entry: Entry, who: User | None, place: tuple[int, str], why: str) -> Line:
    at = job.local(entry.happened_at)
    failed = entry.said.get("failed")
    bolts = entry.said.get("bolts", ())
    what = "new bolt" if entry.said.get("new_bolt") else "kept turning" if failed is True else TORQUED
    return Line(
        step=0 if entry.code == CHECK_CODE else place[0],
        bolt=place[1],
        what=what,
        value=quantity_words(entry.number, entry.unit) if entry.number is not None else "",
        wrench=entry.said.get("wrench", ""),
        day=day_words(at, year=True),
        clock=clock_words(at),
        by=who.initials if who else "not known",
        bolts=(bolts,) if isinstance(bolts, str) else tuple(bolts),
        apart=failed if isinstance(failed, tuple) else (),
        why=why,
        received=received_words(entry, job, year=True),
    )
