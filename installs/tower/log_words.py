"""The torque log as it is printed: each pass, each bolt apart from the others, each check, with date, wrench
and person. It is the owner's and the engineer's record, so nothing that was recorded is left out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from installs.checklists.received import received_words
from installs.jobs.models import Job
from installs.tower.torque import JointState
from installs.tower.torque_log import CHECK_CODE, SUBJECT
from sitecalc.wording import clock_words, day_words

KEPT_TURNING, NEW_BOLT, TORQUED = "kept turning", "new bolt", "torqued"


@dataclass(frozen=True)
class Recorded:
    """One entry of the log: of a check ``step`` is 0, of a whole pass ``bolt`` is empty."""

    step: int
    bolt: str
    what: str
    at: datetime
    wrench: str
    by: str
    bolts: tuple[str, ...] = ()  # that were checked
    moved: tuple[str, ...] = ()
    received: str = ""  # where that was well after it

    @property
    def told(self) -> dict[str, str]:
        """When, with what and by whom, in words: a paper freezes words and works out nothing later."""
        when = f"{day_words(self.at, year=True)}, {clock_words(self.at)}"
        return {"when": f"{when}{_after(self.received)}", "wrench": self.wrench, "by": self.by}


def recorded(job: Job, state: JointState) -> list[Recorded]:
    """By the time at which it was done."""
    found = [line for entry, hand in state.read for line in _lines(job, state, entry, hand)]
    return sorted(found, key=lambda line: line.at)


def _lines(job: Job, state: JointState, entry: Any, hand: Any) -> Iterable[Recorded]:
    subject = SUBJECT.match(entry.subject)
    step, bolt = (int(subject[2] or 0), subject[3] or "") if subject else (0, "")
    failed = entry.said.get("failed")
    said = Recorded(
        step=step,
        bolt=bolt,
        what=TORQUED,
        at=job.local(entry.happened_at),
        wrench=entry.said.get("wrench", ""),
        by=hand.full_name if hand else "not known",
        received=received_words(entry, job, year=True),
    )
    named = tuple(b for b in state.joint.bolts if isinstance(failed, tuple) and b in failed)
    if entry.code == CHECK_CODE:
        bolts = entry.said.get("bolts", ())
        seen = state.joint.bolts if bolts == "all" else bolts
        yield replace(said, what="checked", bolts=seen, moved=named)
    elif bolt:
        turned, new = failed is True, entry.said.get("new_bolt", False)
        yield replace(said, what=NEW_BOLT if new else KEPT_TURNING if turned else TORQUED)
    else:
        yield said
        for each in named:
            yield replace(said, bolt=each, what=KEPT_TURNING)


def pass_lines(lines: Iterable[Recorded], step: int) -> list[dict[str, str]]:
    """When, with what and by whom a pass was torqued: a line for each wrench, hand and date."""
    found: dict[tuple[str, str, str], list[Recorded]] = {}
    for line in lines:
        if line.step == step and line.what == TORQUED:
            found.setdefault((day_words(line.at, year=True), line.wrench, line.by), []).append(line)
    return [
        {"when": f"{day}, {_clocks(told)}{_after(_received(told))}", "wrench": wrench, "by": by}
        for (day, wrench, by), told in found.items()
    ]


def _after(received: str) -> str:
    return f"; {received}" if received else ""


def _received(told: list[Recorded]) -> str:
    """Of several the last that came late, by our clock."""
    return next((line.received for line in reversed(told) if line.received), "")


def _clocks(told: list[Recorded]) -> str:
    first, last = (clock_words(each.at) for each in (told[0], told[-1]))
    return first if first == last else f"{first} to {last}"


def own_lines(lines: list[Recorded]) -> list[dict[str, Any]]:
    """Bolts that kept turning or were replaced, and how those were torqued from then on."""
    apart: set[str] = set()
    found: list[dict[str, Any]] = []
    for line in lines:
        if line.step and line.what != TORQUED:
            apart.add(line.bolt)
        if line.step and line.bolt in apart:
            found.append({"bolt": line.bolt, "step": line.step, "what": line.what, **line.told})
        apart.update(line.moved)
    return found


def check_lines(lines: Iterable[Recorded], count: int) -> list[dict[str, Any]]:
    """Each check: which bolts, which of them moved, when, with what, by whom."""
    return [
        {
            "bolts": f"all {count}" if len(line.bolts) == count else ", ".join(line.bolts),
            "moved": ", ".join(line.moved),
            **line.told,
        }
        for line in lines
        if not line.step
    ]
