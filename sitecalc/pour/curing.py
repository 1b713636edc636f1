"""Curing days: what each day at the site is worth, counted from the day after the pour.

A day whose mean concrete temperature is 50 F or more counts one, a colder one (T - 32)/18 of one,
never less than nothing. A day without a concrete reading counts one only if the recorded mean air of
that day and of the day before was 50 F or more, else nothing.

Where a log is not whole, never in favor of the concrete:

- The day of the pour counts nothing, and a day counts once it is over.
- A day partly silent counts the share of its hours that is covered, at the worth of their mean.
- Of several sensors the one worth least governs. A sensor that has once covered a whole day stands in
  the log: its silent hours are missed, a silent day goes by the air rule, until it is recorded as taken
  out. A sensor read only now and then counts by its mean on the days of which it covers an hour.
- Air is recorded for a day when at most ``AIR_SILENT_H`` of its hours are silent.

The rule is this project's own (an engineer's specified cure may ask more); 50 F as the temperature
under which curing days do not count in full: ACI 318-19 26.5.3 (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.pour.figures import PourFigures
from sitecalc.pour.readings import (
    AirReading,
    ConcreteReading,
    DayMean,
    Trace,
    Traces,
    day_hours,
    day_means,
    gaps,
    midnight,
    said,
    traces_of,
    zone_of,
)
from sitecalc.wording import day_words

SOURCE = "curing day as this project defines it; 50 F: ACI 318-19 26.5.3"
FULL_DAY_F, NOTHING_F = 50.0, 32.0
AIR_SILENT_H = 6.0
MOST_DAYS = 1500

CURING = Rule("curing days", "Curing days", "days", SOURCE, Known.MEMORY)

WORTH = Formula(
    "w",
    "curing-day credit of a day",
    f"min(max((T-{NOTHING_F:g})/({FULL_DAY_F:g}-{NOTHING_F:g}),0),1)",
    "days",
)
OTHERS = Formula("p", "credit of the other days, (T - 32)/18 and the covered share", "sum(w)", "days")
TOTAL = Formula("a", "curing days", "n+p", "days")

WHOLE_H = 0.5  # a day with no more than this silent is a whole one


@dataclass(frozen=True)
class SensorOut:
    """A sensor recorded as taken out: from then on it is not missed."""

    sensor: str = quantity("", "name of the sensor")
    at: datetime = quantity("", "instant with offset")


@dataclass(frozen=True)
class CuringCase:
    poured_on: date = quantity("", "date of the pour at the site")
    through: date = quantity("", "last date counted; must be over")
    zone: str = quantity("", "IANA time zone of the site")
    concrete: tuple[ConcreteReading, ...] = quantity("", "concrete temperatures")
    air: tuple[AirReading, ...] = quantity("", "air temperatures", default=())
    taken_out: tuple[SensorOut, ...] = quantity("", "sensors taken out", default=())
    # days are counted toward any number; that no tower waits for fewer than 28 is the form's
    required_days: float = same_as(PourFigures, "curing_days", low=1, high=365)
    longest_gap_h: float = same_as(PourFigures, "longest_gap_h")


@dataclass(frozen=True, kw_only=True)
class CuringDay:
    """``basis`` is "concrete", "air" or "nothing"; ``words`` say why the day is worth what it is."""

    day: date
    worth: float
    mean_f: float | None
    sensor: str
    low_f: float | None
    high_f: float | None
    silent_h: float
    basis: str
    words: str


@dataclass(frozen=True, kw_only=True)
class CuringLog:
    days: tuple[CuringDay, ...]
    total: float
    reached_on: date | None
    lost_to_cold: float
    silent_hours: float
    faults: tuple[str, ...]
    checks: tuple[Check, ...]


@dataclass(frozen=True)
class _Sensor:
    name: str
    means: dict[date, DayMean]
    stands_from: date | None  # first whole day
    out_on: date | None
    last_at: datetime

    def stands(self, day: date) -> bool:
        """Whether a silence of this sensor on the day is missed."""
        begun = self.stands_from is not None and day >= self.stands_from
        return begun and (self.out_on is None or day < self.out_on)


def worth_of(mean_f: float) -> float:
    """Worth of a day by its mean concrete temperature (F): 1 from 50 F, nothing at 32 F and under.

    (T - 32) / 18 between. This project's own rule; 50 F as of ACI 318-19 26.5.3 (from memory).
    """
    return WORTH.value(T=mean_f)


def curing_days(case: CuringCase) -> CuringLog:
    """The cure log day by day, worth in curing days, temperatures in F.

    Rules as at the head of this module; the worth of a day as of :func:`worth_of`. InputError for a bad zone,
    instants without offset, too many days.
    """
    require_valid(case)
    zone = zone_of(case.zone)
    for index, reading in enumerate(case.concrete):
        if reading.at.tzinfo is None:
            raise InputError(f"concrete[{index}].at", "has no offset from UTC.")
    begin = midnight(case.poured_on, zone)
    concrete, doubles = traces_of([r for r in case.concrete if r.at >= begin], zone)
    return count_days(case, concrete, traces_of(case.air, zone)[0], doubles)


def count_days(case: CuringCase, concrete: Traces, air: Traces, doubles: Sequence[str] = ()) -> CuringLog:
    """The same of traces, which take the place of the case's readings."""
    zone = zone_of(case.zone)
    if case.through - case.poured_on > timedelta(days=MOST_DAYS):
        raise InputError("through", f"is more than {MOST_DAYS} days after the pour.")
    begin = midnight(case.poured_on, zone)
    since = [t for _, trace in sorted(concrete.items()) if len(t := trace.since(begin))]
    means = _air_means(case, air, zone)
    out = {o.sensor: o.at.astimezone(zone).date() for o in case.taken_out}
    sensors = [_sensor(trace, zone, case, out.get(trace.sensor)) for trace in since]
    days = []
    for offset in range(1, (case.through - case.poured_on).days + 1):
        day = case.poured_on + timedelta(days=offset)
        days.append(_judged(day, sensors, means, zone))
    faults = (*doubles, *gaps(since, case.longest_gap_h, zone), *_silent_now(sensors, case, zone))
    return _log(case, tuple(days), faults)


