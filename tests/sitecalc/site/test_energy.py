"""A year's energy against an independent integration of the same wind and curve."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.inputs import InputError
from sitecalc.site.curve import CurvePoint, betz_kw, curve_faults, power_kw
from sitecalc.site.energy import (
    HOURS_PER_YEAR,
    EnergyCase,
    Losses,
    annual_energy,
    capacity_factor,
    energy_bins,
    loss_factor,
    site_power_kw,
)
from sitecalc.site.wind import MPS_PER_MPH, WindCase, weibull_scale

# an invented 20 kW curve, by the m/s: 3 to 21
KW = (
    0.2,
    1.2,
    3.4,
    6.3,
    10.0,
    13.8,
    16.4,
    18.5,
    20.0,
    21.0,
    21.0,
    20.5,
    20.0,
    19.5,
    19.0,
    19.0,
    19.0,
    19.0,
    0.0,
)
CURVE = tuple(CurvePoint(v / MPS_PER_MPH, kw) for v, kw in enumerate(KW, start=3))
DIAMETER_FT = 41.0


def wind(mean_mps: float, k: float = 2.0, elevation_ft: float = 0.0) -> WindCase:
    return WindCase(
        mean_mph=mean_mps / MPS_PER_MPH,
        at_ft=110,
        hub_ft=110,
        exponent=0.2,
        weibull_k=k,
        elevation_ft=elevation_ft,
    )


NO_LOSS = Losses(downtime_pct=0, electrical_pct=0, turbulence_pct=0, icing_pct=0)
CASE = EnergyCase(wind=wind(5.0), curve=CURVE, rated_kw=20, diameter_ft=DIAMETER_FT, losses=NO_LOSS)


def integrated(mean_mps: float, k: float, factor: float = 1.0, stretch: float = 1.0) -> float:
    """kWh a year by adaptive quadrature of numpy's interpolation and scipy's Weibull."""
    from scipy.integrate import quad
    from scipy.stats import weibull_min

    scale = mean_mps / math.gamma(1 + 1 / k)
    speeds = np.array([p.speed_mph * MPS_PER_MPH for p in CURVE])
    powers = np.array([p.power_kw for p in CURVE])

    def gives(v: float) -> float:
        power = np.interp(v * stretch, speeds, powers, left=0, right=0)
        return float(power * factor * weibull_min.pdf(v, k, scale=scale))

    value, _error = quad(gives, 0, 22, points=list(speeds / stretch), limit=400)
    return HOURS_PER_YEAR * value


@pytest.mark.parametrize("k", [1.8, 2.0, 2.5])
@pytest.mark.parametrize("mean", [4.0, 5.0, 7.0, 10.0])
def test_bins_agree_with_the_integral(mean: float, k: float) -> None:
    """Within 1 %: the standard's sum has a half bin of ramp before cut-in, which counts at low means."""
    found = annual_energy(replace(CASE, wind=wind(mean, k), density_rule="curve is for this density"))
    assert found.gross_kwh == pytest.approx(integrated(mean, k), rel=0.01)


def test_power_at_the_mean_speed_is_not_the_energy() -> None:
    """The classic mistake: P(mean) for 8,760 h misses a third at 5 m/s."""
    found = annual_energy(CASE)
    assert power_kw(CURVE, 5.0 / MPS_PER_MPH) * HOURS_PER_YEAR < 0.75 * found.gross_kwh


def test_one_density_correction_each_its_own_way() -> None:
    thin = wind(6.0, elevation_ft=5000)
    by_power = annual_energy(replace(CASE, wind=thin, density_rule="power"))
    by_speed = annual_energy(replace(CASE, wind=thin, density_rule="speed"))
    none = annual_energy(replace(CASE, wind=thin, density_rule="curve is for this density"))
    ratio = by_power.wind.density_kg_m3 / 1.225
    assert by_power.gross_kwh == pytest.approx(ratio * none.gross_kwh, rel=1e-12)
    assert by_speed.gross_kwh == pytest.approx(integrated(6.0, 2.0, stretch=ratio ** (1 / 3)), rel=0.006)
    assert by_power.gross_kwh < by_speed.gross_kwh < none.gross_kwh


def test_density_by_speed_is_windpowerlibs_below_7_5_mps() -> None:
    """Repository wind-python/windpowerlib at 191d8ca, tests/test_power_output.py: 461.00290572 at 5.5 m/s."""
    curve = tuple(CurvePoint(v / MPS_PER_MPH, kw) for v, kw in ((4, 300), (5, 400), (6, 500)))
    assert site_power_kw(curve, 5.5 / MPS_PER_MPH, 1.3, "speed") == pytest.approx(461.00290572, rel=1e-9)


def test_bins_hold_the_whole_year_below_the_last_speed() -> None:
    from scipy.stats import weibull_min

    bins = energy_bins(CURVE, weibull_scale(5 / MPS_PER_MPH, 2), 2, 1.225, "power")
    share = weibull_min.cdf(bins[-1].speed_mph, 2, scale=weibull_scale(5 / MPS_PER_MPH, 2))
    assert sum(b.hours for b in bins) == pytest.approx(8760 * share, rel=1e-12)
    assert bins[-1].speed_mph >= CURVE[-1].speed_mph


