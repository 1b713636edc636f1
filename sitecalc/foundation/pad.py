"""The pad and what stands on it: weights, load combinations, and how it bears in each wind."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sitecalc.cases import same_as
from sitecalc.checks import readable
from sitecalc.formula import Formula
from sitecalc.foundation.bearing import Contact, Pressures, pressures
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.loads import BaseLoads, ServiceLoad, require_service, service
from sitecalc.foundation.outline import area_ft2
from sitecalc.foundation.ring import Floats, ring
from sitecalc.foundation.words import COMPASS, Compass, LoadKind, Outline, PedestalForm, Soil
from sitecalc.inputs import InputError, quantity, require_valid

KIP = 1000.0
PAD_WEIGHT = Formula("Wp", "weight of the pad", "A*t*gc/1000", "kip")
UPLIFT = Formula("U", "push of the water", "62.4*A*h/1000", "kip")


@dataclass(frozen=True, kw_only=True)
class PadCase:
    """A pad, its ground and the loads at its top. None: not known; what hangs on it is then not checked."""

    side_ft: float = same_as(FoundationFigures, "side_ft", required=True)
    thickness_ft: float = same_as(FoundationFigures, "thickness_ft", required=True)
    other_side_ft: float | None = same_as(FoundationFigures, "other_side_ft")
    top_above_grade_ft: float = same_as(FoundationFigures, "top_above_grade_ft")
    dead_kip: float | None = same_as(FoundationFigures, "dead_kip")
    moment_kip_ft: float | None = same_as(FoundationFigures, "moment_kip_ft")
    shear_kip: float | None = same_as(FoundationFigures, "shear_kip")
    torsion_kip_ft: float | None = same_as(FoundationFigures, "torsion_kip_ft")
    kind: LoadKind | None = same_as(FoundationFigures, "load_kind")
    reactions_above_ft: float = same_as(FoundationFigures, "reactions_above_ft")
    soil: Soil | None = same_as(FoundationFigures, "soil")
    report_bearing_psf: float | None = same_as(FoundationFigures, "report_bearing_psf")
    report_friction: float | None = same_as(FoundationFigures, "report_friction")
    report_cohesion_psf: float | None = same_as(FoundationFigures, "report_cohesion_psf")
    frost_ft: float | None = same_as(FoundationFigures, "frost_ft")
    water_ft: float | None = same_as(FoundationFigures, "water_ft")
    backfill_placed: bool = same_as(FoundationFigures, "backfill_placed")
    backfill_pcf: float = same_as(FoundationFigures, "backfill_pcf")
    concrete_pcf: float = quantity("pcf", "weight of the concrete", low=100, high=165, default=150.0)
    contact_required_pct: float = same_as(FoundationFigures, "contact_required_pct")
    prevailing: Compass = same_as(FoundationFigures, "prevailing")
    outline: Outline = same_as(FoundationFigures, "outline")
    pedestal: PedestalForm | None = same_as(FoundationFigures, "pedestal")
    pedestal_side_ft: float | None = same_as(FoundationFigures, "pedestal_side_ft")
    # a column that stands on the pad without a pedestal, as in printed examples, is one without height
    pedestal_height_ft: float | None = same_as(FoundationFigures, "pedestal_height_ft", low=0)
    wind_strength_factor: float | None = same_as(FoundationFigures, "wind_strength_factor")

    @property
    def across_ft(self) -> float:
        """North to south."""
        return self.other_side_ft or self.side_ft

    @property
    def shorter_ft(self) -> float:
        return min(self.side_ft, self.across_ft)

    @property
    def area_ft2(self) -> float:
        return area_ft2(self.outline, self.side_ft, self.across_ft)

    @property
    def stump_ft(self) -> tuple[float, float]:
        """Side or diameter of the pedestal, and its height above the pad; nothing without one."""
        return self.pedestal_side_ft or 0.0, self.pedestal_height_ft or 0.0

    @property
    def pedestal_ft2(self) -> float:
        if self.pedestal is None:
            return 0.0
        side, _height = self.stump_ft
        return area_ft2("circle" if self.pedestal == "round" else "rectangle", side, side)

    @property
    def bottom_ft(self) -> float:
        """Depth of the underside below grade."""
        return self.thickness_ft - self.top_above_grade_ft


@dataclass(frozen=True, kw_only=True)
class Weights:
    """Unfactored, kip. ``uplift`` is water's push on the underside."""

    pad: float
    tower: float
    backfill: float
    uplift: float
    pedestal: float = 0.0

    def dead(self, *, backfilled: bool) -> float:
        return self.pad + self.pedestal + self.tower + (self.backfill if backfilled else 0.0)


@dataclass(frozen=True, kw_only=True)
class Combination:
    """Vertical load and what wind brings to the underside of the pad."""

    name: str
    vertical_kip: float
    moment_kip_ft: float
    shear_kip: float
    torsion_kip_ft: float = 0.0


