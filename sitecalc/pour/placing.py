"""Placing: a truck's limits, evaporation from the fresh surface.

A truck's limits come from the mix as ordered; the defaults named here are stated with their source
and may be tightened by the design.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.cold import ABOVE_PLACED_F, COLD_AIR_F, least_as_placed
from sitecalc.pour.figures import PourFigures

EVAPORATION_LIMIT = 0.2  # lb/ft2/h
HOT_F = 95.0  # ACI 305.1 allows it; a job may hold the concrete cooler
C94, C306, C305 = "ASTM C94", "ACI 306R, table 5.1", "ACI 305.1"

# 90 min was the standard's own limit before its 2021 edition, which leaves it to purchaser and plant
MINUTES = Rule("minutes", "Batching to discharge", "min", C94, Known.SECONDARY)
SLUMP = Rule("slump", "Slump", "in", C94, Known.MEMORY)
AIR = Rule("air", "Air content", "%", C94, Known.MEMORY)
CONCRETE = Rule("concrete temperature", "Concrete temperature", "F", f"{C306}; {C305}", Known.MEMORY)
WATER = Rule("water", "Water added", "gal", C94, Known.MEMORY)
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


@dataclass(frozen=True)
class Truck:
    accepted: bool
    checks: tuple[Check, ...]


def slump_tolerance(ordered_in: float) -> float:
    """Either way, in, of the slump ordered in inches: up to 2 in 1/2, up to 4 in 1, above 1 1/2.

    ASTM C94 (from memory).
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

    Cold air (under 40 F) also bounds it above. ACI 306R table 5.1, ACI 305.1 (from memory).
    """
    least = least_as_placed(limits.least_dimension_in)
    if air_f is not None and air_f < COLD_AIR_F:
        return least, min(limits.highest_f, least + ABOVE_PLACED_F)
    return least, limits.highest_f


def truck(case: TruckCase) -> Truck:
    """Minutes, slump (in), air (%), temperature (F) and added water (gal) of a truck against its limits.

    Accepted only if each is measured and passes. ASTM C94, ACI 306R table 5.1, ACI 305.1 (from memory).
    """
    require_valid(case)
    limits = case.limits
    coldest, hottest = temperature_range(limits, case.air_f)
    checks = [
        _between(MINUTES, case.minutes, 0.0, limits.most_minutes),
        _between(SLUMP, case.slump_in, *slump_range(limits)),
        _between(AIR, case.air_pct, *air_range(limits)),
        _between(CONCRETE, case.concrete_f, coldest, hottest),
    ]
    if case.water_gal:
        checks.append(_water(case.water_gal, limits.water_gal))
    return Truck(not any(c.needs_answer for c in checks), tuple(checks))


def _between(rule: Rule, value: float | None, low: float, high: float) -> Check:
    accepted = f"{low:g} to {high:g} {rule.unit} accepted" if low > 0 else f"at most {high:g} {rule.unit}"
    if value is None:
        return rule.open(f"not measured; {accepted}")
    demand, capacity = (low, value) if value < low else (value, high)
    return rule.compare(demand=demand, capacity=capacity, note=f"{value:g} {rule.unit}, {accepted}")


def _water(added: float, allowed: float | None) -> Check:
    if allowed is None:
        return WATER.open(f"{added:g} gal added; the ticket's allowance is not recorded")
    return WATER.compare(
        demand=added,
        capacity=allowed,
        note=f"{added:g} gal added, {allowed:g} gal allowed by the ticket",
    )


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
