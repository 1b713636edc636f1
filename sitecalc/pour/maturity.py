"""Maturity by ASTM C1074: Nurse-Saul temperature-time factor and equivalent age.

Fed with measured concrete temperature only, never with air. The datum temperature, Q and the
reference temperature belong to the mix and are always given: C1074 has been quoted with a datum of
0 C and of -10 C, and the lower one is unconservative in the cold.

Two policies of this project, on the safe side: increments under the datum count zero, and the
equivalent age gains nothing at 0 C (32 F) and under, where the formula alone would still gain.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from sitecalc.cases import same_as
from sitecalc.checks import Step
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.figures import PourFigures
from sitecalc.pour.readings import Numbers, Pieces, Trace, Traces, cut, dates_of

SOURCE = "ASTM C1074-19, Nurse-Saul and Arrhenius functions (clause not verified)"
PIECE_H = 0.5  # a longer interval is cut up, so that a mean over it hides no freezing
KELVIN = 273.15
RATE = Formula("r", "hours of equivalent age in an hour", "exp(-Q*(1/T-1/Ts))", "h/h")
NEARLY = 0.8  # of the hours of the best covered sensor of a day


@dataclass(frozen=True, kw_only=True)
class MixMaturity:
    """The mix's own constants."""

    datum_f: float = same_as(PourFigures, "datum_f", required=True)
    q_k: float = same_as(PourFigures, "q_k", required=True)
    reference_f: float = same_as(PourFigures, "reference_f", required=True)


@dataclass(frozen=True)
class Stretch:
    """A stretch of time at one mean concrete temperature."""

    hours: float = quantity("h", "length", low=0, high=10000)
    concrete_f: float = quantity("F", "mean concrete temperature", low=-60, high=212)


@dataclass(frozen=True)
class MaturityCase:
    mix: MixMaturity = quantity("", "constants of the mix")
    stretches: tuple[Stretch, ...] = quantity("", "stretches of measured concrete temperature")


@dataclass(frozen=True, kw_only=True)
class Maturity:
    """Temperature-time factor in F-h and C-h, equivalent age in h at the reference temperature."""

    factor_f_h: float
    factor_c_h: float
    equivalent_age_h: float
    covered_h: float
    steps: tuple[Step, ...]

    @property
    def equivalent_age_days(self) -> float:
        return self.equivalent_age_h / 24


def maturity(case: MaturityCase) -> Maturity:
    """Maturity of stretches of concrete temperature: factor in F-h, equivalent age in h at Ts.

    Sum of (T - T0) dt, and of exp(-Q (1/T - 1/Ts)) dt with T in K; nothing below T0 or from 32 F down.
    No stretch is maturity zero. ASTM C1074-19, Nurse-Saul and Arrhenius functions (read in secondary copies).
    """
    require_valid(case)
    mix = case.mix
    factor = sum(s.hours * max(s.concrete_f - mix.datum_f, 0.0) for s in case.stretches)
    age = sum(s.hours * age_rate(s.concrete_f, mix) for s in case.stretches)
    covered = sum(s.hours for s in case.stretches)
    return _matured(len(case.stretches), covered, mix, factor, age)


def _matured(count: int, covered_h: float, mix: MixMaturity, factor: float, age: float) -> Maturity:
    """The sums of thousands of intervals are the record's; nobody adds them up on paper."""
    steps = (
        looked_up(
            "M",
            "temperature-time factor",
            "sum of (T - T0) dt, nothing below T0",
            f"{count:,} intervals over {covered_h:.1f} h, T0 {mix.datum_f:g} F",
            factor,
            "F-h",
        ),
        looked_up(
            "te",
            "equivalent age",
            "sum of exp(-Q (1/T - 1/Ts)) dt, nothing at 32 F and under",
            f"Q {mix.q_k:g} K, Ts {mix.reference_f:g} F",
            age,
            "h",
        ),
    )
    return Maturity(
        factor_f_h=factor,
        factor_c_h=factor * 5 / 9,
        equivalent_age_h=age,
        covered_h=covered_h,
        steps=steps,
    )


def age_rate(concrete_f: float, mix: MixMaturity) -> float:
    """Hours of equivalent age gained in an hour at a concrete temperature in F; nothing at 32 F and under.

    exp(-Q (1/T - 1/Ts)), T in K. ASTM C1074-19 (read in secondary copies).
    """
    if concrete_f <= 32:
        return 0.0
    return RATE.value(Q=mix.q_k, T=kelvin(concrete_f), Ts=kelvin(mix.reference_f))


def kelvin(temp_f: float) -> float:
    """K from F."""
    return (temp_f - 32) * 5 / 9 + KELVIN


