"""What the cure chart shows: temperatures, each day's worth, strength by the mix's curve."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from installs.pour.cure import curve_share
from installs.pour.facts import Cure, CureFacts, NoticeFact
from installs.pour.pad_age import after_pour
from installs.pour.terms import UNSAID
from sitecalc.pour.forecast import expected_mean
from sitecalc.pour.maturity import age_rate
from sitecalc.pour.readings import Trace
from sitecalc.pour.strength import CurveCase, forecast_strength

MOST_COLUMNS = 700  # a chart is at most about so many px wide
DAYS_AFTER = 3


@dataclass(frozen=True)
class Line:
    """A sensor's temperatures over days from the pour; None breaks the line."""

    name: str
    days: tuple[float, ...]
    temps_f: tuple[float | None, ...]
    air: bool


@dataclass(frozen=True, kw_only=True)
class ChartData:
    """Everything the chart shows, hashable. Days are counted from the beginning of the day of the pour."""

    poured_on: date
    lines: tuple[Line, ...]
    coldest: str
    gap_days: float
    silences: tuple[tuple[float, float], ...]
    worths: tuple[float, ...]  # from the day after the pour
    forecast_worths: tuple[float, ...]
    total: float
    required_days: float
    reached_on: date | None
    today: float
    curve: tuple[tuple[float, float], ...]  # day, psi
    forecast_curve: tuple[tuple[float, float], ...]
    ages: tuple[tuple[float, float], ...]  # day, equivalent age in days
    reference_f: float
    band: tuple[tuple[float, float, float], ...]  # day, lower and upper edge by the calibration, psi
    required_psi: float | None
    notices: tuple[tuple[float, float, bool], ...]  # day, psi, field-cured
    through: float


def chart_data(cure: Cure, facts: CureFacts, at: datetime) -> ChartData | None:
    """None before the pour, and while no temperature is on record."""
    poured_on = facts.log.poured_on
    if (
        poured_on is None
        or cure.log is None
        or not (facts.log.temperatures.concrete or facts.log.temperatures.air)
    ):
        return None
    zone = ZoneInfo(facts.zone)
    begin = datetime.combine(poured_on, time.min, zone)

    def day_of(instant: datetime) -> float:
        return (instant - begin).total_seconds() / 86400

    concrete = after_pour(facts)
    told = facts.log.temperatures.air
    air = {name: since for name, t in told.items() if len(since := t.since(begin))}
    gap_days = (facts.terms.figures.longest_gap_h if facts.terms else UNSAID["longest_gap_h"]) / 24
    traces = (*concrete.values(), *air.values())
    foreseen = cure.forecast.days if cure.forecast else ()
    today = day_of(at.replace(minute=0, second=0, microsecond=0))  # drawn anew once an hour
    ends = [len(cure.log.days), (cure.log.reached_on - poured_on).days if cure.log.reached_on else 0]
    if foreseen:
        ends.append((foreseen[-1].day - poured_on).days)
    recorded = max((float(_days(trace, begin)[-1]) for trace in traces), default=0.0)
    if cure.log.reached_on is not None:
        ends[0] = 0  # days after the cure was reached are not drawn
        recorded = min(recorded, ends[1] + DAYS_AFTER)
    through = max(*ends, recorded) + DAYS_AFTER
    curve, forecast_curve = _curves(cure, facts, through, today)
    return ChartData(
        poured_on=poured_on,
        lines=tuple(_line(trace, begin, gap_days, through) for trace in traces),
        coldest=cure.coldest,
        gap_days=gap_days,
        silences=_silences(concrete.get(cure.coldest), begin, gap_days),
        worths=tuple(d.worth for d in cure.log.days)[: int(through)],
        forecast_worths=tuple(d.worth for d in foreseen),
        total=cure.log.total,
        required_days=cure.state.days_required,
        reached_on=cure.log.reached_on or (cure.forecast.reached_on if cure.forecast else None),
        today=min(today, through),
        curve=curve,
        forecast_curve=forecast_curve,
        ages=(
            (0.0, 0.0),
            *((_end_of(a.day, poured_on, today), a.age_days) for a in cure.ages if a.day >= poured_on),
        ),
        reference_f=facts.terms.figures.reference_f if facts.terms else UNSAID["reference_f"],
        band=_band(cure, poured_on, today),
        required_psi=cure.state.required_psi,
        notices=tuple(_mark(n) for n in facts.notices),
        through=through,
    )


