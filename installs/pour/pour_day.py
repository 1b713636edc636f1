"""The day of the pour: readiness with its clocks, the plant's order, and what to do tonight after it."""

from __future__ import annotations

from dataclasses import dataclass

from installs.jobs.models import Job
from installs.pour.plant_order import RULES, order_lines
from installs.pour.readiness import Line, called_for, coldest_expected, facts_before, readiness
from installs.pour.record_words import PourRecord
from installs.pour.tonight import tonight_at
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
        lines = readiness(log, record.terms, facts_before(job, at), job.tz, at)
    called = called_for(log, job.tz)
    order = order_lines(job, record.terms, record.order, coldest_expected(log), called, record.void)
    return PourDay(lines, tuple(order), RULES, tonight_at(record.cure.state.watch, at))