def least_of(log: CuringLog, other: CuringLog, case: CuringCase) -> CuringLog:
    """Of two logs of the same days the lesser worth of each: a reading taken back never makes it more."""
    days = tuple(b if b.worth < a.worth - 1e-12 else a for a, b in zip(log.days, other.days, strict=True))
    return _log(case, days, log.faults)


def _air_means(case: CuringCase, air: Traces, zone: ZoneInfo) -> dict[date, float]:
    """Mean air of the dates for which it is recorded; of several places the coldest."""
    found: dict[date, float] = {}
    for trace in air.values():
        for day, mean in day_means(trace, zone, case.longest_gap_h).items():
            if mean.mean_f is not None and mean.silent_h <= AIR_SILENT_H:
                found[day] = min(found.get(day, mean.mean_f), mean.mean_f)
    return found


def _sensor(trace: Trace, zone: ZoneInfo, case: CuringCase, out_on: date | None) -> _Sensor:
    means = day_means(trace, zone, case.longest_gap_h)
    whole = [day for day, mean in means.items() if mean.mean_f is not None and mean.silent_h <= WHOLE_H]
    return _Sensor(trace.sensor, means, min(whole, default=None), out_on, trace.last_at)


def _judged(day: date, sensors: Sequence[_Sensor], air: Mapping[date, float], zone: ZoneInfo) -> CuringDay:
    """The day by each sensor that counts on it; the least stands. Without a sensor, by the air."""
    today = [(s, mean) for s in sensors if (mean := s.means.get(day)) is not None]
    shortest_silence = min((m.silent_h for _, m in today if m.mean_f is not None), default=None)
    by_each = []
    for sensor in sensors:
        mean = sensor.means.get(day)
        if mean is not None and mean.mean_f is not None and shortest_silence is not None:
            silent = mean.silent_h if sensor.stands(day) else shortest_silence
            by_each.append(_by_concrete(sensor.name, mean, mean.mean_f, silent))
        elif sensor.stands(day) and mean is None:
            by_each.append(_by_air(day, sensor.name, air, zone))
        elif mean is not None and (sensor.stands(day) or shortest_silence is None):
            by_each.append(_alone(sensor.name, mean))
    if not by_each:
        return _by_air(day, "", air, zone)
    # of equal worth the colder one is named
    return min(by_each, key=lambda d: (d.worth, d.mean_f if d.mean_f is not None else -99.0))