def maturity_of(
    trace: Trace, mix: MixMaturity, longest_gap_h: float, until: datetime | None = None
) -> Maturity:
    """Maturity of one sensor's trace, as of :func:`maturity`; TypeError for a trace of air.

    longest_gap_h
        h between two readings; what is silent longer gains nothing.
    """
    pieces = _pieces(trace if until is None else _up_to(trace, until, longest_gap_h), longest_gap_h)
    factor = float((pieces.hours * np.maximum(pieces.mean_f - mix.datum_f, 0)).sum())
    age = float((pieces.hours * age_rates(pieces.mean_f, mix)).sum())
    covered = float(pieces.hours.sum())
    return _matured(len(pieces.hours), covered, mix, factor, age)


def _up_to(trace: Trace, until: datetime, longest_gap_h: float) -> Trace:
    """The trace up to an instant, with the temperature it runs through there if that is covered."""
    end = until.timestamp()
    after = int(np.searchsorted(trace.at_s, end))
    if not 0 < after < len(trace) or trace.at_s[after] - trace.at_s[after - 1] > longest_gap_h * 3600:
        return trace.until(until)
    at_end = np.interp(end, trace.at_s, trace.temp_f)
    return Trace(
        trace.sensor,
        np.append(trace.at_s[:after], end),
        np.append(trace.temp_f[:after], at_end),
        trace.air,
    )


def _pieces(trace: Trace, longest_gap_h: float, bounds_s: Numbers | None = None) -> Pieces:
    if trace.air:
        raise TypeError("maturity is worked out from concrete temperatures only")
    return cut(trace, longest_gap_h, bounds_s, PIECE_H)


def age_rates(concrete_f: Numbers, mix: MixMaturity) -> Numbers:
    """:func:`age_rate` of many temperatures."""
    kelvins = (np.maximum(concrete_f, 0) - 32) * 5 / 9 + KELVIN
    rates = np.exp(-mix.q_k * (1 / kelvins - 1 / kelvin(mix.reference_f)))
    return np.where(concrete_f > 32, rates, 0.0)


@dataclass(frozen=True, kw_only=True)
class DayGain:
    """What one sensor gained on a date: equivalent age (days), temperature-time factor (F-h), hours."""

    age_days: float
    factor_f_h: float
    covered_h: float


def gains_by_day(trace: Trace, mix: MixMaturity, longest_gap_h: float, zone: ZoneInfo) -> dict[date, DayGain]:
    """Gain of one sensor on every date at the site that holds a covered hour."""
    if len(trace) < 2:
        return {}
    first, ends = dates_of(trace, zone)
    pieces = _pieces(trace, longest_gap_h, ends)
    day, count = np.searchsorted(ends, pieces.begin_s, side="right") - 1, len(ends) - 1
    age = np.bincount(day, pieces.hours * age_rates(pieces.mean_f, mix) / 24, count)
    above = np.maximum(pieces.mean_f - mix.datum_f, 0)
    factor = np.bincount(day, pieces.hours * above, count)
    hours = np.bincount(day, pieces.hours, count)
    return {
        first + timedelta(days=n): DayGain(
            age_days=float(age[n]), factor_f_h=float(factor[n]), covered_h=float(hours[n])
        )
        for n in range(count)
        if hours[n] > 1e-9
    }


@dataclass(frozen=True)
class AgeDay:
    """Age at the end of a date, and the sensor that gained least on it."""

    day: date
    sensor: str
    age_days: float
    factor_f_h: float


def governing_age(
    traces: Traces, mix: MixMaturity, longest_gap_h: float, zone: ZoneInfo
) -> tuple[AgeDay, ...]:
    """Age of the pad by date: each day the least gain of the sensors that were read on it.

    A sensor that falls silent therefore never makes the pad older. Of a day, those sensors count that
    cover nearly as much of it as the best one does; a date that is silent stands at the age before it.
    """
    gains = {name: gains_by_day(trace, mix, longest_gap_h, zone) for name, trace in sorted(traces.items())}
    dates = sorted({day for by_day in gains.values() for day in by_day})
    found: list[AgeDay] = []
    age = factor = 0.0
    day = dates[0] if dates else date.max
    while dates and day <= dates[-1]:
        today = {name: by_day[day] for name, by_day in gains.items() if day in by_day}
        sensor = ""
        if today:
            enough = NEARLY * max(g.covered_h for g in today.values())
            whole = {name: g for name, g in today.items() if g.covered_h >= enough}
            sensor = min(whole, key=lambda name: whole[name].age_days)
            age += whole[sensor].age_days
            factor += min(g.factor_f_h for g in whole.values())
        found.append(AgeDay(day, sensor, age, factor))
        day += timedelta(days=1)
    return tuple(found)
