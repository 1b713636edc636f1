from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.inputs import InputError
from sitecalc.pour.maturity import (
    MaturityCase,
    MixMaturity,
    Stretch,
    age_rate,
    governing_age,
    maturity,
    maturity_of,
)
from sitecalc.pour.readings import AirReading, ConcreteReading, Trace, traces_of

START = datetime(2031, 4, 24, 16, tzinfo=UTC)
CHICAGO = ZoneInfo("America/Chicago")


def f(celsius: float) -> float:
    return celsius * 9 / 5 + 32


def mix(datum_c: float = 0, q_k: float = 5000, reference_c: float = 20) -> MixMaturity:
    return MixMaturity(datum_f=f(datum_c), q_k=q_k, reference_f=f(reference_c))


def of(*stretches: tuple[float, float], **constants: float):
    """Maturity of (hours, mean C) stretches."""
    return maturity(MaturityCase(mix(**constants), tuple(Stretch(h, f(c)) for h, c in stretches)))


def test_worked_example_540_degree_hours():
    """Public worked example of the Nurse-Saul method: 12 h at 20 C and 12 h at 25 C, T0 = 0: 240 + 300."""
    assert of((12, 20), (12, 25)).factor_c_h == pytest.approx(540)


@pytest.mark.parametrize(
    ("celsius", "days_at_20"),
    [(5, 0.477835), (10, 0.616143), (20, 0.998125), (30, 1.566243), (40, 2.387979)],
)
def test_equivalent_age_of_a_day_agrees_with_the_european_code(celsius, days_at_20):
    """EN 1992-1-1:2004 eq. B.10 as computed by structuralcodes 0.7.2, ec2_2004.t_T.

    The code writes exp(13.65 - 4000/(273 + T)): Q = 4000 K, rounded so that 20 C gives 0.998.
    """
    assert of((24, celsius), q_k=4000).equivalent_age_days == pytest.approx(days_at_20, rel=0.004)


def test_a_cooling_log_agrees_with_the_european_code():
    """structuralcodes 0.7.2, ec2_2004.t_T([15, 22, 18, 10, 6], [.5, .5, 1, 1, 4] days) = 107.486 h."""
    log = ((12, 15), (12, 22), (24, 18), (24, 10), (96, 6))
    assert of(*log, q_k=4000).equivalent_age_h == pytest.approx(107.486, rel=0.004)


def test_nurse_saul_of_that_log_by_hand():
    # 12 x 15 + 12 x 22 + 24 x 18 + 24 x 10 + 96 x 6 = 1692; with T0 = -10 C 10 more over 168 h = 3372
    log = ((12, 15), (12, 22), (24, 18), (24, 10), (96, 6))
    assert of(*log).factor_c_h == pytest.approx(1692)
    assert of(*log, datum_c=-10).factor_c_h == pytest.approx(3372)


@pytest.mark.parametrize(("fahrenheit", "of_seven", "of_28"), [(50, 12.8, 51.1), (40, 18.2, 72.8)])
def test_regression_days_in_the_cold_worth_days_at_20_c(fahrenheit, of_seven, of_28):
    """Worked out from the formula itself, Q = 5000 K: no outside source."""
    rate = age_rate(fahrenheit, mix())
    assert 7 / rate == pytest.approx(of_seven, abs=0.05)
    assert 28 / rate == pytest.approx(of_28, abs=0.15)


def test_nothing_is_gained_below_the_datum_and_never_lost():
    assert of((10, 20), (100, -15)).factor_c_h == pytest.approx(200)
    assert of((10, 20), (100, -15), datum_c=-10).factor_c_h == pytest.approx(300)


def test_equivalent_age_gains_nothing_when_frozen():
    assert age_rate(32, mix()) == 0
    assert age_rate(23, mix()) == 0
    assert age_rate(32.1, mix()) > 0


def test_a_lower_datum_is_unconservative_in_the_cold():
    """At 5 C a day counts a quarter of a day at 20 C with T0 = 0 C, half with T0 = -10 C."""
    for datum, share in ((0, 0.25), (-10, 0.5)):
        ratio = of((24, 5), datum_c=datum).factor_c_h / of((24, 20), datum_c=datum).factor_c_h
        assert ratio == pytest.approx(share)


def test_air_is_refused():
    with pytest.raises(TypeError, match="concrete temperatures only"):
        maturity_of(trace((0, 60), (1, 60), kind=AirReading), mix(), 12)


def trace(*hours_f: tuple[float, float], sensor: str = "edge", kind=ConcreteReading) -> Trace:
    rows = [kind(sensor, START + timedelta(hours=h), t) for h, t in hours_f]
    return traces_of(rows, CHICAGO)[0][sensor]


def test_a_silent_stretch_gains_nothing():
    found = maturity_of(trace((0, 68), (1, 68), (20, 68), (21, 68)), mix(), 12)
    assert found.covered_h == pytest.approx(2)
    assert found.equivalent_age_h == pytest.approx(2)


def test_a_long_interval_hides_no_freezing():
    # from 50 F to 14 F in 12 h: above 32 F only the first half, mean 41 F: 6 h x 5 C
    found = maturity_of(trace((0, 50), (12, 14)), mix(), 12)
    assert found.factor_c_h == pytest.approx(6 * 5, rel=0.01)


def test_the_least_mature_sensor_governs_and_its_silence_makes_nothing_older():
    edge, core = trace((0, 41), (10, 41)), trace((0, 86), (10, 86), sensor="core")
    (day,) = governing_age({"core": core, "edge": edge}, mix(), 12, CHICAGO)
    assert (day.sensor, day.factor_f_h) == ("edge", pytest.approx(90))
    assert governing_age({}, mix(), 12, CHICAGO) == ()
    both = {"core": trace(*((h, 86) for h in range(72)), sensor="core"), "edge": edge}
    ages = governing_age(both, mix(), 12, CHICAGO)
    alone = governing_age({"core": both["core"]}, mix(), 12, CHICAGO)
    assert ages[-1].age_days <= alone[-1].age_days


def test_up_to_an_instant_only():
    found = maturity_of(trace((0, 68), (10, 68)), mix(), 12, until=START + timedelta(hours=4))
    assert found.covered_h == pytest.approx(4)


@pytest.mark.parametrize("bad", [{"datum_c": -60}, {"q_k": float("nan")}, {"q_k": 50}, {"reference_c": 60}])
def test_constants_out_of_reason_are_refused(bad):
    with pytest.raises(InputError):
        of((1, 20), **bad)


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(-30, 60)), max_size=20),
    st.tuples(st.floats(0, 50), st.floats(-30, 60)),
)
def test_maturity_never_falls(log, further):
    before, after = of(*log), of(*log, further)
    assert after.factor_f_h >= before.factor_f_h
    assert after.equivalent_age_h >= before.equivalent_age_h
