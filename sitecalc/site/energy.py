"""Energy of a year: power curve and Weibull wind, one density correction, losses multiplied.

An estimate for the owner, not a promise: tools of this kind ran 2.5 to 11.5 points of capacity factor above
what small turbines delivered (Sheridan et al. 2022), so the result carries that band.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import ranged_as, same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.site.curve import AREA, BETZ, Curve, CurvePoint, power_kw, require_curve
from sitecalc.site.figures import MonthsRow, SiteFigures
from sitecalc.site.wind import (
    MPS_PER_MPH,
    STANDARD_DENSITY,
    HubWind,
    WindCase,
    at_hub,
    hub_wind,
    reach_check,
    weibull_below,
    weibull_scale,
)

DensityRule = Literal["power", "speed", "curve is for this density"]

IEC_SUM = "IEC 61400-12-1, annual energy production by the method of bins (clause not verified)"
SHERIDAN = "Sheridan et al. 2022, Wind Energy Science 7, 659: 2.5 to 11.5 points of capacity factor too high"
BETZ_LIMIT = "Betz limit 16/27, textbook"

ROTOR_SHARE = Rule("rotor-share", "Mean power coefficient", "", BETZ_LIMIT, Known.READ)

KEPT = Formula(
    "n",
    "left after losses",
    "(1-l1/100)*(1-l2/100)*(1-l3/100)*(1-l4/100)*(1-l5/100)",
    "",
)
NET = Formula("E", "net energy of a year", "n*E_gross", "kWh")
CAPACITY = Formula("CF", "capacity factor", "E/(P_rated*h)", "")
OFFERED = Formula("Eo", "energy of the wind through the rotor", "Pd*A*8760/1000", "kWh")
TAKEN = Formula("s", "share of the wind's energy, before losses", "E_gross/Eo", "")
STRETCH = Formula("r", "speed of the same power, by density", "cbrt(rho/1.225)", "")

OVER_LOW, OVER_HIGH = 0.025, 0.115
HOURS_PER_YEAR = 8760.0
MONTH_HOURS = tuple(24.0 * days for days in (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))
BIN_MPH = 0.5 / MPS_PER_MPH  # the standard's bins of 0.5 m/s


@dataclass(frozen=True, kw_only=True)
class Losses:
    """Each in percent of what is left by those before it. Ranges and starting values are common practice."""

    downtime_pct: float = same_as(SiteFigures, "downtime_pct")
    electrical_pct: float = same_as(SiteFigures, "electrical_pct")
    turbulence_pct: float = same_as(SiteFigures, "turbulence_pct")
    icing_pct: float = same_as(SiteFigures, "icing_pct")
    other_pct: float = same_as(SiteFigures, "other_pct")


@dataclass(frozen=True, kw_only=True)
class EnergyCase:
    """Wind, machine, losses. ``density_rule`` says the one correction that is made.

    power
        P = P_curve rho / 1.225: stall, furling and fixed-pitch machines.
    speed
        P = P_curve at v (rho / 1.225)^(1/3): machines that hold their rated power by control.
    """

    wind: WindCase = quantity("", "wind at the site")
    curve: tuple[CurvePoint, ...] = quantity("", "power curve at 1.225 kg/m3 unless the rule says otherwise")
    rated_kw: float = quantity("kW", "rated power, for the capacity factor", low=0.2, high=500)
    diameter_ft: float = quantity("ft", "rotor diameter", low=3, high=100)
    density_rule: DensityRule = quantity("", "the one density correction", default="power")
    losses: Losses = quantity("", "losses", default=Losses())
    monthly_mph: tuple[float, ...] = ranged_as(
        MonthsRow,
        "jan",
        "twelve monthly means at the same height, January first",
        default=(),
        shown_at="monthly",
    )


@dataclass(frozen=True, kw_only=True)
class Bin:
    """One bin of 0.5 m/s by its upper speed, before losses."""

    speed_mph: float
    hours: float
    power_kw: float
    energy_kwh: float


@dataclass(frozen=True, kw_only=True)
class Energy:
    """``low_kwh`` to ``high_kwh`` is the net figure less 11.5 and 2.5 points of capacity factor."""

    wind: HubWind
    gross_kwh: float
    kept: float
    net_kwh: float
    capacity_factor: float
    low_kwh: float
    high_kwh: float
    monthly_kwh: tuple[float, ...]
    rotor_share: float
    bins: tuple[Bin, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def capacity_factor(energy_kwh: float, rated_kw: float, hours: float = HOURS_PER_YEAR) -> float:
    """Capacity factor (no unit) from energy in kWh, rated power in kW and the hours.

    E / (P_rated h). Textbook.
    """
    return CAPACITY.value(E=energy_kwh, P_rated=rated_kw, h=hours)


def loss_factor(losses: Losses) -> float:
    """What is left (no unit) of the losses in percent: (1 - l1) (1 - l2) ..., they are not added.

    Common practice, no source.
    """
    return _kept(losses).value


def _kept(losses: Losses) -> Step:
    percents = (getattr(losses, f.name) for f in dataclasses.fields(losses))
    return KEPT.step(**{f"l{n}": percent for n, percent in enumerate(percents, start=1)})


def site_power_kw(curve: Curve, speed_mph: float, density: float, rule: DensityRule) -> float:
    """Power in kW at a speed in mph and the site's density in kg/m3, by one correction.

    P rho / 1.225, or P at v (rho / 1.225)^(1/3): in prediction, the reciprocal of a test's. IEC 61400-12-1
    (from memory).
    """
    if rule == "power":
        return power_kw(curve, speed_mph) * density / STANDARD_DENSITY
    if rule == "speed":
        return power_kw(curve, speed_mph * STRETCH.value(rho=density))
    return power_kw(curve, speed_mph)


def energy_bins(
    curve: Curve,
    scale_mph: float,
    k: float,
    density: float,
    rule: DensityRule,
    hours: float = HOURS_PER_YEAR,
) -> tuple[Bin, ...]:
    """Energy in kWh of bins of 0.5 m/s, from the Weibull scale in mph, shape, density in kg/m3 and hours.

    E = N sum (F(v_i) - F(v_i-1)) (P_i-1 + P_i) / 2, to the last row of the curve. IEC 61400-12-1 (from
    memory).
    """
    stretch = math.cbrt(STANDARD_DENSITY / density) if rule == "speed" else 1.0
    last = math.ceil(curve[-1].speed_mph * stretch / BIN_MPH - 1e-9)
    bins, below, power_before = [], 0.0, 0.0
    for i in range(1, last + 1):
        speed = i * BIN_MPH
        share = weibull_below(speed, scale_mph, k)
        power = site_power_kw(curve, speed, density, rule)
        spent = hours * (share - below)
        bins.append(
            Bin(speed_mph=speed, hours=spent, power_kw=power, energy_kwh=spent * (power_before + power) / 2)
        )
        below, power_before = share, power
    return tuple(bins)


def annual_energy(case: EnergyCase) -> Energy:
    """Gross and net energy of a year in kWh, capacity factor, band, months and what each bin gives.

    E = n sum over bins. An estimate: tools of this kind ran 2.5 to 11.5 points of capacity factor too high
    (Sheridan et al. 2022). IEC 61400-12-1 (from memory). InputError for bad figures.
    """
    require_valid(case)
    require_curve(case.curve, diameter_ft=case.diameter_ft)
    try:
        wind = hub_wind(case.wind)
    except InputError as error:
        raise InputError(f"wind.{error.field}", error.message) from None
    bins = energy_bins(
        case.curve, wind.weibull_scale_mph, wind.weibull_k, wind.density_kg_m3, case.density_rule
    )
    gross = sum(b.energy_kwh for b in bins)
    kept = _kept(case.losses)
    net = NET.step(n=kept.value, E_gross=gross)
    whole = case.rated_kw * HOURS_PER_YEAR
    factor = CAPACITY.step(E=net.value, P_rated=case.rated_kw, h=HOURS_PER_YEAR)
    steps = (*wind.steps, _gross(case, gross), kept, net, factor)
    rotor = _rotor_steps(case, wind, gross)
    return Energy(
        wind=wind,
        gross_kwh=gross,
        kept=kept.value,
        net_kwh=net.value,
        capacity_factor=factor.value,
        low_kwh=max(0.0, net.value - OVER_HIGH * whole),
        high_kwh=max(0.0, net.value - OVER_LOW * whole),
        monthly_kwh=_months(case, wind, net.value),
        rotor_share=rotor[-1].value,
        bins=bins,
        checks=(reach_check(case.wind), _rotor_check((*steps, *rotor))),
        steps=steps,
    )


def _months(case: EnergyCase, wind: HubWind, net: float) -> tuple[float, ...]:
    """The year's net energy split as the months' own winds would give it; empty without monthly means."""
    if not case.monthly_mph:
        return ()
    if len(case.monthly_mph) != 12:
        raise InputError("monthly_mph", f"has {len(case.monthly_mph)} months; twelve are needed.")
    mean = sum(v * h for v, h in zip(case.monthly_mph, MONTH_HOURS, strict=True)) / HOURS_PER_YEAR
    if abs(mean / case.wind.mean_mph - 1) > 0.05:
        raise InputError(
            "monthly_mph", f"average {mean:.1f} mph, but the year's mean is {case.wind.mean_mph:g} mph."
        )
    shares = []
    for speed, hours in zip(case.monthly_mph, MONTH_HOURS, strict=True):
        scale = weibull_scale(at_hub(case.wind, speed), wind.weibull_k)
        month = energy_bins(case.curve, scale, wind.weibull_k, wind.density_kg_m3, case.density_rule, hours)
        shares.append(sum(b.energy_kwh for b in month))
    whole = sum(shares)
    return tuple(net * share / whole for share in shares) if whole > 0 else (0.0,) * 12


def _rotor_steps(case: EnergyCase, wind: HubWind, gross: float) -> tuple[Step, ...]:
    area = AREA.step(D=case.diameter_ft)
    offered = OFFERED.step(Pd=wind.power_density_w_m2, A=area.value)
    return area, offered, TAKEN.step(E_gross=gross, Eo=offered.value)


def _rotor_check(steps: tuple[Step, ...]) -> Check:
    """The rotor cannot take more of the year's wind than Betz allows: finds a curve in the wrong unit.

    It carries the whole of the year's arithmetic, so that the calculation appendix prints it.
    """
    share = steps[-1].value
    return ROTOR_SHARE.compare(
        demand=share,
        capacity=BETZ,
        note=f"Takes {100 * share:.0f} % of the wind through it over the year, at most {100 * BETZ:.0f} %.",
        steps=steps,
    )


def _gross(case: EnergyCase, gross: float) -> Step:
    corrected = {
        "power": "power times rho / 1.225",
        "speed": "speed times (rho / 1.225)^(1/3)",
        "curve is for this density": "no density correction, the curve is for this density",
    }[case.density_rule]
    return looked_up(
        "E_gross",
        f"energy of a year before losses, {corrected}",
        "8760 sum (F(v_i) - F(v_i-1)) (P_i-1 + P_i) / 2",
        f"{len(case.curve)} rows of the curve, bins of 0.5 m/s",
        gross,
        "kWh",
    )
