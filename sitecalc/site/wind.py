"""Wind at hub height, its distribution, air density and power density.

Speeds are in mph and heights in ft; density is in kg/m3 and power density in W/m2, the units in which wind
maps and turbine certificates state them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.site.figures import SiteFigures
from sitecalc.site.words import Law

MPS_PER_MPH = 0.44704
STANDARD_DENSITY = 1.225  # kg/m3, at which power curves are stated

POWER_LAW = "Power law of the wind profile, NOAA ESRL, Wind shear formula"
LOG_LAW = "Logarithmic wind profile with displacement height"
# read in a trade magazine, which takes it from this standard: Resource Global Network 4.5, p. 65; that
# MEASNET asks the same is from memory
BANKABLE = "IEC 61400-12-1, bankable measurement of wind: figure from at least 2/3 of hub height"
# mean speed at hub height that a class is designed for, m/s: I to III in a maker's sheet, all four in
# i-windenergy.com, Popularity of class III wind turbines; that part 2 has those of part 1 is from memory
CLASS_MEAN_MPS = {"I": 10.0, "II": 8.5, "III": 7.5, "IV": 6.0}
IEC_CLASSES = "IEC 61400, parts 1 and 2, table of basic parameters of turbine classes"

REACH = Rule("wind-height", "Height of the wind figure", "ft", BANKABLE, Known.SECONDARY)
TURBINE_CLASS = Rule("turbine-class", "Turbine class", "mph", IEC_CLASSES, Known.SECONDARY)

BY_POWER = Formula("v_hub", "mean speed at hub height", "v*(h_hub/h)**a", "mph")
EXPONENT = Formula("a", "exponent from two heights", "ln(v2/v1)/ln(h2/h1)", "")
BY_LOG = Formula("v_hub", "mean speed at hub height", "v*ln((h_hub-d)/z0)/ln((h-d)/z0)", "mph")
SCALE = Formula("c", "Weibull scale at hub height", "v/Gamma(1+1/k)", "mph")
ELEVATION = Formula("z", "elevation of the site", "0.3048*z_ft", "m")
KELVIN = Formula("T", "temperature of the air", "(t-32)/1.8+273.15", "K")
STANDARD = Formula("T", "temperature of the US Standard Atmosphere", "288.15-0.0065*z", "K")
DENSITY = Formula("rho", "air density", "101325*(T/(T+0.0065*z))**5.2559/(287.05*T)", "kg/m3")
METRIC = Formula("c", "Weibull scale at hub height", "0.44704*c_mph", "m/s")
DENSE = Formula("Pd", "power density of the wind", "0.5*rho*c**3*Gamma(1+3/k)", "W/m2")
HUB_OVER = Formula("r", "hub over height of the figure", "h_hub/h", "")
FARTHEST = Formula("h_max", "highest hub for that figure", "1.5*h", "ft")
CLASS_LIMIT = Formula("v_max", "mean speed of the class", "v/0.44704", "mph")


@dataclass(frozen=True, kw_only=True)
class WindCase:
    """One mean speed at one height, and how it is carried to the hub."""

    mean_mph: float = same_as(SiteFigures, "mean_mph", required=True)
    at_ft: float = same_as(SiteFigures, "wind_at_ft", required=True)
    hub_ft: float = quantity("ft", "hub above grade", low=15, high=300)
    law: Law = same_as(SiteFigures, "law")
    # the terrain says it: none is assumed here
    exponent: float | None = same_as(SiteFigures, "exponent", default=None)
    roughness_ft: float | None = same_as(SiteFigures, "roughness_ft")
    displacement_ft: float = same_as(SiteFigures, "displacement_ft")
    second_mph: float | None = same_as(SiteFigures, "second_mph")
    second_at_ft: float | None = same_as(SiteFigures, "second_at_ft")
    weibull_k: float = same_as(SiteFigures, "weibull_k")
    elevation_ft: float = same_as(SiteFigures, "elevation_ft", required=True)
    temperature_f: float | None = same_as(SiteFigures, "temperature_f")


@dataclass(frozen=True, kw_only=True)
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
    """Speed at another height, in the unit of ``speed``; heights in ft above grade.

    v (h_hub / h)^a. Open ground, the year's mean. NOAA ESRL, Wind shear formula.
    """
    return BY_POWER.value(v=speed, h_hub=to_ft, h=from_ft, a=exponent)


def shear_exponent(speed1: float, height1: float, speed2: float, height2: float) -> float:
    """Exponent of the power law (no unit) from two speeds and two heights, each pair in one unit.

    a = ln(v2 / v1) / ln(h2 / h1). The heights must differ. Follows from the power law.
    """
    return EXPONENT.value(v2=speed2, v1=speed1, h2=height2, h1=height1)


def log_law(speed: float, from_ft: float, to_ft: float, roughness_ft: float, displacement_ft: float) -> float:
    """Speed at another height, in the unit of ``speed``; heights, roughness and displacement in ft.

    v ln((h_hub - d) / z0) / ln((h - d) / z0); both heights stand clear of d + z0. Logarithmic wind profile.
    """
    return BY_LOG.value(v=speed, h_hub=to_ft, d=displacement_ft, z0=roughness_ft, h=from_ft)


def weibull_scale(mean: float, k: float) -> float:
    """Weibull scale in the unit of ``mean``, from the shape k: c = mean / Gamma(1 + 1/k). Textbook."""
    return SCALE.value(v=mean, k=k)


def weibull_below(speed: float, scale: float, k: float) -> float:
    """Share of the time (no unit) below ``speed``, in the unit of ``scale``.

    F = 1 - exp(-(v / c)^k). Textbook.
    """
    return -math.expm1(-((max(speed, 0.0) / scale) ** k))


def power_density(scale_mps: float, k: float, density: float) -> float:
    """Power density of the wind in W/m2, from the Weibull scale in m/s, the shape and the density in kg/m3.

    0.5 rho c^3 Gamma(1 + 3/k). Textbook.
    """
    return DENSE.value(rho=density, c=scale_mps, k=k)


def air_density(elevation_m: float, kelvin: float) -> float:
    """Density of dry air in kg/m3 at an elevation in m whose own temperature is ``kelvin``.

    101325 (T / (T + 0.0065 z))^5.2559 / (287.05 T): hydrostatic, 6.5 K/km down to sea level. US Standard
    Atmosphere, troposphere.
    """
    return DENSITY.value(T=kelvin, z=elevation_m)


def kelvin_at(elevation_m: float, temperature_f: float | None) -> float:
    """Temperature in K: the site's own mean from F, else the US Standard Atmosphere's at an elevation in m.

    288.15 - 0.0065 z, troposphere.
    """
    return _kelvin(elevation_m, temperature_f).value


def _kelvin(elevation_m: float, temperature_f: float | None) -> Step:
    return STANDARD.step(z=elevation_m) if temperature_f is None else KELVIN.step(t=temperature_f)


def hub_wind(case: WindCase) -> HubWind:
    """Mean in mph at the hub, Weibull scale in mph, density in kg/m3 and power density in W/m2.

    By :func:`power_law` or :func:`log_law`, :func:`weibull_scale`, :func:`air_density`,
    :func:`power_density`. InputError for what a law lacks.
    """
    require_valid(case)
    mean, exponent, source, profile = _carried(case, case.mean_mph)
    scale = SCALE.step(v=mean, k=case.weibull_k)
    elevation = ELEVATION.step(z_ft=case.elevation_ft)
    kelvin = _kelvin(elevation.value, case.temperature_f)
    density = DENSITY.step(T=kelvin.value, z=elevation.value)
    metric = METRIC.step(c_mph=scale.value)
    power = DENSE.step(rho=density.value, c=metric.value, k=case.weibull_k)
    return HubWind(
        mean_mph=mean,
        exponent=exponent,
        weibull_k=case.weibull_k,
        weibull_scale_mph=scale.value,
        density_kg_m3=density.value,
        power_density_w_m2=power.value,
        source=source,
        steps=(profile, scale, elevation, kelvin, density, metric, power),
    )


def at_hub(case: WindCase, speed_mph: float) -> float:
    """Any mean speed in mph of the same height (a month's) carried to the hub by the same law, in mph.

    As of :func:`power_law` or :func:`log_law`, textbook; InputError for what the law lacks.
    """
    return _carried(case, speed_mph)[0]


def _carried(case: WindCase, speed: float) -> tuple[float, float, str, Step]:
    if case.law == "log law":
        return _by_log_law(case, speed)
    exponent = _exponent(case)
    meaning = BY_POWER.meaning + (", exponent from two heights" if case.law == "two heights" else "")
    mean = BY_POWER.step_of(meaning, v=speed, h_hub=case.hub_ft, h=case.at_ft, a=exponent)
    return mean.value, exponent, POWER_LAW, mean


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
    mean = BY_LOG.step(v=speed, h_hub=case.hub_ft, d=d, z0=z0, h=case.at_ft)
    same = math.isclose(case.at_ft, case.hub_ft)
    exponent = 0.0 if same else shear_exponent(speed, case.at_ft, mean.value, case.hub_ft)
    return mean.value, exponent, LOG_LAW, mean


def reach_check(case: WindCase) -> Check:
    """How far the figure is carried: the hub at most 1.5 times its height, ft.

    IEC 61400-12-1, bankable measurement of wind (read in secondary copies).
    """
    ratio = HUB_OVER.step(h_hub=case.hub_ft, h=case.at_ft)
    most = FARTHEST.step(h=case.at_ft)
    return REACH.compare(
        demand=case.hub_ft,
        capacity=most.value,
        note=f"Mean wind known at {case.at_ft:g} ft, hub {case.hub_ft:g} ft: {ratio.value:.2f} times, "
        "at most 1.5.",
        steps=(ratio, most),
    )


def class_check(mean_mph: float, iec_class: str) -> Check | None:
    """Hub mean in mph against the speed the machine's class is designed for; None for class S or none stated.

    10, 8.5, 7.5, 6 m/s for classes I to IV. IEC 61400-1 (read in secondary copies).
    """
    if iec_class not in CLASS_MEAN_MPS:
        return None
    limit = CLASS_LIMIT.step(v=CLASS_MEAN_MPS[iec_class])
    return TURBINE_CLASS.compare(
        demand=mean_mph,
        capacity=limit.value,
        note=f"Hub mean {mean_mph:.1f} of {limit.value:.1f} mph for class {iec_class}.",
        steps=(limit,),
    )
