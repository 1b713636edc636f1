"""Placing: a truck's limits and what is done with it, the last order, evaporation from the fresh surface.

A truck's limits come from the mix as ordered; the defaults named here are stated with their source
and may be tightened by the design.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Verdict
from sitecalc.formula import Formula
from sitecalc.foundation.take_off import loads_yd3, up_to_step
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.cold import ABOVE_PLACED_F, COLD_AIR_F, least_as_placed
from sitecalc.pour.figures import PourFigures

EVAPORATION_LIMIT = 0.2  # lb/ft2/h
HOT_F = 95.0  # ACI 305.1-14 and 301 at discharge, in ACCC, Concrete temperature; a job may hold it cooler
C94, C306, C305 = "ASTM C94", "ACI 306R, table 5.1", "ACI 305.1"

# 90 min was the standard's own limit before its 2021 edition, which leaves it to purchaser and plant
MINUTES = Rule("minutes", "Batching to discharge", "min", C94, Known.SECONDARY)
SLUMP = Rule("slump", "Slump", "in", C94, Known.MEMORY)
AIR = Rule("air", "Air content", "%", C94, Known.MEMORY)
CONCRETE = Rule("concrete temperature", "Concrete temperature", "F", f"{C306}; {C305}", Known.SECONDARY)
WATER = Rule("water", "Water added", "gal", C94, Known.SECONDARY)  # NRMCA, Concrete in Practice 26
EVAPORATING = Rule(
    "evaporation",
    "Evaporation",
    "lb/ft2/h",
    "Uno 1998, ACI Materials Journal 95 (4); limit UFGS 03 30 00",
    Known.SECONDARY,  # the metric equation, as two plants' pages print it; this is that equation in F and mph
)

RATE = Formula("E", "evaporation", "max((Tc**2.5-H/100*Ta**2.5)*(1+0.4*V)/10**6,0)", "lb/ft2/h")


# --- a truck ------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class TruckLimits:
    """What the mix as ordered accepts from a truck."""

    slump_in: float = same_as(PourFigures, "slump_in", required=True)
    air_pct: float = same_as(PourFigures, "air_pct", required=True)
    least_dimension_in: float = same_as(PourFigures, "least_dimension_in", required=True)
    most_minutes: float = same_as(PourFigures, "most_minutes")
    slump_tolerance_in: float | None = same_as(PourFigures, "slump_tolerance_in")
    air_tolerance_pct: float = same_as(PourFigures, "air_tolerance_pct")
    highest_f: float = same_as(PourFigures, "highest_f")
    water_gal: float | None = quantity(
        "gal", "water the ticket allows to be added", low=0, high=200, default=None
    )


@dataclass(frozen=True, kw_only=True)
class TruckCase:
    """Readings of one truck; what is not measured is left out and is not checked."""

    limits: TruckLimits = quantity("", "limits of the mix")
    minutes: float | None = quantity("min", "batching to discharge", low=0, high=1440, default=None)
    slump_in: float | None = quantity("in", "slump", low=0, high=12, default=None)
    air_pct: float | None = quantity("%", "air content", low=0, high=20, default=None)
    concrete_f: float | None = quantity("F", "concrete temperature", low=20, high=130, default=None)
    air_f: float | None = quantity(
        "F", "lowest air temperature, today or forecast", low=-60, high=130, default=None
    )
    water_gal: float | None = quantity("gal", "water added on site", low=0, high=500, default=None)


class Decision(StrEnum):
    """What is done with a truck before it is discharged."""

    TAKE = "take it"
    REJECT = "reject it"
    ENGINEER = "the engineer decides"
    OPEN = "not yet"  # nothing is against it, and something is still to be measured


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One row of the table by which page, phone and paper judge a truck.

    low, high
        accepted, in the rule's unit; ``high`` is None where nobody said how much is allowed.
    out
        what is done with a truck that is out of them.
    only_if_any
        a figure of which nothing, or none of it, is no fault: water.
    """

    rule: Rule
    low: float
    high: float | None
    out: Decision
    only_if_any: bool = False

    @property
    def accepted(self) -> str:
        """ "3 to 5 in accepted", "at most 90 min" """
        if self.high is None:
            return "the ticket's allowance is not recorded"
        unit = self.rule.unit
        if self.low > 0:
            return f"{self.low:g} to {self.high:g} {unit} accepted"
        return f"at most {self.high:g} {unit}"

    def judge(self, value: float | None, *, cannot: bool = False) -> Check:
        """The check of a reading; None is not measured, ``cannot`` that it could not be."""
        if value is None:
            return self.rule.open(f"{'cannot be' if cannot else 'not'} measured; {self.accepted}")
        if self.high is None:
            return self.rule.open(f"{value:g} {self.rule.unit} added; {self.accepted}")
        demand, capacity = (self.low, value) if value < self.low else (value, self.high)
        return self.rule.compare(
            demand=demand, capacity=capacity, note=f"{value:g} {self.rule.unit}, {self.accepted}"
        )