OVERTURNS = "nothing bears: overturns"
# a share of the pad that is written as 0 %: no soil holds what would press there
NOTHING_BEARS = 0.005


@dataclass(frozen=True)
class BearingCase:
    """One wind direction under one combination. ``contact`` None: no pressure balances it.

    ``wind_from`` is a point of the compass, or degrees from north ("33.7°") toward a corner between them.
    """

    wind_from: str
    combination: str
    contact: Contact | None

    @property
    def held(self) -> Contact | None:
        """The contact, None where so little bears that the pad overturns."""
        return self.contact if self.contact and self.contact.fraction >= NOTHING_BEARS else None

    @property
    def pressure_psf(self) -> float:
        return self.held.q_max_psf if self.held else math.inf

    @property
    def fraction(self) -> float:
        return self.held.fraction if self.held else 0.0

    @property
    def pressed(self) -> str:
        """The pressure in words."""
        return f"{readable(self.pressure_psf)} psf" if self.held else OVERTURNS


@dataclass(frozen=True)
class WindBearing:
    """One wind direction."""

    hardest: BearingCase
    least: BearingCase


@dataclass(frozen=True)
class Bearings:
    """Each wind (rows of ``pressures``, combination after combination) with the prevailing one first."""

    winds: tuple[str, ...]
    pair: tuple[Combination, ...]
    pressures: Pressures

    def case(self, index: int) -> BearingCase:
        wind, combination = self.winds[index % len(self.winds)], self.pair[index // len(self.winds)]
        return BearingCase(wind, combination.name, self.pressures.contact(index))

    def q_max_psf(self) -> Floats:
        """(combinations, winds); without bound where nothing bears."""
        return self._by_wind(np.where(self._bears(), self.pressures.q_max_psf, np.inf))

    def fraction(self) -> Floats:
        return self._by_wind(np.where(self._bears(), self.pressures.fraction, 0.0))

    def _bears(self) -> NDArray[np.bool_]:
        found: NDArray[np.bool_] = self.pressures.balanced & (self.pressures.fraction >= NOTHING_BEARS)
        return found

    def by_wind(self) -> tuple[WindBearing, ...]:
        """Of each wind the combination that presses hardest, and the one that leaves least of the pad."""
        found = []
        for wind in range(len(self.winds)):
            cases = [self.case(c * len(self.winds) + wind) for c in range(len(self.pair))]
            hardest = max(cases, key=lambda case: case.pressure_psf)
            found.append(WindBearing(hardest, min(cases, key=lambda case: case.fraction)))
        return tuple(found)

    def _by_wind(self, values: Floats) -> Floats:
        return values.reshape(len(self.pair), -1)


def require_sound(case: PadCase) -> None:
    """InputError for figures out of range, or that make no pad: all above grade, a pedestal without size."""
    require_valid(case)
    if case.bottom_ft <= 0:
        raise InputError("top_above_grade_ft", "puts the whole pad above grade.")
    if case.outline != "rectangle" and case.other_side_ft not in (None, case.side_ft):
        raise InputError("other_side_ft", f"has no meaning for a pad that is an {case.outline}.")
    side, height = case.stump_ft
    if case.pedestal is None:
        if height:
            raise InputError("pedestal_height_ft", "is given without a pedestal.")
        return
    if side <= 0 or height <= 0:
        raise InputError("pedestal_side_ft", "and height must be more than nothing.")
    if side >= case.shorter_ft:
        raise InputError("pedestal_side_ft", "is no smaller than the pad.")


def weights(case: PadCase) -> Weights:
    """Unfactored weights in kip: concrete A t gc, backfill on what lies below grade, the push of the water.

    Water weighs 62.4 pcf and pushes with its depth over the underside; what is not known weighs nothing.
    """
    pad = PAD_WEIGHT.value(A=case.area_ft2, t=case.thickness_ft, gc=case.concrete_pcf)
    cover = max(0.0, -case.top_above_grade_ft)
    head = max(0.0, case.bottom_ft - case.water_ft) if case.water_ft is not None else 0.0
    return Weights(
        pad=pad,
        tower=case.dead_kip or 0.0,
        backfill=(case.area_ft2 - case.pedestal_ft2) * cover * case.backfill_pcf / KIP,
        uplift=UPLIFT.value(A=case.area_ft2, h=head),
        pedestal=case.pedestal_ft2 * case.stump_ft[1] * case.concrete_pcf / KIP,
    )


def arm_ft(case: PadCase) -> float:
    """From where moment and shear are stated down to the underside of the pad, ft."""
    return case.thickness_ft + case.stump_ft[1] + case.reactions_above_ft


def base_loads(case: PadCase) -> BaseLoads | None:
    """None while loads or their kind are not known."""
    if case.dead_kip is None or case.moment_kip_ft is None or case.shear_kip is None or case.kind is None:
        return None
    return BaseLoads(
        dead_kip=case.dead_kip,
        moment_kip_ft=case.moment_kip_ft,
        shear_kip=case.shear_kip,
        # sliding alone feels it here, and asks first whether it is known
        torsion_kip_ft=0.0 if case.torsion_kip_ft is None else case.torsion_kip_ft,
        kind=case.kind,
        wind_strength_factor=case.wind_strength_factor,
    )


def combinations(case: PadCase) -> tuple[Combination, Combination] | None:
    """Greatest and least dead load with the wind; None while loads or their kind are not known.

    The greatest has all backfill and no water; the least 0.6 of it, backfill only if it is placed, and
    the whole push of the highest water against it. At a fixed moment the pressure is greatest at one of
    these two ends, and dead load alone presses less than with the wind.
    """
    loads = base_loads(case)
    if loads is None:
        return None
    found = weights(case)
    _dead, greatest, least = service(loads)
    return (
        _at_underside(case, greatest, found.dead(backfilled=True) - found.tower, 0.0),
        _at_underside(case, least, found.dead(backfilled=case.backfill_placed) - found.tower, found.uplift),
    )


def _at_underside(case: PadCase, load: ServiceLoad, weight: float, uplift: float) -> Combination:
    require_service((load,))
    return Combination(
        name=load.name,
        vertical_kip=load.vertical_kip + load.dead_factor * weight - uplift,
        moment_kip_ft=load.moment_kip_ft + load.shear_kip * arm_ft(case),
        shear_kip=load.shear_kip,
        torsion_kip_ft=load.torsion_kip_ft,
    )


def leeward(wind_from: str) -> tuple[float, float]:
    """Unit vector (east, north) toward which a wind from there pushes."""
    if wind_from.endswith("°"):
        bearing = math.radians(float(wind_from[:-1]))
    else:
        bearing = math.radians(COMPASS.index(wind_from) * 360 / len(COMPASS))
    return -math.sin(bearing), -math.cos(bearing)


def from_the(wind_from: str) -> str:
    """As said in a sentence: "the NW", "33.7°"."""
    return wind_from if wind_from.endswith("°") else f"the {wind_from}"


def winds(case: PadCase, towards: Floats | None = None) -> tuple[str, ...]:
    """The 16 points of the compass, the prevailing one first, then the exact ways to places between them."""
    start = COMPASS.index(case.prevailing)
    named: list[str] = [*COMPASS[start:], *COMPASS[:start]]
    known = [leeward(wind) for wind in COMPASS]
    for east, north in towards if towards is not None else ():
        out = math.hypot(east, north)
        if out < 1e-9 or any(math.hypot(east / out - e, north / out - n) < 1e-6 for e, n in known):
            continue
        known.append((east / out, north / out))
        named.append(f"{round(math.degrees(math.atan2(-east, -north)) % 360, 2):g}°")
    return tuple(named)


def bearings(case: PadCase, pair: tuple[Combination, ...]) -> Bearings:
    """Every wind under every combination: the 16, and between them those that press a rectangle's corner.

    In full contact that is square to the other diagonal; the more of the pad lifts, the nearer it comes to
    the corner itself.
    """
    corners = ring(case.outline, case.side_ft, case.across_ft)
    toward_corner = np.concatenate((corners, corners[:, ::-1])) if case.outline == "rectangle" else None
    named = winds(case, toward_corner)
    toward = np.array([leeward(wind) for wind in named])
    vertical = np.array([c.vertical_kip for c in pair])
    moment = np.array([c.moment_kip_ft for c in pair])
    off = np.where(vertical > 0, moment / np.where(vertical > 0, vertical, 1.0), 0.0)
    return Bearings(named, pair, any_way(case.outline, corners, vertical, off, toward))


def any_way(outline: Outline, corners: Floats, vertical: Floats, off: Floats, toward: Floats) -> Pressures:
    """Loads (k) at these distances from the middle, each toward all of (n) ways, load after load."""
    if outline == "circle":
        return _turned(pressures(corners, vertical, off, np.zeros_like(off)), toward)
    at = np.concatenate([e * toward for e in off])
    return pressures(corners, np.repeat(vertical, len(toward)), at[:, 0], at[:, 1])


def _turned(east: Pressures, toward: Floats) -> Pressures:
    """A round pad is alike every way: what presses toward the east, toward each of the others."""
    ways = len(toward)
    level, slope = np.repeat(east.planes[:, 0], ways), np.repeat(east.planes[:, 1], ways)
    around = np.tile(toward, (len(east.planes), 1))
    return Pressures(
        corners=east.corners,
        balanced=np.repeat(east.balanced, ways),
        planes=np.stack((level, slope * around[:, 0], slope * around[:, 1]), axis=1),
        q_max_psf=np.repeat(east.q_max_psf, ways),
        fraction=np.repeat(east.fraction, ways),
    )
