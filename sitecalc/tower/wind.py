"""Wind on a freestanding tower by ASCE 7: an aid to estimate base reactions before the maker's are in hand.

TIA-222 usually governs lattice towers and the turbine's maker its thrust; reactions by those win over this.
Strength level (basic speeds of ASCE 7-10 and later).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from sitecalc.cases import same_as
from sitecalc.checks import Known, Step
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.tower.figures import TowerFigures
from sitecalc.tower.structure import Section, Tower, require_tower
from sitecalc.tower.words import Exposure, Kind

SOURCE = "ASCE 7-16 chapters 26 and 29.4"
# qz, Ke and the form of Kz are in asce7, an open Python library (v2016, chapter 26), the constants of Kz on
# public pages; not read: a round tower's Cf and the least pressure. The whole is no better than these.
KNOWN = Known.MEMORY
# power of the profile and gradient height in ft, ASCE 7-16 Table 26.11-1
PROFILE = {"B": (7.0, 1200.0), "C": (9.5, 900.0), "D": (11.5, 700.0)}
LEAST_HEIGHT_FT = 15.0

EXPOSURE = Formula("Kz", "exposure at the tower's top", "2.01*(z/zg)**(2/alpha)", "")
THIN_AIR = Formula("Ke", "thin air of the elevation", "exp(-0.0000362*ze)", "")
PRESSURE = Formula("qz", "pressure at the tower's top", "0.00256*Kz*Kzt*Kd*Ke*V**2", "psf")
WITH_HEAD = Formula("M", "with the head's push", "Mt+T*hub", "kip-ft")
BASE_SHEAR = Formula("V", "shear with the head's push", "Vt+T", "kip")


@dataclass(frozen=True, kw_only=True)
class WindCase:
    """Speed, ground and the head's push; solidity is solid over gross area of one face."""

    tower: Tower = quantity("", "kind and sections")
    speed_mph: float = same_as(TowerFigures, "wind_mph", required=True)
    exposure: Exposure = same_as(TowerFigures, "exposure", required=True)
    head_thrust_kip: float = quantity("kip", "push of the turbine on the tower's top", low=0, high=500)
    hub_above_top_ft: float = quantity("ft", "hub above the tower's top", low=0, high=30, default=2.0)
    solidity: float = quantity(
        "",
        "lattice: solid over gross area of one face",
        low=0.01,
        high=1,
        default=0.2,
        shown_at="solidity_percent",
    )
    round_members: bool = same_as(TowerFigures, "round_members")
    # of a tower that is not slower than 1 Hz
    gust_factor: float = same_as(TowerFigures, "gust_factor", default=0.85)
    elevation_ft: float = quantity("ft", "site above sea level", low=-300, high=14_000, default=0.0)
    topography: float = quantity("", "Kzt", low=1, high=3, default=1.0)


@dataclass(frozen=True, kw_only=True)
class WindResult:
    """Strength-level reactions at the foot, with the steps of the governing direction."""

    shear_kip: float
    moment_kip_ft: float
    tower_shear_kip: float
    tower_moment_kip_ft: float
    source: str
    known: Known
    steps: tuple[Step, ...]


def exposure_coefficient(height_ft: float, exposure: str) -> float:
    """Kz (no unit) at a height in ft over ground of exposure B, C or D.

    2.01 (z / zg)^(2 / alpha), z at least 15 ft and below the gradient height. ASCE 7-16 Table 26.10-1 (from
    memory).
    """
    return EXPOSURE.value(**_profile(height_ft, exposure))


def _profile(height_ft: float, exposure: str) -> dict[str, float]:
    alpha, gradient = PROFILE[exposure]
    return {"z": max(LEAST_HEIGHT_FT, height_ft), "zg": gradient, "alpha": alpha}


def velocity_pressure_psf(case: WindCase, height_ft: float) -> float:
    """Velocity pressure in psf at a height in ft.

    qz = 0.00256 Kz Kzt Kd Ke V^2, V in mph at strength level. The direction factor Kd is here, and only here.
    ASCE 7-16 26.10 (from memory).
    """
    return PRESSURE.value(**_pressure_numbers(case, height_ft))


def _pressure_numbers(case: WindCase, height_ft: float) -> dict[str, float]:
    return {
        "Kz": exposure_coefficient(height_ft, case.exposure),
        "Kzt": case.topography,
        "Kd": _direction_factor(case.tower.kind),
        "Ke": THIN_AIR.value(ze=case.elevation_ft),
        "V": case.speed_mph,
    }


def _direction_factor(kind: Kind) -> float:
    """Kd: 0.85 for trussed towers of three or four legs, 1.0 for round ones (ASCE 7-16)."""
    return 1.0 if kind == "tube" else 0.85


