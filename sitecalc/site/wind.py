"""Wind at hub height, its distribution, air density and power density.

Speeds are in mph and heights in ft; density is in kg/m3 and power density in W/m2, the units in which wind
maps and turbine certificates state them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Known, Step, compare
from sitecalc.inputs import InputError, quantity, require_valid

Law = Literal["power law", "log law", "two heights"]

MPS_PER_MPH = 0.44704
M_PER_FT = 0.3048
GAS_CONSTANT = 287.05  # J/(kg K), dry air
STANDARD_DENSITY = 1.225  # kg/m3, at which power curves are stated
LAPSE = 0.0065  # K/m
STANDARD_KELVIN = 288.15

POWER_LAW = "Power law of the wind profile, NOAA ESRL, Wind shear formula"
LOG_LAW = "Logarithmic wind profile with displacement height"
MEASNET = "MEASNET, Evaluation of site-specific wind conditions: figure from at least 2/3 of hub height"
# mean speed at hub height that a class is designed for, m/s
CLASS_MEAN_MPS = {"I": 10.0, "II": 8.5, "III": 7.5, "IV": 6.0}
IEC_CLASSES = "IEC 61400-2, table of basic parameters of small wind turbine classes"


@dataclass(frozen=True, kw_only=True)
class WindCase:
    """One mean speed at one height, and how it is carried to the hub."""

    mean_mph: float = quantity("mph", "mean wind speed of the year", low=2, high=35)
    at_ft: float = quantity("ft", "height above grade of that speed", low=6, high=700)
    hub_ft: float = quantity("ft", "hub above grade", low=15, high=300)
    law: Law = quantity("", "power law, log law, or the exponent from two heights", default="power law")
    exponent: float | None = quantity("", "exponent of the power law", low=0, high=0.6, default=None)
    roughness_ft: float | None = quantity(
        "ft", "roughness length, log law", low=0.0001, high=10, default=None
    )
    displacement_ft: float = quantity(
        "ft", "displacement height, about 0.7 of dense obstacles' height", low=0, high=100, default=0.0
    )
    second_mph: float | None = quantity(
        "mph", "mean speed at a second height, same period", low=2, high=35, default=None
    )
    second_at_ft: float | None = quantity("ft", "that second height", low=6, high=700, default=None)
    weibull_k: float = quantity("", "Weibull shape; 2 is Rayleigh", low=1.2, high=4, default=2.0)
    elevation_ft: float = quantity("ft", "site above sea level", low=-300, high=12_000)
    temperature_f: float | None = quantity(
        "F", "mean air temperature of the year at the site", low=-10, high=90, default=None
    )


@dataclass(frozen=True)
class HubWind:
    """``exponent`` is the one that was used, or between the two heights for the log law."""

    mean_mph: float
    exponent: float
    weibull_k: float
    weibull_scale_mph: float
    density_kg_m3: float
    power_density_w_m2: float
    source: str
    steps: tuple[Step, ...]


def power_law(speed: float, from_ft: float, to_ft: float, exponent: float) -> float:
    """v2 = v1 (h2 / h1)^a, in the unit of ``speed``."""
    return float(speed * (to_ft / from_ft) ** exponent)


def shear_exponent(speed1: float, height1: float, speed2: float, height2: float) -> float:
    """a = ln(v2 / v1) / ln(h2 / h1). The heights must differ."""
    return math.log(speed2 / speed1) / math.log(height2 / height1)


def log_law(speed: float, from_ft: float, to_ft: float, roughness_ft: float, displacement_ft: float) -> float:
    """v2 = v1 ln((h2 - d) / z0) / ln((h1 - d) / z0); both heights must stand clear of d + z0."""
    return (
        speed
        * math.log((to_ft - displacement_ft) / roughness_ft)
        / math.log((from_ft - displacement_ft) / roughness_ft)
    )


def weibull_scale(mean: float, k: float) -> float:
    """c = mean / Gamma(1 + 1/k), in the unit of ``mean``. Textbook."""
    return mean / math.gamma(1 + 1 / k)


def weibull_below(speed: float, scale: float, k: float) -> float:
    """Share of the time below ``speed``: F = 1 - exp(-(v / c)^k). Textbook."""
    return -math.expm1(-((max(speed, 0.0) / scale) ** k))


def power_density(scale_mps: float, k: float, density: float) -> float:
    """W/m2 of the wind: 0.5 rho c^3 Gamma(1 + 3/k), c in m/s. Textbook."""
    return 0.5 * density * scale_mps**3 * math.gamma(1 + 3 / k)


def air_density(elevation_m: float, kelvin: float) -> float:
    """kg/m3 at an elevation whose own temperature is ``kelvin``: hydrostatic, 6.5 K/km down to sea level."""
    pressure = 101_325 * (kelvin / (kelvin + LAPSE * elevation_m)) ** 5.2559
    return float(pressure / (GAS_CONSTANT * kelvin))


def kelvin_at(elevation_m: float, temperature_f: float | None) -> float:
    """The site's own mean temperature, else that of the US Standard Atmosphere."""
    if temperature_f is None:
        return STANDARD_KELVIN - LAPSE * elevation_m
    return (temperature_f - 32) / 1.8 + 273.15


