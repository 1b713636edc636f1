"""The day of the pour: readiness with its clocks, the plant's order, and what to do tonight after it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from installs.gates.facts import facts_of
from installs.gates.rules import JobFacts, gate
from installs.jobs.models import Job
from installs.pour.ages import after_pour, protected_until
from installs.pour.facts import CureFacts
from installs.pour.order_text import RULES, order_lines
from installs.pour.readiness import DayFacts, Line, called_for, coldest_expected, readiness
from installs.pour.record import PourRecord
from sitecalc.inputs import InputError
from sitecalc.pour.readings import Trace
from sitecalc.pour.thermal import spread_of
from sitecalc.pour.tonight import SensorNow, Tonight, TonightCase, tonight

FALL_OVER_S = 6 * 3600.0
WATCHED_AFTER = timedelta(days=1)  # the protection, while the pad cools


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
        lines = readiness(log, record.figures, _day_facts(job, at), job.tz, at)
    order = order_lines(job, record.figures, record.order, coldest_expected(log), called_for(log))
    return PourDay(lines, tuple(order), RULES, tonight_of(record.facts, at))


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


def tonight_of(facts: CureFacts, at: datetime) -> Tonight | None:
    """From the last readings of each sensor; None before the pour and once the pad needs no watching."""
    until, poured_at, figures = protected_until(facts), facts.log.poured_at, facts.figures
    if until is None or poured_at is None or figures is None or figures.least_dimension_in is None:
        return None
    if not poured_at <= at <= until + WATCHED_AFTER:
        return None
    out = {o.sensor for o in facts.log.temperatures.taken_out}
    traces = [t for name, t in after_pour(facts).items() if name not in out and len(t.until(at))]
    traces = [t.until(at) for t in traces]
    try:
        return tonight(
            TonightCase(
                now=at,
                zone=facts.zone,
                poured_at=poured_at,
                least_dimension_in=figures.least_dimension_in,
                protected_until=until,
                sensors=tuple(_now(t) for t in traces),
                forecast_low_f=facts.log.forecast_low_f,
                spread_f=_spread_now(traces),
            )
        )
    except InputError:
        return None


def _now(trace: Trace) -> SensorNow:
    """The last reading, and the fall over the six hours before it."""
    at, temp = trace.at_s, trace.temp_f
    near = at >= at[-1] - FALL_OVER_S
    hours = (at[-1] - at[near][0]) / 3600
    fall = float((temp[near][0] - temp[-1]) / hours) if hours >= 1 else 0.0
    return SensorNow(trace.sensor, float(temp[-1]), trace.last_at, float(np.clip(fall, -60, 60)))


def _spread_now(traces: list[Trace]) -> float | None:
    """Between the sensors over the last six hours that were read."""
    if not traces:
        return None
    end = max(float(t.at_s[-1]) for t in traces)
    recent = [
        Trace(t.sensor, t.at_s[keep], t.temp_f[keep])
        for t in traces
        if (keep := t.at_s >= end - FALL_OVER_S).any()
    ]
    found = spread_of(recent, FALL_OVER_S / 3600)
    return found.value_f if found else None
