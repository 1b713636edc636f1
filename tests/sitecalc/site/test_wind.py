"""Wind at the hub against published tables, published test values and scipy's Weibull."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.site.wind import (
    MPS_PER_MPH,
    WindCase,
    air_density,
    class_check,
    hub_wind,
    kelvin_at,
    log_law,
    power_density,
    power_law,
    reach_check,
    shear_exponent,
    weibull_below,
    weibull_scale,
)

CASE = WindCase(mean_mph=12.4, at_ft=98, hub_ft=114, exponent=0.2, elevation_ft=1450)


# "Wind Energy Engineering", Table 3-3, p. 32: power density in W/m2 at 1.225 kg/m3
@pytest.mark.parametrize(
    ("mean", "k", "published"),
    [
        (5.0, 1.9, 154), (5.0, 2.0, 146), (5.0, 2.1, 140),
        (6.0, 1.9, 267), (6.0, 2.0, 253), (6.0, 2.1, 241),
        (7.0, 1.9, 424), (7.0, 2.0, 401), (7.0, 2.1, 383),
        (7.5, 1.9, 521), (7.5, 2.0, 494), (7.5, 2.1, 471),
    ],
)  # fmt: skip
def test_power_density_table(mean: float, k: float, published: float) -> None:
    assert power_density(weibull_scale(mean, k), k, 1.225) == pytest.approx(published, abs=1.0)


def test_mean_of_a_weibull() -> None:
    """ "Wind Energy Engineering", p. 32: A = 8.85, k = 3 has a mean of 7.9; A = 8, k = 2 one of 7.09."""
    assert weibull_scale(7.9, 3.0) == pytest.approx(8.85, abs=0.01)
    assert weibull_scale(7.09, 2.0) == pytest.approx(8.0, abs=0.005)


@pytest.mark.parametrize("k", [1.3, 1.8, 2.0, 2.6, 3.9])
def test_share_below_a_speed_is_scipys(k: float) -> None:
    from scipy.stats import weibull_min

    for speed in (0.0, 0.4, 5.5, 12.0, 31.0):
        assert weibull_below(speed, 6.0, k) == pytest.approx(weibull_min.cdf(speed, k, scale=6.0), abs=1e-12)
    assert weibull_below(-3.0, 6.0, k) == 0.0


def test_rayleigh_cube() -> None:
    """Textbook: the mean cube of a Rayleigh wind is 6/pi of the cube of its mean."""
    mean = 6.3
    assert power_density(weibull_scale(mean, 2), 2, 1.225) == pytest.approx(
        0.5 * 1.225 * 6 / math.pi * mean**3, rel=1e-12
    )


# pdfcoffee.com, "Air density table": (m, C at that elevation, kg/m3)
@pytest.mark.parametrize(
    ("meters", "celsius", "published"),
    [
        (0, -5, 1.316), (0, 15, 1.225), (0, 30, 1.164), (500, 10, 1.174), (1000, 5, 1.124), (1000, 15, 1.089),
        (1000, 20, 1.073), (1500, 0, 1.075), (1500, 10, 1.043), (2000, -5, 1.026), (2000, 0, 1.012),
        (2000, 5, 0.998), (2000, 10, 0.985),
    ],
)  # fmt: skip
def test_air_density_table(meters: float, celsius: float, published: float) -> None:
    assert air_density(meters, celsius + 273.15) == pytest.approx(published, abs=0.0006)


# US Standard Atmosphere 1976 as in Mechanical Engineers' Handbook, vol. 4, Table 6
@pytest.mark.parametrize(("meters", "published"), [(1000, 1.1117), (2000, 1.0066), (3000, 0.9093)])
def test_standard_atmosphere(meters: float, published: float) -> None:
    assert air_density(meters, kelvin_at(meters, None)) == pytest.approx(published, rel=3e-4)


# repository wind-python/windpowerlib at 191d8ca, tests/test_wind_speed.py: 5 and 6.5 m/s at 10 m -> 100 m
def test_log_law_values_of_windpowerlib() -> None:
    assert log_law(5, 10, 100, 0.15, 0) == pytest.approx(7.74136523, rel=1e-8)
    assert log_law(6.5, 10, 100, 0.15, 0) == pytest.approx(10.0637748, rel=1e-8)
    # its obstacle height of 12 m is a displacement of 0.7 times that
    assert log_law(5, 10, 100, 0.15, 0.7 * 12) == pytest.approx(13.54925281, rel=1e-8)
    assert log_law(6.5, 10, 100, 0.15, 0.7 * 12) == pytest.approx(17.61402865, rel=1e-8)


def test_power_law_values_of_windpowerlib() -> None:
    assert power_law(5, 10, 100, 1 / 7) == pytest.approx(6.9474774, rel=1e-7)
    assert power_law(6.5, 10, 100, 1 / 7) == pytest.approx(9.03172, rel=1e-6)
    assert power_law(5, 10, 100, 0.2) == pytest.approx(7.92446596, rel=1e-8)
    # its exponent from roughness: 1 / ln(hub height / z0)
    assert power_law(5, 10, 100, 1 / math.log(100 / 0.15)) == pytest.approx(7.12462437, rel=1e-8)


def test_two_heights_give_the_exponent_that_joins_them() -> None:
    measured = replace(CASE, law="two heights", exponent=None, second_mph=14.0, second_at_ft=164)
    found = hub_wind(replace(measured, hub_ft=164))
    assert found.mean_mph == pytest.approx(14.0, rel=1e-12)
    assert found.exponent == shear_exponent(12.4, 98, 14.0, 164)


def test_a_measured_mean_beats_an_assumed_roughness() -> None:
    """windpowerlib, example/weather.csv (2010): means 3.737181 at 10 m and 6.375219 m/s at 80 m.

    The log law with the roughness of 0.15 m stated in the file gives 5.59 m/s instead.
    """
    a = shear_exponent(3.737181, 10, 6.375219, 80)
    assert power_law(3.737181, 10, 80, a) == pytest.approx(6.375219, rel=1e-9)
    assert log_law(3.737181, 10, 80, 0.15, 0) == pytest.approx(5.59, abs=0.01)


def test_rayleigh_wind_carried_up() -> None:
    """6 m/s at 10 m, exponent 1/7, at 50 m: 504 W/m2 (textbook answer, from memory)."""
    case = WindCase(
        mean_mph=6 / MPS_PER_MPH, at_ft=10 / 0.3048, hub_ft=50 / 0.3048, exponent=1 / 7, elevation_ft=0
    )
    assert hub_wind(case).power_density_w_m2 == pytest.approx(504, abs=1.0)


def test_thin_air_has_less_in_it() -> None:
    """engineeringtoolbox.com, density of air by altitude: 83.6 % of sea level at 6,000 ft."""
    low, high = hub_wind(replace(CASE, elevation_ft=0)), hub_wind(replace(CASE, elevation_ft=6000))
    assert high.density_kg_m3 / low.density_kg_m3 == pytest.approx(0.836, abs=0.001)
    assert high.power_density_w_m2 / low.power_density_w_m2 == pytest.approx(0.836, abs=0.001)
    assert high.mean_mph == low.mean_mph


@pytest.mark.parametrize(
    ("case", "field"),
    [
        (replace(CASE, exponent=None), "exponent"),
        (replace(CASE, law="log law"), "roughness_ft"),
        (replace(CASE, law="log law", roughness_ft=1.0, displacement_ft=97), "roughness_ft"),
        (replace(CASE, law="two heights"), "second_mph"),
        (replace(CASE, law="two heights", second_mph=13), "second_at_ft"),
        (replace(CASE, law="two heights", second_mph=13, second_at_ft=100), "second_at_ft"),
        (replace(CASE, law="two heights", second_mph=11, second_at_ft=164), "second_mph"),
        (replace(CASE, mean_mph=math.nan), "mean_mph"),
        (replace(CASE, mean_mph=60), "mean_mph"),
        (replace(CASE, weibull_k=0.5), "weibull_k"),
        (replace(CASE, hub_ft=math.inf), "hub_ft"),
    ],
)
def test_what_is_missing_or_wild_is_named(case: WindCase, field: str) -> None:
    with pytest.raises(InputError) as caught:
        hub_wind(case)
    assert caught.value.field == field


def test_a_figure_from_far_below_the_hub_does_not_pass() -> None:
    """At least two thirds of hub height: Resource Global Network 4.5, p. 65, of IEC 61400-12-1."""
    assert reach_check(replace(CASE, at_ft=76, hub_ft=114)).passes
    assert reach_check(replace(CASE, at_ft=75, hub_ft=114)).verdict is Verdict.FAILS
    assert reach_check(replace(CASE, at_ft=33, hub_ft=114)).verdict is Verdict.FAILS


def test_class_of_the_machine() -> None:
    """Classes I to IV: 10, 8.5, 7.5, 6 m/s, i-windenergy.com, Popularity of class III wind turbines, of IEC
    61400-1; that part 2 has them too is from memory."""
    mean = 6.5 / MPS_PER_MPH
    assert [c.passes if (c := class_check(mean, name)) else None for name in ("II", "III", "IV", "S")] == [
        True, True, False, None,
    ]  # fmt: skip
