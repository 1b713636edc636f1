from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.inputs import InputError
from sitecalc.pour.curing import worth_of
from sitecalc.pour.forecast import (
    Expected,
    ForecastCase,
    age_reached_on,
    expected_mean,
    forecast_curing,
    normal_on,
)
from sitecalc.pour.maturity import MixMaturity

# a place on the northern plains, invented
NORMALS = (12.0, 17.0, 29.0, 43.0, 56.0, 66.0, 71.0, 69.0, 59.0, 45.0, 29.0, 16.0)
MIX = MixMaturity(datum_f=32, q_k=5000, reference_f=68)


def forecast(through: date, counted: float = 0, required: float = 28, **kept):
    return forecast_curing(ForecastCase(Expected(NORMALS, **kept), through, counted, required))


def test_in_a_warm_month_the_days_are_days():
    found = forecast(date(2031, 7, 1))
    assert found.reached_on == date(2031, 7, 29)
    assert found.opens_on == date(2031, 7, 30)
    assert found.label.startswith("forecast")


def test_days_already_counted_shorten_it():
    assert forecast(date(2031, 7, 1), counted=25.5).reached_on == date(2031, 7, 4)
    assert forecast(date(2031, 7, 1), counted=28).reached_on == date(2031, 7, 1)


def test_a_winter_pour_waits_for_spring():
    found = forecast(date(2031, 12, 1))
    assert found.reached_on is not None
    assert found.reached_on > date(2032, 4, 1)
    assert all(d.worth == 0 for d in found.days if d.day < date(2032, 3, 1))


def test_held_warm_a_winter_pour_counts_full_days():
    found = forecast(date(2031, 12, 1), held_f=50.0, held_through=date(2032, 1, 31))
    assert found.reached_on == date(2031, 12, 29)


def test_where_it_never_warms_there_is_no_date():
    case = ForecastCase(Expected((20.0,) * 12), date(2031, 1, 1), 0)
    assert forecast_curing(case).reached_on is None


@pytest.mark.parametrize(
    ("day", "f"),
    [(date(2031, 4, 15), 43), (date(2031, 12, 15), 16), (date(2032, 1, 15), 12), (date(2032, 1, 1), 13.81)],
)
def test_a_normal_stands_for_the_middle_of_its_month(day, f):
    # Dec 15 to Jan 15 is 31 days; Jan 1 is 17 days on: 16 - 4 x 17/31 = 13.81
    assert normal_on(NORMALS, day) == pytest.approx(f, abs=0.01)


@given(st.dates(date(2030, 1, 1), date(2034, 12, 31)))
def test_expected_temperatures_run_without_a_jump(day):
    step = abs(normal_on(NORMALS, day + timedelta(days=1)) - normal_on(NORMALS, day))
    assert step <= 16 / 28
    assert min(NORMALS) <= normal_on(NORMALS, day) <= max(NORMALS)


@given(st.dates(date(2031, 1, 1), date(2031, 12, 31)), st.floats(0, 27))
def test_the_days_of_the_forecast_add_up_to_what_is_missing(through, counted):
    found = forecast(through, counted)
    total = counted + sum(worth_of(expected_mean(Expected(NORMALS), d.day)) for d in found.days)
    assert total >= 28 - 1e-9
    assert total - found.days[-1].worth < 28


def test_the_age_by_normals_at_the_reference_temperature_is_the_calendar():
    expected = Expected((68.0,) * 12)
    assert age_reached_on(expected, MIX, date(2031, 6, 1), 1.0, 7.0) == date(2031, 6, 7)
    assert age_reached_on(Expected((20.0,) * 12), MIX, date(2031, 6, 1), 1.0, 7.0) is None


def test_eleven_normals_are_refused():
    with pytest.raises(InputError, match="twelve months"):
        forecast_curing(ForecastCase(Expected(NORMALS[:11]), date(2031, 1, 1), 0))
