"""Maturity by ASTM C1074: Nurse-Saul temperature-time factor and equivalent age.

Fed with measured concrete temperature only, never with air. The datum temperature, Q and the
reference temperature belong to the mix and are always given: C1074 has been quoted with a datum of
0 C and of -10 C, and the lower one is unconservative in the cold.

Two policies of this project, on the safe side: increments under the datum count zero, and the
equivalent age gains nothing at 0 C (32 F) and under, where the formula alone would still gain.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sitecalc.checks import Step
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.readings import ConcreteReading, pieces

SOURCE = "ASTM C1074-19, Nurse-Saul and Arrhenius functions (from memory)"
PIECE_H = 0.5  # a longer interval is cut up, so that a mean over it hides no freezing
KELVIN = 273.15


@dataclass(frozen=True)
class MixMaturity:
    """The mix's own constants."""

    datum_f: float = quantity("F", "datum temperature T0: no gain below", low=10, high=50)
    q_k: float = quantity("K", "activation energy over gas constant, Q", low=2000, high=8000)
    reference_f: float = quantity("F", "reference temperature Ts of the equivalent age", low=50, high=86)


@dataclass(frozen=True)
class Stretch:
    """A stretch of time at one mean concrete temperature."""

    hours: float = quantity("h", "length", low=0, high=10000)
    concrete_f: float = quantity("F", "mean concrete temperature", low=-60, high=212)


@dataclass(frozen=True)
class MaturityCase:
    mix: MixMaturity = quantity("", "constants of the mix")
    stretches: tuple[Stretch, ...] = quantity("", "stretches of measured concrete temperature")


@dataclass(frozen=True)
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
    """Maturity of stretches of concrete temperature; no stretch is maturity zero."""
    require_valid(case)
    mix = case.mix
    factor = sum(s.hours * max(s.concrete_f - mix.datum_f, 0.0) for s in case.stretches)
    age = sum(s.hours * age_rate(s.concrete_f, mix) for s in case.stretches)
    covered = sum(s.hours for s in case.stretches)
    steps = (
        Step(
            "M",
            "temperature-time factor",
            "sum of (T - T0) dt, nothing below T0",
            f"{len(case.stretches)} intervals over {covered:.1f} h, T0 {mix.datum_f:g} F",
            factor,
            "F-h",
        ),
        Step(
            "te",
            "equivalent age",
            "sum of exp(-Q (1/T - 1/Ts)) dt, nothing at 32 F and under",
            f"Q {mix.q_k:g} K, Ts {mix.reference_f:g} F",
            age,
            "h",
        ),
    )
    return Maturity(factor, factor * 5 / 9, age, covered, steps)


def age_rate(concrete_f: float, mix: MixMaturity) -> float:
    """Hours of equivalent age gained in an hour at ``concrete_f``."""
    if concrete_f <= 32:
        return 0.0
    return math.exp(-mix.q_k * (1 / kelvin(concrete_f) - 1 / kelvin(mix.reference_f)))


def kelvin(temp_f: float) -> float:
    return (temp_f - 32) * 5 / 9 + KELVIN


def stretches_of(
    readings: Sequence[ConcreteReading], longest_gap_h: float, until: datetime | None = None
) -> tuple[Stretch, ...]:
    """One sensor's readings, in order of time, as stretches; what is silent gains nothing.

    TypeError for anything but concrete readings.
    """
    for reading in readings:
        if not isinstance(reading, ConcreteReading):
            raise TypeError("maturity is worked out from concrete temperatures only")
    found = []
    for piece in pieces(readings, longest_gap_h):
        if until is not None and piece.start >= until:
            break
        end = piece.end if until is None else min(piece.end, until)
        count = max(1, math.ceil((end - piece.start) / timedelta(hours=PIECE_H)))
        step = (end - piece.start) / count
        for i in range(count):
            part = piece.between(piece.start + i * step, piece.start + (i + 1) * step)
            found.append(Stretch(part.hours, part.mean_f))
    return tuple(found)


def age_by_day(
    readings: Sequence[ConcreteReading], mix: MixMaturity, longest_gap_h: float, zone: ZoneInfo
) -> dict[date, float]:
    """Equivalent age (days) of one sensor at the end of each date at the site from its first reading on.

    A silent date stands at the age before it.
    """
    gained: dict[date, float] = {}
    for piece in pieces(readings, longest_gap_h):
        count = max(1, math.ceil(piece.hours / PIECE_H))
        step = (piece.end - piece.start) / count
        for i in range(count):
            part = piece.between(piece.start + i * step, piece.start + (i + 1) * step)
            # a piece that spans midnight is at most half an hour: it goes to the date it begins on
            day = part.start.astimezone(zone).date()
            gained[day] = gained.get(day, 0.0) + part.hours * age_rate(part.mean_f, mix) / 24
    if not gained:
        return {}
    found, age, day = {}, 0.0, min(gained)
    while day <= max(gained):
        age += gained.get(day, 0.0)
        found[day] = age
        day += timedelta(days=1)
    return found


def least_mature(
    sensors: Iterable[Sequence[ConcreteReading]],
    mix: MixMaturity,
    longest_gap_h: float,
    until: datetime | None = None,
) -> Maturity | None:
    """Of several sensors the one with the least equivalent age; None without any."""
    found = [maturity(MaturityCase(mix, stretches_of(rows, longest_gap_h, until))) for rows in sensors]
    return min(found, key=lambda m: m.equivalent_age_h, default=None)