@dataclass(frozen=True)
class Truck:
    """``because`` are the checks that the decision follows from; none where the truck is taken."""

    accepted: bool
    checks: tuple[Check, ...]
    decision: Decision = Decision.OPEN
    because: tuple[Check, ...] = ()

    @property
    def words(self) -> str:
        """ "Reject it. Slump: 6.5 in, 3 to 5 in accepted, ASTM C94 (from memory)." """
        if not self.because:
            return f"{self.decision.capitalize()}: every limit is measured and kept."
        why = "; ".join(f"{c.title}: {c.note}, {c.source_note}" for c in self.because)
        return f"{self.decision.capitalize()}. {why}."


def slump_tolerance(ordered_in: float) -> float:
    """Either way, in, of the slump ordered in inches: up to 2 in 1/2, up to 4 in 1, above 1 1/2.

    ASTM C94 (from memory; 1 in at 4 in read, of ACI 117, in F&R, Speaking in Code: Blast, a slump conundrum).
    """
    if ordered_in <= 2:
        return 0.5
    return 1.0 if ordered_in <= 4 else 1.5


def slump_range(limits: TruckLimits) -> tuple[float, float]:
    """Slump accepted, in: as ordered, with the design's tolerance or that of ASTM C94 (from memory)."""
    own = limits.slump_tolerance_in
    tolerance = slump_tolerance(limits.slump_in) if own is None else own
    return max(limits.slump_in - tolerance, 0.0), limits.slump_in + tolerance


def air_range(limits: TruckLimits) -> tuple[float, float]:
    """Air content accepted, %: as ordered, with the design's tolerance. ASTM C94 (from memory)."""
    return max(limits.air_pct - limits.air_tolerance_pct, 0.0), limits.air_pct + limits.air_tolerance_pct


def temperature_range(limits: TruckLimits, air_f: float | None) -> tuple[float, float]:
    """Accepted concrete temperature at discharge, F, at an air temperature in F.

    Cold air (under 40 F) also bounds it above. ACI 306R table 5.1, ACI 305.1 (read in secondary copies).
    """
    least = least_as_placed(limits.least_dimension_in)
    if air_f is not None and air_f < COLD_AIR_F:
        return least, min(limits.highest_f, least + ABOVE_PLACED_F)
    return least, limits.highest_f


def limits_of(limits: TruckLimits, air_f: float | None) -> tuple[Limit, ...]:
    """The table that a truck is judged by, at an air temperature in F.

    What is stiff, wet, cold or watered beyond its ticket is sent back. Too long since batching is the
    engineer's: ASTM C94/C94M-21 lets the purchaser waive the time where the concrete can be placed without
    water (read in a secondary text). ACI 306R table 5.1, ACI 305.1 (read in secondary copies); slump and air
    of ASTM C94 (from memory).
    """
    return (
        Limit(rule=MINUTES, low=0.0, high=limits.most_minutes, out=Decision.ENGINEER),
        _limit(SLUMP, slump_range(limits)),
        _limit(AIR, air_range(limits)),
        _limit(CONCRETE, temperature_range(limits, air_f)),
        Limit(rule=WATER, low=0.0, high=limits.water_gal, out=Decision.REJECT, only_if_any=True),
    )


def _limit(rule: Rule, accepted: tuple[float, float]) -> Limit:
    return Limit(rule=rule, low=accepted[0], high=accepted[1], out=Decision.REJECT)