def _by_concrete(sensor: str, mean: DayMean, mean_f: float, silent_h: float) -> CuringDay:
    full, whole = worth_of(mean_f), silent_h <= WHOLE_H
    worth = full if whole else full * (1 - silent_h / mean.day_h)
    words = f"{sensor} {mean_f:.0f} F"
    if full < 1:
        words += f", ({mean_f:.1f} - 32)/18" if full > 0 else ", 32 F and under counts nothing"
    if not whole:
        words += f", silent {silent_h:.0f} of {mean.day_h:.0f} h"
    silent = 0.0 if whole else silent_h
    return CuringDay(
        day=mean.day,
        worth=worth,
        mean_f=mean_f,
        sensor=sensor,
        low_f=mean.low_f,
        high_f=mean.high_f,
        silent_h=silent,
        basis="concrete",
        words=words,
    )


def _alone(sensor: str, mean: DayMean) -> CuringDay:
    words = f"{sensor}: a reading with none near enough before or after it covers no hour"
    return CuringDay(
        day=mean.day,
        worth=0.0,
        mean_f=None,
        sensor=sensor,
        low_f=mean.low_f,
        high_f=mean.high_f,
        silent_h=mean.day_h,
        basis="nothing",
        words=words,
    )


def _by_air(day: date, sensor: str, air: Mapping[date, float], zone: ZoneInfo) -> CuringDay:
    today, before = air.get(day), air.get(day - timedelta(days=1))
    whose = f"{sensor} silent" if sensor else "no concrete reading"
    if today is not None and before is not None and min(today, before) >= FULL_DAY_F:
        words = f"{whose}; air {today:.0f} F, {before:.0f} F the day before"
        return _unread(day, sensor, zone, words, worth=1.0, basis="air")
    if today is None or before is None:
        words = f"{whose}, air of {'the day' if today is None else 'the day before'} not recorded"
    else:
        words = f"{whose}; air {today:.0f} F, {before:.0f} F the day before, both must be 50 F"
    return _unread(day, sensor, zone, words, worth=0.0, basis="nothing")


def _unread(day: date, sensor: str, zone: ZoneInfo, words: str, *, worth: float, basis: str) -> CuringDay:
    """A day without a concrete reading: silent all its hours."""
    return CuringDay(
        day=day,
        worth=worth,
        mean_f=None,
        sensor=sensor,
        low_f=None,
        high_f=None,
        silent_h=day_hours(day, zone),
        basis=basis,
        words=words,
    )


def _silent_now(sensors: Sequence[_Sensor], case: CuringCase, zone: ZoneInfo) -> list[str]:
    """Sensors that stand in the log and have stopped before the end of the last counted day."""
    end = midnight(case.through + timedelta(days=1), zone)
    late = timedelta(hours=case.longest_gap_h)
    return [
        f"{s.name}: silent since {said(s.last_at, zone)}; its days go by the air until it reads again "
        "or is recorded as taken out."
        for s in sensors
        if s.stands_from is not None and s.out_on is None and end - s.last_at > late
    ]


def _log(case: CuringCase, days: tuple[CuringDay, ...], faults: tuple[str, ...]) -> CuringLog:
    counted, reached = 0.0, None
    for day in days:
        counted += day.worth
        if reached is None and counted >= case.required_days - 1e-9:
            reached = day.day
    whole = looked_up(
        "n",
        "days of full credit",
        "mean concrete temperature 50 F or more, or the air's",
        "counted in the log",
        sum(1 for d in days if d.worth >= 1),
        "days",
    )
    others = OTHERS.step(w=tuple(d.worth for d in days if 0 < d.worth < 1))
    total = TOTAL.step(n=whole.value, p=others.value)
    check = CURING.compare(
        demand=case.required_days,
        capacity=total.value,
        note=f"{total.value:.1f} of {case.required_days:g} curing days by {day_words(case.through)}",
        steps=(whole, others, total),
    )
    return CuringLog(
        days=days,
        total=total.value,
        reached_on=reached,
        lost_to_cold=sum(1 - worth_of(d.mean_f) for d in days if d.mean_f is not None),
        silent_hours=sum(d.silent_h for d in days),
        faults=faults,
        checks=(check,),
    )
