"""The day of the pour: readiness with its clocks, the plant's order, and what to do tonight after it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from installs.gates.facts import facts_of
from installs.gates.rules import JobFacts, gate
from installs.jobs.models import Job
from installs.jobs.standing import footing
from installs.pour.order_text import RULES, order_lines
from installs.pour.readiness import DayFacts, Line, called_for, coldest_expected, readiness
from installs.pour.record import PourRecord
from installs.pour.watching import tonight_at
from sitecalc.pour.tonight import Tonight


@dataclass(frozen=True)
class PourDay:
    """``lines`` are empty once concrete is placed; ``order`` while there is nothing to order by."""

    lines: tuple[Line, ...]
    order: tuple[str, ...]
    order_rules: str
    tonight: Tonight | None

    @property
    def ready(self) -> bool:
        return bool(self.lines) and all(line.state == "ready" for line in self.lines)


def pour_day(job: Job, record: PourRecord) -> PourDay:
    log, at = record.facts.log, record.at
    lines: tuple[Line, ...] = ()
    if log.poured_on is None:
        lines = readiness(log, record.terms, _day_facts(job, at), job.tz, at)
    standing = footing(job)
    released = standing.in_force.get("pour")
    void = standing.void(released) if released else ""
    order = order_lines(job, record.terms, record.order, coldest_expected(log), called_for(log, job.tz), void)
    return PourDay(lines, tuple(order), RULES, tonight_at(record.cure.state.watch, at))


def _day_facts(job: Job, at: datetime) -> DayFacts:
    facts = facts_of(job, at)
    state = gate("pour", facts, job.local(at).date())
    ticket = _ticket(facts)
    return DayFacts(state.missing, *ticket)


def _ticket(facts: JobFacts) -> tuple[str, object]:
    held = [p for p in facts.permits if p.kind == "locate" and (p.in_hand or p.expires_on)]
    if not held:
        return "", None
    newest = held[-1]
    return newest.number or "ticket in hand", newest.expires_on
