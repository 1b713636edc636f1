"""Wind: the crane makers' own fixtures."""

import math
from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.lift.wind import (
    CHART_AREA_FT2_PER_LB,
    WindCase,
    drift_ft,
    gust_at_height_mph,
    gust_limit_mph,
    limit_in_words,
    wind_force_lb,
    wind_on_load,
)

MPH = 0.44704  # m/s
FT2 = 0.3048**2  # m2
LB = 0.45359237e-3  # tonnes


def limit_in_metric(v_chart: float, tonnes: float, area_m2: float) -> float:
    return gust_limit_mph(v_chart / MPH, tonnes / LB, area_m2 / FT2) * MPH


def test_limit_is_never_above_the_charts() -> None:
    """Training text, example: 9 m/s, 85 t, 1.2 x 50 m2: 11.73 m/s works out, 9 m/s holds."""
    assert 9 * math.sqrt(1.2 * 85 / 60) == pytest.approx(11.73, abs=0.01)
    assert limit_in_metric(9, 85, 60) == pytest.approx(9)


def test_large_light_load_brings_the_limit_down() -> None:
    """Training text, example: 11.1 m/s, 65 t, 1.4 x 200 m2: 5.86 m/s."""
    assert limit_in_metric(11.1, 65, 280) == pytest.approx(5.86, abs=0.005)


@pytest.mark.parametrize(("chart_kmh", "printed_kmh"), [(36, 18), (50, 25)])
def test_loader_crane_cylinder(chart_kmh: float, printed_kmh: float) -> None:
    """Loader crane manual: 2 t, 3 x 3 m cylinder with factor 1.0: the factor 0.516 is printed as 0.5."""
    assert limit_in_metric(chart_kmh / 3.6, 2, 9) * 3.6 == pytest.approx(printed_kmh, rel=0.04)


def test_area_a_chart_allows_for() -> None:
    """Rough-terrain crane manual, fig. 2-1: 1.2 m2/t = 0.0059 ft2/lb."""
    assert pytest.approx(0.0059, abs=5e-5) == CHART_AREA_FT2_PER_LB


def test_gust_at_the_boom_tip_from_a_forecast() -> None:
    """Rough-terrain crane manual, fig. 2-1: V(z) = ((z / 10 m)^0.14 + 0.4) v10; at 10 m that is 1.4 times
    the mean.
    """
    assert gust_at_height_mph(10, 10 / 0.3048) == pytest.approx(14)
    assert gust_at_height_mph(10, 110) > gust_at_height_mph(10, 50)


def case(**changes: float) -> WindCase:
    given = {
        "chart_gust_mph": 30,
        "hook_lb": 8_000,
        "sail_ft2": 75,
        "drag": 2.0,
        "tip_ft": 120,
        "rope_ft": 60,
    }
    return WindCase(**{**given, **changes})


def test_a_light_lattice_tower_is_a_sail() -> None:
    """The same ratio by hand: 150 ft2 on 8,000 lb is over three times what the chart allows for."""
    result = wind_on_load(case())
    assert result.limit_gust_mph == pytest.approx(30 * math.sqrt(0.005859 * 8_000 / 150), rel=1e-3)
    # the limit itself goes on to the forecast: rounded first, the mean would come out 6 % low
    assert result.stop_gust_mph == result.limit_gust_mph
    assert gust_at_height_mph(result.forecast_mph, 120) == pytest.approx(result.limit_gust_mph)
    assert result.checks[0].passes


def test_the_forecast_that_brings_the_gust() -> None:
    result = wind_on_load(case())
    assert gust_at_height_mph(result.forecast_mph, 120) == pytest.approx(result.stop_gust_mph)
    assert result.forecast_mph < result.stop_gust_mph


@pytest.mark.parametrize(
    ("value", "decimals", "said"), [(11.96, 0, "11"), (11.96, 1, "11.9"), (9.0, 0, "9"), (5.449999, 1, "5.4")]
)
def test_a_limit_is_printed_on_the_safe_side(value: float, decimals: int, said: str) -> None:
    assert limit_in_words(value, decimals) == said


def test_stopping_too_late_fails() -> None:
    assert wind_on_load(case(stop_gust_mph=25)).checks[0].verdict is Verdict.FAILS
    assert wind_on_load(case(stop_gust_mph=15)).checks[0].passes


@pytest.mark.parametrize(("mph", "psf"), [(10, 0.256), (20, 1.024), (30, 2.304), (40, 4.096)])
def test_wind_pressure(mph: float, psf: float) -> None:
    """ASCE 7, q = 0.00256 V^2 (from memory)."""
    assert wind_force_lb(mph, 1) == pytest.approx(psf)


def test_drift_is_the_rope_leaning_over() -> None:
    """A force as large as the weight leans the rope 45 degrees."""
    assert drift_ft(500, 500, 60) == pytest.approx(60)
    lean = math.radians(wind_on_load(case()).drift_ft / 60)
    assert 0 < lean < 0.1


def test_load_no_day_is_still_enough_for() -> None:
    with pytest.raises(InputError, match="sail_ft2"):
        wind_on_load(case(hook_lb=100, sail_ft2=5_000))


def test_compact_load_keeps_the_charts_gust() -> None:
    assert wind_on_load(replace(case(), sail_ft2=0)).limit_gust_mph == 30