def judged(
    table: Sequence[Limit], readings: Mapping[str, float | None], cannot: frozenset[str] = frozenset()
) -> Truck:
    """A truck by the table: readings by the key of their rule, those that cannot be taken in ``cannot``.

    One reading to be rejected for is enough. What cannot be measured, and water of which the ticket says
    nothing, is the engineer's. Common practice, no source: the order of the three.
    """
    checks: list[Check] = []
    said: dict[Decision, list[Check]] = {d: [] for d in Decision}
    for row in table:
        value = readings.get(row.rule.key)
        if row.only_if_any and not value:
            continue
        missing = row.rule.key in cannot
        check = row.judge(value, cannot=missing)
        checks.append(check)
        if check.verdict is Verdict.FAILS:
            said[row.out].append(check)
        elif check.needs_answer:
            said[Decision.ENGINEER if missing or value is not None else Decision.OPEN].append(check)
    order = (Decision.REJECT, Decision.ENGINEER, Decision.OPEN)
    decision = next((d for d in order if said[d]), Decision.TAKE)
    return Truck(not any(c.needs_answer for c in checks), tuple(checks), decision, tuple(said[decision]))


def truck(case: TruckCase) -> Truck:
    """Minutes, slump (in), air (%), temperature (F) and added water (gal) of a truck against its limits.

    Accepted only if each is measured and passes. ASTM C94, ACI 306R table 5.1, ACI 305.1; slump and air from
    memory, the others read in secondary copies.
    """
    require_valid(case)
    readings = {
        MINUTES.key: case.minutes,
        SLUMP.key: case.slump_in,
        AIR.key: case.air_pct,
        CONCRETE.key: case.concrete_f,
        WATER.key: case.water_gal,
    }
    return judged(limits_of(case.limits, case.air_f), readings)


# --- the last order -----------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class LastOrder:
    """Yards that are still to be ordered, and how they ride: the last load is called in last."""

    left_yd3: float
    loads_yd3: tuple[float, ...]

    @property
    def last_yd3(self) -> float:
        return self.loads_yd3[-1] if self.loads_yd3 else 0.0


def last_order(
    *, order_yd3: float, placed_yd3: float, on_site_yd3: float, truck_yd3: float, step_yd3: float
) -> LastOrder:
    """What is still to come of an order, yd3: what was discharged and what stands on site are had.

    order_yd3, placed_yd3, on_site_yd3
        ordered for the pad, discharged, and in trucks that are not discharged and not rejected.
    truck_yd3, step_yd3
        a truck carries; the plant's step.

    Up to the plant's step; a rejected truck is ordered again. Common practice, no source.
    """
    left = order_yd3 - placed_yd3 - on_site_yd3
    if left < 0.05:
        return LastOrder(left_yd3=0.0, loads_yd3=())
    return LastOrder(left_yd3=left, loads_yd3=loads_yd3(up_to_step(left, step_yd3), truck_yd3, step_yd3))


# --- evaporation ----------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class EvaporationCase:
    concrete_f: float = quantity("F", "temperature of the concrete's surface", low=32, high=120)
    air_f: float = quantity("F", "air temperature", low=0, high=130)
    humidity_pct: float = quantity("%", "relative humidity", low=0, high=100)
    wind_mph: float = quantity("mph", "wind 20 in above the surface", low=0, high=60)


@dataclass(frozen=True)
class Evaporation:
    rate_lb_ft2_h: float
    checks: tuple[Check, ...]


def evaporation(case: EvaporationCase) -> Evaporation:
    """Rate of evaporation from the fresh surface, lb/ft2/h.

    case
        temperatures of the concrete's surface and of the air, F, relative humidity, %, wind, mph.

    Uno's equation, (Tc^2.5 - r Ta^2.5)(1 + 0.4 V) 10^-6, never under 0; published as good to about 40 %. Uno
    1998, ACI Materials Journal 95 (4) (read in secondary copies).
    """
    require_valid(case)
    rate = RATE.step(Tc=case.concrete_f, H=case.humidity_pct, Ta=case.air_f, V=case.wind_mph)
    check = EVAPORATING.compare(
        demand=rate.value,
        capacity=EVAPORATION_LIMIT,
        note=f"{rate.value:.2f} of {EVAPORATION_LIMIT:g} lb/ft2/h; above it shade, fog or cover the surface",
        steps=(rate,),
    )
    return Evaporation(rate.value, (check,))
