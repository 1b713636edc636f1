"""What to do tonight, in one sentence, when a reading or its silence endangers the pad.

The temperatures are those the section is kept at (ACI 306R-16 table 5.1); what to do about them is
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sitecalc.cases import same_as
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.cold import FREEZING_F, section_of
from sitecalc.pour.figures import PourFigures
from sitecalc.pour.readings import said, zone_of
from sitecalc.pour.thermal import MASS_IN, PEAK_F, SPREAD_F

SOURCE = "temperatures: ACI 306R-16 table 5.1; what to do: common practice, no source"
SILENT_YOUNG_H, SILENT_H = 6.0, 12.0  # a young pad is read at least this often
NIGHT_H = 14.0  # from dusk to the morning reading
NEAR_SPREAD_F, NEAR_PEAK_F = 5.0, 10.0


class Danger(StrEnum):
    NONE = "none"
    WATCH = "watch"
    ACT = "act"


@dataclass(frozen=True)
class SensorNow:
    """The last reading of a sensor and its fall over the hours before (F an hour, rising is negative)."""

    sensor: str = quantity("", "name of the sensor")
    temp_f: float = quantity("F", "last reading", low=-60, high=212)
    at: datetime = quantity("", "instant with offset")
    fall_f_h: float = quantity("F/h", "fall", low=-60, high=60, default=0.0)


@dataclass(frozen=True, kw_only=True)
class TonightCase:
    now: datetime = quantity("", "instant with offset")
    zone: str = quantity("", "IANA time zone of the site")
    poured_at: datetime = quantity("", "when the last truck was placed")
    least_dimension_in: float = same_as(PourFigures, "least_dimension_in", required=True)
    protected_until: datetime = quantity("", "end of the protection")
    sensors: tuple[SensorNow, ...] = quantity("", "last readings", default=())
    forecast_low_f: float | None = quantity(
        "F", "lowest air forecast for the coming nights", low=-60, high=120, default=None
    )
    spread_f: float | None = quantity("F", "spread between sensors now", low=0, high=200, default=None)


@dataclass(frozen=True)
class Tonight:
    danger: Danger
    sentence: str
    source: str = SOURCE


def tonight(case: TonightCase) -> Tonight:
    """The most pressing of what is known; nothing pressing says so, with the next reading.

    Temperatures in F: those of ACI 306R-16 table 5.1 as of :func:`sitecalc.pour.cold.section_of`; what to do
    about them is common practice, no source. InputError for figures out of range.
    """
    require_valid(case)
    for rule in RULES:
        found = rule(case)
        if found is not None:
            return found
    coldest = _coldest(case)
    words = f"{coldest.sensor} {coldest.temp_f:.0f} F. " if coldest else ""
    return Tonight(Danger.NONE, f"{words}Nothing to do tonight but keep it wet and read it in the morning.")


def _coldest(case: TonightCase) -> SensorNow | None:
    return min(case.sensors, key=lambda s: s.temp_f, default=None)


def _protected(case: TonightCase) -> bool:
    return case.now < case.protected_until


def _least_f(case: TonightCase) -> float:
    return section_of(case.least_dimension_in).as_placed_f


def _name(sensor: SensorNow) -> str:
    return sensor.sensor[:1].upper() + sensor.sensor[1:]


def _frozen(case: TonightCase) -> Tonight | None:
    coldest = _coldest(case)
    if coldest is None or coldest.temp_f > FREEZING_F:
        return None
    return Tonight(
        Danger.ACT,
        f"{_name(coldest)} is at {coldest.temp_f:.0f} F, frozen: heat it under the covers now, read it every "
        "hour, and call the engineer tonight; concrete that freezes young loses strength for good.",
    )


def _silent(case: TonightCase) -> Tonight | None:
    if not _protected(case):
        return None
    longest = SILENT_YOUNG_H if (case.now - case.poured_at).days < 3 else SILENT_H
    since = max((s.at for s in case.sensors), default=case.poured_at)
    hours = (case.now - since).total_seconds() / 3600
    if hours <= longest:
        return None
    last = max(case.sensors, key=lambda s: s.at, default=None)
    zone = zone_of(case.zone)
    what = "never since the pour"
    if last is not None:
        what = f"last {last.sensor} {last.temp_f:.0f} F at {said(last.at, zone)}"
    cold = case.forecast_low_f
    night = f" {cold:.0f} F is forecast." if cold is not None and cold < _least_f(case) else ""
    return Tonight(
        Danger.ACT,
        f"No concrete reading for {hours:.0f} h ({what}): read edge, top and core by hand now, and heat "
        f"the pad if one is under {_least_f(case):g} F.{night}",
    )


def _one_silent(case: TonightCase) -> Tonight | None:
    """One sensor has stopped while others read on: it may be the coldest."""
    if not _protected(case):
        return None
    for sensor in sorted(case.sensors, key=lambda s: s.at):
        hours = (case.now - sensor.at).total_seconds() / 3600
        if hours > SILENT_H:
            return Tonight(
                Danger.ACT,
                f"{_name(sensor)} has given no reading for {hours:.0f} h, last {sensor.temp_f:.0f} F: read "
                "it by hand tonight, and look at its wire.",
            )
    return None


def _too_cold(case: TonightCase) -> Tonight | None:
    coldest, least = _coldest(case), _least_f(case)
    if coldest is None or not _protected(case) or coldest.temp_f >= least:
        return None
    return Tonight(
        Danger.ACT,
        f"{_name(coldest)} is {coldest.temp_f:.0f} F, {least:g} F is to be kept: put on a second layer of "
        "blankets, lapped and weighted, start the heat, and read it again in two hours.",
    )


def _falling(case: TonightCase) -> Tonight | None:
    least = _least_f(case)
    if not _protected(case):
        return None
    for sensor in sorted(case.sensors, key=lambda s: s.temp_f):
        if sensor.fall_f_h <= 0.05:
            continue
        hours = (sensor.temp_f - least) / sensor.fall_f_h
        if 0 <= hours <= NIGHT_H:
            words = "within the hour" if hours < 1 else f"in about {hours:.0f} h"
            return Tonight(
                Danger.ACT,
                f"{_name(sensor)} is {sensor.temp_f:.0f} F and falls {sensor.fall_f_h:.1f} F an hour: under "
                f"{least:g} F {words}. Close the blankets and start the heat before then.",
            )
    return None


def _hot(case: TonightCase) -> Tonight | None:
    hottest = max(case.sensors, key=lambda s: s.temp_f, default=None)
    if hottest is None or case.least_dimension_in < MASS_IN or hottest.temp_f < PEAK_F - NEAR_PEAK_F:
        return None
    return Tonight(
        Danger.ACT,
        f"{_name(hottest)} is {hottest.temp_f:.0f} F, at most {PEAK_F:g} F is allowed: call the engineer, "
        "keep the covers on, and read it every hour; cooling the surface would crack it.",
    )


def _apart(case: TonightCase) -> Tonight | None:
    if case.spread_f is None or case.least_dimension_in < MASS_IN or case.spread_f < SPREAD_F - NEAR_SPREAD_F:
        return None
    over = case.spread_f > SPREAD_F
    return Tonight(
        Danger.ACT if over else Danger.WATCH,
        f"The sensors are {case.spread_f:.0f} F apart, at most {SPREAD_F:g} F is allowed: cover the edge and "
        f"the top better, take nothing off tonight{', and tell the engineer' if over else ''}.",
    )


def _cold_night(case: TonightCase) -> Tonight | None:
    low = case.forecast_low_f
    if low is None or low >= FREEZING_F or not _protected(case):
        return None
    return Tonight(
        Danger.WATCH,
        f"{low:.0f} F is forecast: blankets tight to the ground at every edge, fuel for the night, and a "
        "reading at dusk and at dawn.",
    )


def _ending(case: TonightCase) -> Tonight | None:
    hours = (case.now - case.protected_until).total_seconds() / 3600
    low = case.forecast_low_f
    if not 0 <= hours <= 24 or low is None or low >= FREEZING_F:
        return None
    most = section_of(case.least_dimension_in).cooling_24_h_f
    return Tonight(
        Danger.WATCH,
        f"The protection has ended and {low:.0f} F is forecast: take the covers off in steps, at most "
        f"{most:g} F colder in 24 h.",
    )


RULES: tuple[Callable[[TonightCase], Tonight | None], ...] = (
    _frozen, _hot, _silent, _too_cold, _falling, _apart, _one_silent, _ending, _cold_night,
)  # fmt: skip