def test_losses_multiply() -> None:
    """0.97 x 0.94 x 0.92 x 0.98 = 0.822, and not 1 - 0.03 - 0.06 - 0.08 - 0.02 = 0.81. Arithmetic."""
    losses = Losses(downtime_pct=3, electrical_pct=6, turbulence_pct=8, icing_pct=2)
    assert loss_factor(losses) == pytest.approx(0.8221, abs=5e-5)
    found = annual_energy(replace(CASE, losses=losses))
    assert found.net_kwh == pytest.approx(0.8221 * found.gross_kwh, rel=1e-4)


@pytest.mark.parametrize("days", [30, 31])
def test_capacity_factor_of_a_best_month(days: int) -> None:
    """2,700 kWh in a best month from a 17.5 kW machine is 0.21: common practice, no source."""
    assert round(capacity_factor(2700, 17.5, 24 * days), 2) == 0.21


def test_the_band_is_that_of_the_measured_machines() -> None:
    """Sheridan et al. 2022, Wind Energy Science 7, 659: tools ran 2.5 to 11.5 points too high."""
    found = annual_energy(replace(CASE, wind=wind(6.5)))
    assert found.capacity_factor - found.high_kwh / (20 * 8760) == pytest.approx(0.025)
    assert found.capacity_factor - found.low_kwh / (20 * 8760) == pytest.approx(0.115)
    poor = annual_energy(replace(CASE, wind=wind(2.5)))
    assert poor.low_kwh == 0.0


def test_months_add_up_to_the_year_and_follow_the_wind() -> None:
    means = tuple(11.2 + 1.8 * math.cos(2 * math.pi * i / 12) for i in range(12))
    found = annual_energy(replace(CASE, monthly_mph=means, losses=Losses()))
    assert sum(found.monthly_kwh) == pytest.approx(found.net_kwh, rel=1e-12)
    assert max(range(12), key=lambda m: found.monthly_kwh[m]) == 0
    assert min(range(12), key=lambda m: found.monthly_kwh[m]) == 6


def test_months_without_wind_for_the_year_are_refused() -> None:
    with pytest.raises(InputError, match="average"):
        annual_energy(replace(CASE, monthly_mph=(14.0,) * 12))
    with pytest.raises(InputError, match="twelve"):
        annual_energy(replace(CASE, monthly_mph=(11.0,) * 11))


def test_a_curve_in_watts_is_refused_at_its_row() -> None:
    in_watts = tuple(CurvePoint(p.speed_mph, min(p.power_kw * 1000, 500)) for p in CURVE)
    with pytest.raises(InputError, match="more than any rotor") as caught:
        annual_energy(replace(CASE, curve=in_watts))
    assert caught.value.field == "curve[0].power_kw"


def test_betz_is_three_fifths_of_the_wind() -> None:
    """Textbook: 16/27 of half rho A v^3; a 12.4 m rotor at 6 m/s, 1.225 kg/m3 holds 15.98 kW of wind."""
    wind_kw = 0.5 * 1.225 * math.pi / 4 * 12.4**2 * 6**3 / 1000
    assert betz_kw(6 / MPS_PER_MPH, 12.4 / 0.3048) == pytest.approx(0.59259 * wind_kw, rel=1e-4)


@pytest.mark.parametrize(
    ("rows", "column", "row"),
    [
        (((7, 0), (9, 1), (9, 2)), "speed_mph", 2),
        (((7, 0), (9, 1), (8, 2)), "speed_mph", 2),
        (((7, 0), (9, math.nan), (11, 2)), "power_kw", 1),
        (((7, 0), (9, -0.1), (11, 2)), "power_kw", 1),
        (((math.inf, 0), (9, 1), (11, 2)), "speed_mph", 0),
        (((5, 0.2), (9, 1), (11, 2)), "power_kw", 0),  # power below the cut-in of 6 mph
        (((7, 0), (9, 0), (11, 0)), "power_kw", 0),
        (((7, 1), (9, 0), (11, 2)), "power_kw", 1),
        (((7, 1), (9, 2)), "speed_mph", 0),
    ],
)
def test_faults_of_a_curve_are_named_by_row(
    rows: tuple[tuple[float, float], ...], column: str, row: int
) -> None:
    faults = curve_faults(tuple(CurvePoint(*r) for r in rows), cut_in_mph=6)
    assert (row, column) in [(r, c) for r, c, _words in faults]


def test_nothing_below_the_first_row_or_above_the_last() -> None:
    assert power_kw(CURVE, CURVE[0].speed_mph - 0.01) == 0
    assert power_kw(CURVE[:5], CURVE[4].speed_mph) == CURVE[4].power_kw
    assert power_kw(CURVE[:5], CURVE[4].speed_mph + 0.01) == 0


@settings(deadline=None)
@given(mean=st.floats(2.5, 10), k=st.floats(1.3, 3.9), elevation=st.floats(-200, 11_000))
def test_never_more_than_the_rotor_may_take_nor_than_its_greatest_power(
    mean: float, k: float, elevation: float
) -> None:
    found = annual_energy(replace(CASE, wind=wind(mean, k, elevation), losses=Losses()))
    assert 0 <= found.low_kwh <= found.high_kwh <= found.net_kwh <= found.gross_kwh
    assert found.gross_kwh <= 21.0 * HOURS_PER_YEAR * max(1.0, found.wind.density_kg_m3 / 1.225)
    assert 0 < found.rotor_share < 16 / 27