def _end_of(day: date, poured_on: date, today: float) -> float:
    """The day in progress ends where the clock stands."""
    return min((day - poured_on).days + 1.0, max(today, 0.0))


def _band(cure: Cure, poured_on: date, today: float) -> tuple[tuple[float, float, float], ...]:
    """Eight of ten pads by the mix's calibration, at the recorded age: a forecast."""
    made = cure.calibrated.calibration if cure.calibrated else None
    if made is None:
        return ()
    known = ((a, made.predicted(a.age_days)) for a in cure.ages)
    return tuple(
        (_end_of(a.day, poured_on, today), p.low_psi, p.high_psi)
        for a, p in known
        if p.low_psi is not None and p.high_psi is not None
    )


def _mark(notice: NoticeFact) -> tuple[float, float, bool]:
    return notice.age_days, notice.average_psi, notice.cure == "field"


def _days(trace: Trace, begin: datetime) -> np.ndarray:
    return (trace.at_s - begin.timestamp()) / 86400


def _line(trace: Trace, begin: datetime, gap_days: float, through: float) -> Line:
    """Up to the edge of the chart and the reading past it."""
    days = _days(trace, begin)
    days = days[: int(np.searchsorted(days, through)) + 1]
    places: list[float] = []
    temps: list[float | None] = []
    for run in np.split(np.arange(len(days)), np.flatnonzero(np.diff(days) > gap_days) + 1):
        if places:
            places.append(float(days[run[0]]))
            temps.append(None)
        drawn = run[_drawn(days[run], trace.temp_f[run], through)]
        places += [float(day) for day in days[drawn]]
        temps += [float(t) for t in trace.temp_f[drawn]]
    return Line(trace.sensor, tuple(places), tuple(temps), trace.air)


def _drawn(days: np.ndarray, temps: np.ndarray, through: float) -> np.ndarray:
    """Places of what a pen can draw: of each column the first, coldest, warmest and last reading."""
    columns = np.floor(days / through * MOST_COLUMNS)
    firsts = np.flatnonzero(np.diff(columns, prepend=np.nan))
    lasts = [*(firsts[1:] - 1), len(days) - 1]
    kept = set(firsts.tolist()) | {int(n) for n in lasts}
    for first, last in zip(firsts, lasts, strict=True):
        column = temps[first : last + 1]
        kept |= {int(first + column.argmin()), int(first + column.argmax())}
    return np.array(sorted(kept))


def _silences(trace: Trace | None, begin: datetime, gap_days: float) -> tuple[tuple[float, float], ...]:
    if trace is None:
        return ()
    days = _days(trace, begin)
    return tuple((float(days[n]), float(days[n + 1])) for n in np.flatnonzero(np.diff(days) > gap_days))


def _curves(
    cure: Cure, facts: CureFacts, through: float, today: float
) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Strength by the mix's curve, by the recorded age and then by expected temperatures: forecasts."""
    terms, poured_on = facts.terms, facts.log.poured_on
    if terms is None or terms.f28_psi is None or poured_on is None or not cure.ages:
        return (), ()
    a, b = terms.curve
    ages = {a.day: a.age_days for a in cure.ages}
    f28 = terms.f28_psi * curve_share(terms, cure.notice, poured_on, ages)

    def psi(age: float) -> float:
        return (
            f28
            * forecast_strength(
                CurveCase(fc28_psi=terms.f28_psi or f28, age_days=min(age, 1000.0), a_days=a, b=b)
            ).ratio
        )

    recorded = [(0.0, 0.0)]
    for day, age in ages.items():
        if (day - poured_on).days + 1 <= through:
            recorded.append((_end_of(day, poured_on, today), psi(age)))
    expected = terms.expected(poured_on)
    if expected is None or today >= through:
        return tuple(recorded), ()
    age = list(ages.values())[-1] if ages else 0.0
    place, foreseen = recorded[-1][0], [recorded[-1]]
    while place < through:
        place += 1.0
        age += age_rate(expected_mean(expected, poured_on + timedelta(days=int(place))), terms.mix)
        foreseen.append((place, psi(age)))
    return tuple(recorded), tuple(foreseen)