def hub_wind(case: WindCase) -> HubWind:
    """Mean at the hub, Weibull scale, density and power density. InputError for what a law lacks."""
    require_valid(case)
    mean, exponent, source, profile = _carried(case, case.mean_mph)
    scale = weibull_scale(mean, case.weibull_k)
    elevation_m = case.elevation_ft * M_PER_FT
    kelvin = kelvin_at(elevation_m, case.temperature_f)
    density = air_density(elevation_m, kelvin)
    power = power_density(scale * MPS_PER_MPH, case.weibull_k, density)
    steps = (
        profile,
        Step(
            "c",
            "Weibull scale at hub height",
            "c = v / Gamma(1 + 1/k)",
            f"{mean:.2f} / Gamma(1 + 1/{case.weibull_k:g})",
            scale,
            "mph",
        ),
        Step(
            "rho",
            "air density" + ("" if case.temperature_f is not None else ", standard temperature"),
            "rho = 101325 (T / (T + 0.0065 z))^5.2559 / (287.05 T)",
            f"z = {elevation_m:.0f} m, T = {kelvin:.1f} K",
            density,
            "kg/m3",
        ),
        Step(
            "P/A",
            "power density of the wind",
            "P/A = 0.5 rho c^3 Gamma(1 + 3/k)",
            f"0.5 x {density:.3f} x {scale * MPS_PER_MPH:.3f}^3 x Gamma(1 + 3/{case.weibull_k:g})",
            power,
            "W/m2",
        ),
    )
    return HubWind(mean, exponent, case.weibull_k, scale, density, power, source, steps)


def at_hub(case: WindCase, speed_mph: float) -> float:
    """Any mean speed of the same height (a month's) carried to the hub by the same law."""
    return _carried(case, speed_mph)[0]


def _carried(case: WindCase, speed: float) -> tuple[float, float, str, Step]:
    if case.law == "log law":
        return _by_log_law(case, speed)
    exponent = _exponent(case)
    mean = power_law(speed, case.at_ft, case.hub_ft, exponent)
    step = Step(
        "v_hub",
        "mean speed at hub height" + (", exponent from two heights" if case.law == "two heights" else ""),
        "v_hub = v (h_hub / h)^a",
        f"{speed:g} x ({case.hub_ft:g} / {case.at_ft:g})^{exponent:.3f}",
        mean,
        "mph",
    )
    return mean, exponent, POWER_LAW, step


def _exponent(case: WindCase) -> float:
    if case.law == "power law":
        if case.exponent is None:
            raise InputError("exponent", "is missing: the power law needs it.")
        return case.exponent
    if case.second_mph is None:
        raise InputError("second_mph", "is missing: the speed at the second height.")
    if case.second_at_ft is None:
        raise InputError("second_at_ft", "is missing: the second height.")
    low, high = sorted((case.at_ft, case.second_at_ft))
    if high < 1.2 * low:
        raise InputError("second_at_ft", "is too near the first height; at least 20 % apart.")
    exponent = shear_exponent(case.mean_mph, case.at_ft, case.second_mph, case.second_at_ft)
    if not 0 <= exponent <= 0.6:
        raise InputError(
            "second_mph", f"gives an exponent of {exponent:.2f}; 0 to 0.6 is accepted. Check both speeds."
        )
    return exponent


def _by_log_law(case: WindCase, speed: float) -> tuple[float, float, str, Step]:
    if case.roughness_ft is None:
        raise InputError("roughness_ft", "is missing: the log law needs it.")
    z0, d = case.roughness_ft, case.displacement_ft
    if min(case.at_ft, case.hub_ft) - d <= 2 * z0:
        raise InputError("roughness_ft", "and displacement leave a height inside the rough layer.")
    mean = log_law(speed, case.at_ft, case.hub_ft, z0, d)
    step = Step(
        "v_hub",
        "mean speed at hub height",
        "v_hub = v ln((h_hub - d) / z0) / ln((h - d) / z0)",
        f"{speed:g} x ln(({case.hub_ft:g} - {d:g}) / {z0:g}) / ln(({case.at_ft:g} - {d:g}) / {z0:g})",
        mean,
        "mph",
    )
    same = math.isclose(case.at_ft, case.hub_ft)
    exponent = 0.0 if same else shear_exponent(speed, case.at_ft, mean, case.hub_ft)
    return mean, exponent, LOG_LAW, step


def reach_check(case: WindCase) -> Check:
    """How far the figure is carried: the hub at most 1.5 times its height."""
    ratio = case.hub_ft / case.at_ft
    step = Step(
        "r", "hub over height of the figure", "r = h_hub / h", f"{case.hub_ft:g} / {case.at_ft:g}", ratio, ""
    )
    return compare(
        "wind-height",
        "Height of the wind figure",
        demand=case.hub_ft,
        capacity=1.5 * case.at_ft,
        unit="ft",
        note=f"Mean wind known at {case.at_ft:g} ft, hub {case.hub_ft:g} ft: {ratio:.2f} times, at most 1.5.",
        source=MEASNET,
        known=Known.MEMORY,
        steps=(step,),
    )


def class_check(mean_mph: float, iec_class: str) -> Check | None:
    """Hub mean against the speed the machine's class is designed for; None for class S or none stated."""
    if iec_class not in CLASS_MEAN_MPS:
        return None
    limit = CLASS_MEAN_MPS[iec_class] / MPS_PER_MPH
    return compare(
        "turbine-class",
        "Turbine class",
        demand=mean_mph,
        capacity=limit,
        unit="mph",
        note=f"Hub mean {mean_mph:.1f} of {limit:.1f} mph for class {iec_class}.",
        source=IEC_CLASSES,
        known=Known.MEMORY,
    )