def lattice_coefficient(kind: Kind, solidity: float, round_members: bool) -> float:
    """Cf (no unit) on the solid area of one face; ``solidity`` is solid over gross area.

    Square 4.0 e^2 - 5.9 e + 4.0, times 1 + 0.75 e at most 1.2 for wind on the diagonal; triangle
    3.4 e^2 - 4.7 e + 3.4; round members 0.51 e^2 + 0.57 at most 1. ASCE 7-16 Figure 29.4-3 (from memory; a
    public transcription of the 2022 edition has the same).
    """
    e = solidity
    if kind == "lattice, 4 legs":
        cf = (4.0 * e**2 - 5.9 * e + 4.0) * min(1.2, 1 + 0.75 * e)
    else:
        cf = 3.4 * e**2 - 4.7 * e + 3.4
    return cf * min(1.0, 0.51 * e**2 + 0.57) if round_members else cf


def _tube_coefficient(diameter_ft: float, pressure_psf: float, height_ft: float) -> float:
    """Cf of a moderately smooth round tower by height over diameter. ASCE 7-16 Figure 29.4-1 (from memory).

    Below D sqrt(q) = 2.5 the wake is wide, and the coefficient the larger.
    """
    slender = height_ft / diameter_ft
    if diameter_ft * math.sqrt(pressure_psf) <= 2.5:
        points = ((1.0, 0.7), (7.0, 0.8), (25.0, 1.2))
    else:
        points = ((1.0, 0.5), (7.0, 0.6), (25.0, 0.7))
    for (x0, y0), (x1, y1) in pairwise(points):
        if slender <= x1:
            return y0 + (y1 - y0) * max(0.0, slender - x0) / (x1 - x0)
    return points[-1][1]


def wind_reactions(case: WindCase) -> WindResult:
    """Shear in kip and moment in kip-ft at the foot. InputError for bad figures.

    V = sum of q G Cf A + T, M = sum of q G Cf A z + T hub over slices of about 2 ft, at least 16 psf on the
    area. Freestanding lattice or tube, strength level; an aid, TIA-222 or the maker governs. ASCE 7-16
    chapters 26 and 29.4 (from memory).
    """
    require_valid(case)
    try:
        require_tower(case.tower)
    except InputError as error:
        raise InputError(f"tower.{error.field}", error.message) from None
    shear = moment = foot = 0.0
    for section in case.tower.sections:
        for force, height in _slices(case, section, foot):
            shear, moment = shear + force, moment + force * height
        foot += section.length_ft
    hub = case.tower.height_ft + case.hub_above_top_ft
    tower_shear, tower_moment = shear / 1000, moment / 1000
    steps = _steps(case, tower_shear, tower_moment, hub)
    return WindResult(
        shear_kip=steps[-2].value,
        moment_kip_ft=steps[-1].value,
        tower_shear_kip=tower_shear,
        tower_moment_kip_ft=tower_moment,
        source=SOURCE,
        known=KNOWN,
        steps=steps,
    )


def _slices(case: WindCase, section: Section, foot: float) -> list[tuple[float, float]]:
    """Force in lb and height of slices of about 2 ft; never under 16 psf on the area (29.7)."""
    number = max(4, round(section.length_ft / 2))
    step = section.length_ft / number
    found = []
    for n in range(number):
        height = foot + (n + 0.5) * step
        share = (n + 0.5) / number
        width_ft = (section.bottom_in + (section.top_in - section.bottom_in) * share) / 12
        pressure = velocity_pressure_psf(case, height)
        if case.tower.kind == "tube":
            area, cf = width_ft * step, _tube_coefficient(width_ft, pressure, case.tower.height_ft)
        else:
            area = width_ft * step * case.solidity
            cf = lattice_coefficient(case.tower.kind, case.solidity, case.round_members)
        found.append((max(pressure * case.gust_factor * cf, 16.0) * area, height))
    return found


def _steps(case: WindCase, shear: float, moment: float, hub: float) -> tuple[Step, ...]:
    """The arithmetic at the tower's top, the sums over the slices, and shear and moment at the foot last."""
    top = case.tower.height_ft
    slices = f"slices of about 2 ft, G {case.gust_factor:g}, at least 16 psf"
    return (
        EXPOSURE.step(**_profile(top, case.exposure)),
        THIN_AIR.step(ze=case.elevation_ft),
        PRESSURE.step(**_pressure_numbers(case, top)),
        looked_up("Vt", "wind on the tower", "sum of q G Cf A", slices, shear, "kip"),
        looked_up("Mt", "moment of it at the foot", "sum of q G Cf A z", slices, moment, "kip-ft"),
        BASE_SHEAR.step(Vt=shear, T=case.head_thrust_kip),
        WITH_HEAD.step(Mt=moment, T=case.head_thrust_kip, hub=hub),
    )
