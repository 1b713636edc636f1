"""The pad watched from its placing until it has cooled after the protection: what to do tonight."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from installs.pour.facts import CureFacts
from installs.pour.pad_age import after_pour, protected_until
from sitecalc.inputs import InputError
from sitecalc.pour.readings import Trace
from sitecalc.pour.thermal import spread_of
from sitecalc.pour.tonight import SensorNow, Tonight, TonightCase, tonight

FALL_OVER_S = 6 * 3600.0
WATCHED_AFTER = timedelta(days=1)  # the protection, while the pad cools


def watched(facts: CureFacts, at: datetime) -> TonightCase | None:
    """The last readings of each sensor with what the section needs; None before the pour."""
    until, poured_at, terms = protected_until(facts), facts.log.poured_at, facts.terms
    if until is None or poured_at is None or terms is None or terms.least_dimension_in is None:
        return None
    out = {o.sensor for o in facts.log.temperatures.taken_out}
    known = {name: trace.until(at) for name, trace in after_pour(facts).items() if name not in out}
    traces = [t for t in known.values() if len(t)]
    return TonightCase(
        now=at,
        zone=facts.zone,
        poured_at=poured_at,
        least_dimension_in=terms.least_dimension_in,
        protected_until=until,
        sensors=tuple(_now(t) for t in traces),
        forecast_low_f=facts.log.forecast_low_f,
        spread_f=_spread_now(traces),
    )


def tonight_at(case: TonightCase | None, at: datetime) -> Tonight | None:
    """Judged by the clock, so that silence grows with it; None once the pad needs no watching."""
    if case is None or not case.poured_at <= at <= case.protected_until + WATCHED_AFTER:
        return None
    try:
        return tonight(replace(case, now=at))
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
