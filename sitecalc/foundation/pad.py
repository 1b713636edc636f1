"""The pad and what stands on it: weights, load combinations, and how it bears in each wind."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sitecalc.foundation.bearing import Contact, contact
from sitecalc.foundation.tables import Soil
from sitecalc.inputs import InputError, quantity, require_valid

WATER_PCF = 62.4
KIP = 1000.0
LoadKind = Literal["ASCE strength level", "IEC extreme gust", "maker's service"]
Compass = Literal[
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
]  # fmt: skip
COMPASS: tuple[Compass, ...] = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)  # fmt: skip


@dataclass(frozen=True)
class PadCase:
    """A pad, its ground and the loads at its top. None: not known; what hangs on it is then not checked."""

    side_ft: float = quantity("ft", "side of the pad, east to west", low=4, high=80)
    thickness_ft: float = quantity("ft", "thickness of the pad", low=1, high=12)
    other_side_ft: float | None = quantity(
        "ft", "side north to south, if not the same", low=4, high=80, default=None
    )
    top_above_grade_ft: float = quantity(
        "ft", "top of pad above grade; negative below it", low=-8, high=4, default=0.5
    )
    dead_kip: float | None = quantity(
        "kip", "dead load of tower and turbine", low=0, high=2_000, default=None
    )
    moment_kip_ft: float | None = quantity(
        "kip-ft", "overturning moment of the wind", low=0, high=100_000, default=None
    )
    shear_kip: float | None = quantity("kip", "shear of the wind", low=0, high=2_000, default=None)
    kind: LoadKind | None = quantity("", "what kind of load moment and shear are", default=None)
    reactions_above_ft: float = quantity(
        "ft", "moment and shear are stated this far above the top of pad", low=0, high=10, default=0.0
    )
    soil: Soil | None = quantity("", "soil under the pad by its symbol", default=None)
    report_bearing_psf: float | None = quantity(
        "psf", "allowable bearing by a soil report", low=200, high=40_000, default=None
    )
    report_friction: float | None = quantity(
        "", "friction factor by a soil report", low=0.05, high=1, default=None
    )
    report_cohesion_psf: float | None = quantity(
        "psf", "adhesion by a soil report", low=10, high=5_000, default=None
    )
    frost_ft: float | None = quantity("ft", "frost depth of the locality", low=0, high=12, default=None)
    water_ft: float | None = quantity("ft", "highest water below grade", low=0, high=200, default=None)
    backfill_placed: bool = quantity("", "backfill on the pad is placed and compacted", default=False)
    backfill_pcf: float = quantity("pcf", "weight of the backfill", low=70, high=150, default=100.0)
    concrete_pcf: float = quantity("pcf", "weight of the concrete", low=100, high=165, default=150.0)
    contact_required: float = quantity("", "share of the pad that must bear", low=0, high=1, default=0.5)
    prevailing: Compass = quantity("", "wind direction named among equals", default="NW")

    @property
    def across_ft(self) -> float:
        """North to south."""
        return self.other_side_ft or self.side_ft

    @property
    def shorter_ft(self) -> float:
        return min(self.side_ft, self.across_ft)

    @property
    def area_ft2(self) -> float:
        return self.side_ft * self.across_ft

    @property
    def bottom_ft(self) -> float:
        """Depth of the underside below grade."""
        return self.thickness_ft - self.top_above_grade_ft


@dataclass(frozen=True)
class Weights:
    """Unfactored, kip. ``uplift`` is water's push on the underside."""

    pad: float
    tower: float
    backfill: float
    uplift: float


@dataclass(frozen=True)
class Combination:
    """Vertical load and what wind brings to the underside of the pad."""

    name: str
    vertical_kip: float
    moment_kip_ft: float
    shear_kip: float


@dataclass(frozen=True)
class BearingCase:
    """One wind direction under one combination. ``contact`` None: no pressure balances it."""

    wind_from: Compass
    combination: str
    contact: Contact | None

    @property
    def pressure_psf(self) -> float:
        return self.contact.q_max_psf if self.contact else math.inf

    @property
    def fraction(self) -> float:
        return self.contact.fraction if self.contact else 0.0


def require_sound(case: PadCase) -> None:
    require_valid(case)
    if case.bottom_ft <= 0:
        raise InputError("top_above_grade_ft", "puts the whole pad above grade.")


def weights(case: PadCase) -> Weights:
    pad = case.area_ft2 * case.thickness_ft * case.concrete_pcf / KIP
    cover = max(0.0, -case.top_above_grade_ft)
    head = max(0.0, case.bottom_ft - case.water_ft) if case.water_ft is not None else 0.0
    return Weights(
        pad=pad,
        tower=case.dead_kip or 0.0,
        backfill=case.area_ft2 * cover * case.backfill_pcf / KIP,
        uplift=WATER_PCF * head * case.area_ft2 / KIP,
    )


def wind_factor(kind: LoadKind) -> float:
    """0.6 turns an ASCE 7 strength-level wind into an allowable-stress one; other kinds are taken whole."""
    return 0.6 if kind == "ASCE strength level" else 1.0


def arm_ft(case: PadCase) -> float:
    """From where moment and shear are stated down to the underside of the pad."""
    return case.thickness_ft + case.reactions_above_ft


def combinations(case: PadCase) -> tuple[Combination, Combination] | None:
    """Greatest and least dead load with the wind; None while loads or their kind are not known.

    The greatest has all backfill and no water; the least 0.6 of it, backfill only if it is placed, and
    the whole push of the highest water against it.
    """
    if case.dead_kip is None or case.moment_kip_ft is None or case.shear_kip is None or case.kind is None:
        return None
    found, factor = weights(case), wind_factor(case.kind)
    moment = factor * (case.moment_kip_ft + case.shear_kip * arm_ft(case))
    shear = factor * case.shear_kip
    held = found.pad + found.tower + (found.backfill if case.backfill_placed else 0.0)
    return (
        Combination(f"D + {factor:.1f}W", found.pad + found.tower + found.backfill, moment, shear),
        Combination(f"0.6D + {factor:.1f}W", 0.6 * held - found.uplift, moment, shear),
    )


def leeward(wind_from: Compass) -> tuple[float, float]:
    """Unit vector (east, north) toward which a wind from there pushes."""
    bearing = math.radians(COMPASS.index(wind_from) * 360 / len(COMPASS))
    return -math.sin(bearing), -math.cos(bearing)


def bearing_cases(case: PadCase, pair: tuple[Combination, ...]) -> Iterator[BearingCase]:
    """Each of the 16 directions under each combination, the prevailing one first among its equals."""
    start = COMPASS.index(case.prevailing)
    for wind_from in (*COMPASS[start:], *COMPASS[:start]):
        east, north = leeward(wind_from)
        for c in pair:
            found = None
            if c.vertical_kip > 0:
                off = c.moment_kip_ft / c.vertical_kip
                found = contact(case.side_ft, case.across_ft, c.vertical_kip, off * east, off * north)
            yield BearingCase(wind_from, c.name, found)
