"""Edge, top and core together: the spread between them, the peak, and how fast the pad cools.

The spread and the peak bound a pad whose least dimension is 4 ft or more; in a thinner one they are watched
without a limit. The limits are those of ACI 301-20 for mass concrete, as ACI states them in its technical
question 889; that concrete is massive from 4 ft on is from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.cold import least_as_placed, section_of
from sitecalc.pour.figures import PourFigures
from sitecalc.pour.readings import ConcreteReading, Numbers, Trace, Traces, instant, said, traces_of, zone_of

SOURCE = "ACI 301-20, mass concrete"
MASS_IN, PEAK_F, SPREAD_F = 48.0, 160.0, 35.0
MOST_INSTANTS = 20_000

PEAK = Rule("peak", "Peak temperature", "F", SOURCE, Known.SECONDARY)
SPREAD = Rule("spread", "Spread between sensors", "F", SOURCE, Known.SECONDARY)
COOLING = Rule("cooling", "Cooling after protection", "F", "ACI 306R-16 table 5.1", Known.READ)
KEPT_WARM = Rule("kept warm", "Kept warm", "F", "ACI 306R table 5.1", Known.SECONDARY)


@dataclass(frozen=True)
class ThermalCase:
    concrete: tuple[ConcreteReading, ...] = quantity("", "concrete temperatures from the placing on")
    least_dimension_in: float = same_as(PourFigures, "least_dimension_in", required=True)
    zone: str = quantity("", "IANA time zone of the site")
    protected_until: datetime | None = quantity("", "when the protection ended", default=None)
    longest_gap_h: float = same_as(PourFigures, "longest_gap_h")


@dataclass(frozen=True)
class Moment:
    """A temperature or a difference, F, with the sensor (or "core over edge") and the instant."""

    value_f: float
    sensor: str
    at: datetime


@dataclass(frozen=True)
class Thermal:
    """None where there is nothing to say it from. ``cooling`` is the most in 24 h after the protection."""

    peak: Moment | None
    spread: Moment | None
    cooling: Moment | None
    checks: tuple[Check, ...]


def thermal(case: ThermalCase) -> Thermal:
    """Peak and spread of the pad's sensors and its cooling after the protection, F.

    Peak and spread have limits from a least dimension of 48 in on. ACI 301-20 (read
    in secondary copies), ACI 306R-16 table 5.1.
    """
    require_valid(case)
    traces, _ = traces_of(case.concrete, zone_of(case.zone))
    return watch(traces, case.least_dimension_in, case.zone, case.longest_gap_h, case.protected_until)


def watch(
    traces: Traces,
    least_dimension_in: float,
    zone: str,
    longest_gap_h: float,
    protected_until: datetime | None = None,
) -> Thermal:
    """The same of traces, which take the place of the case's readings.

    least_dimension_in, longest_gap_h
        least dimension of the section, in; readings further apart than this many h leave a silence.
    """
    every = [t for t in traces.values() if len(t)]
    peak, spread = peak_of(every), spread_of(every, longest_gap_h)
    cooling = cooling_of(every, protected_until, longest_gap_h) if protected_until else None
    checks: list[Check] = []
    if least_dimension_in >= MASS_IN:
        checks += [_peak(peak, zone), _spread(spread, every, zone)]
    if cooling is not None:
        checks.append(_cooling(cooling, least_dimension_in, zone))
    return Thermal(peak, spread, cooling, tuple(checks))


def peak_of(traces: Sequence[Trace]) -> Moment | None:
    """The hottest reading of all sensors, F; None without a trace."""
    if not traces:
        return None
    hottest = max(traces, key=lambda t: float(t.temp_f.max()))
    place = int(hottest.temp_f.argmax())
    return Moment(float(hottest.temp_f[place]), hottest.sensor, instant(hottest.at_s[place]))


def spread_of(traces: Sequence[Trace], longest_gap_h: float) -> Moment | None:
    """The greatest difference between two sensors that both read at the time."""
    if len(traces) < 2:
        return None
    at = np.unique(np.concatenate([t.at_s for t in traces]))
    at = at[:: len(at) // MOST_INSTANTS + 1]
    temps = np.array([_at(t, at, longest_gap_h) for t in traces])
    both = (~np.isnan(temps)).sum(axis=0) >= 2
    if not both.any():
        return None
    at, temps = at[both], temps[:, both]
    spread = np.nanmax(temps, axis=0) - np.nanmin(temps, axis=0)
    place = int(spread.argmax())
    high, low = int(np.nanargmax(temps[:, place])), int(np.nanargmin(temps[:, place]))
    pair = f"{traces[high].sensor} over {traces[low].sensor}"
    return Moment(float(spread[place]), pair, instant(at[place]))


def _at(trace: Trace, at_s: Numbers, longest_gap_h: float) -> Numbers:
    """Temperatures at instants; NaN where the trace is silent."""
    temps = np.interp(at_s, trace.at_s, trace.temp_f, left=np.nan, right=np.nan)
    after = np.clip(np.searchsorted(trace.at_s, at_s), 1, max(len(trace) - 1, 1))
    if len(trace) > 1:
        silent = (trace.at_s[after] - trace.at_s[after - 1] > longest_gap_h * 3600) & ~np.isin(
            at_s, trace.at_s
        )
        temps[silent] = np.nan
    return temps


def cooling_of(traces: Sequence[Trace], since: datetime, longest_gap_h: float) -> Moment | None:
    """The most that one sensor fell within 24 h, in the first 24 h after the protection."""
    worst = None
    begin = since.timestamp()
    for trace in traces:
        at = np.arange(begin, begin + 86400 + 1, 900.0)
        temps = _at(trace, at, longest_gap_h)
        if np.isnan(temps).all() or np.isnan(temps[0]):
            continue
        fallen = float(temps[0] - np.nanmin(temps))
        if worst is None or fallen > worst.value_f:
            worst = Moment(fallen, trace.sensor, instant(at[int(np.nanargmin(temps))]))
    return worst


def _peak(peak: Moment | None, zone: str) -> Check:
    if peak is None:
        return PEAK.open(f"no concrete temperature; at most {PEAK_F:g} F")
    note = f"{peak.value_f:.0f} F, {peak.sensor}, {said(peak.at, zone_of(zone))}; at most {PEAK_F:g} F"
    return PEAK.compare(demand=peak.value_f, capacity=PEAK_F, note=note)


def _spread(spread: Moment | None, traces: Sequence[Trace], zone: str) -> Check:
    names = {t.sensor for t in traces}
    if spread is None or "core" not in names or not names & {"edge", "top"}:
        return SPREAD.open(f"core and edge or top are needed at one time; at most {SPREAD_F:g} F")
    note = (
        f"{spread.value_f:.0f} F, {spread.sensor}, {said(spread.at, zone_of(zone))}; at most {SPREAD_F:g} F"
    )
    return SPREAD.compare(demand=spread.value_f, capacity=SPREAD_F, note=note)


def _cooling(cooling: Moment, least_dimension_in: float, zone: str) -> Check:
    row = section_of(least_dimension_in)
    note = (
        f"{cooling.sensor} fell {cooling.value_f:.0f} F by {said(cooling.at, zone_of(zone))}; "
        f"at most {row.cooling_24_h_f:g} F in the first 24 h after the protection"
    )
    rule = COOLING.stated(known=row.known)  # some rows of the table were read
    return rule.compare(demand=cooling.value_f, capacity=row.cooling_24_h_f, note=note)


@dataclass(frozen=True)
class Kept:
    """How many days from the placing on the pad was read at or over a temperature, and whether it fell."""

    days: float
    fell: bool


def kept_over(traces: Sequence[Trace], least_f: float, begin: datetime, longest_gap_h: float) -> Kept | None:
    """Days of which every reading was at or over ``least_f``, up to the first colder one or a silence.

    traces, begin
        of the concrete, and when it was placed.
    least_f, longest_gap_h
        F; readings further apart than this many h leave a silence.

    None without a reading. Common practice, no source: of a silence nothing is known.
    """
    every = [t for t in traces if len(t)]
    if not every:
        return None
    at = np.concatenate([t.at_s for t in every])
    temp = np.concatenate([t.temp_f for t in every])
    order = np.argsort(at, kind="stable")
    at, cold = at[order], temp[order] < least_f
    silent = np.diff(at, prepend=begin.timestamp()) > longest_gap_h * 3600
    ends = np.flatnonzero(silent | cold)
    if not len(ends):
        return Kept(_days_since(begin, at[-1]), fell=False)
    first = int(ends[0])
    # a silence hides when it fell: what was read before it counts
    last = at[first - 1] if silent[first] and first else begin.timestamp() if silent[first] else at[first]
    return Kept(_days_since(begin, last), fell=bool(cold.any()))


def _days_since(begin: datetime, at_s: float) -> float:
    return max((float(at_s) - begin.timestamp()) / 86400, 0.0)


def kept_warm(
    traces: Sequence[Trace],
    least_dimension_in: float,
    days: float,
    zone: str,
    *,
    begin: datetime,
    longest_gap_h: float,
) -> Check:
    """The coldest reading in F of the days of protection against what the section must be kept at.

    traces, begin
        of the concrete, from the placing to the end of the protection.
    least_dimension_in, days, longest_gap_h
        least dimension of the section, in; days of protection; longest silence between readings, h.

    It passes once all those days are read. ACI 306R table 5.1 (read in secondary copies).
    """
    rule = KEPT_WARM.stated(source=f"{KEPT_WARM.source}, {days:g} days of protection by this job")
    least, read = least_as_placed(least_dimension_in), [t for t in traces if len(t)]
    if not read:
        return rule.open(f"no reading of the first {days:g} days; {least:g} F is to be kept")
    coldest = min(read, key=lambda t: float(t.temp_f.min()))
    lowest_f, at = float(coldest.temp_f.min()), instant(coldest.at_s[coldest.temp_f.argmin()])
    note = f"coldest {lowest_f:.0f} F, {coldest.sensor}, {said(at, zone_of(zone))}; {least:g} F to be kept"
    kept = kept_over(read, least, begin, longest_gap_h)
    if lowest_f >= least and kept is not None and kept.days < days - longest_gap_h / 24:
        return rule.open(f"{kept.days:.1f} of {days:g} days read without a gap; {note}")
    return rule.compare(demand=least, capacity=lowest_f, note=note)
