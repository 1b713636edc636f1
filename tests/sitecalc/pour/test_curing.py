"""Curing days as the glossary of this project defines them: its own rule, its examples worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.pour.curing import CuringCase, SensorOut, count_days, curing_days, least_of, worth_of
from sitecalc.pour.readings import AirReading, ConcreteReading, traces_of

CHICAGO = ZoneInfo("America/Chicago")
POURED = date(2031, 4, 24)


def at(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=CHICAGO)


def day_no(n: int) -> date:
    return POURED + timedelta(days=n)


def steady(temp_f: float, days: range, sensor: str = "edge", every_h: int = 1, kind=ConcreteReading):
    """A reading every hour at the site's clock, the midnight that ends the last day included."""
    begin, end = at(day_no(days.start), 0).astimezone(UTC), at(day_no(days.stop), 0).astimezone(UTC)
    hours = int((end - begin).total_seconds() // 3600)
    return tuple(kind(sensor, begin + timedelta(hours=h), temp_f) for h in range(0, hours + 1, every_h))


def case(concrete=(), air=(), through: int = 3, **more) -> CuringCase:
    return CuringCase(POURED, day_no(through), "America/Chicago", tuple(concrete), tuple(air), **more)


@pytest.mark.parametrize(("mean_f", "worth"), [(50, 1), (71, 1), (41, 0.5), (36.5, 0.25), (32, 0), (-10, 0)])
def test_a_day_is_worth_one_from_50_f_and_nothing_at_32(mean_f, worth):
    assert worth_of(mean_f) == pytest.approx(worth)


def test_the_day_of_the_pour_counts_nothing_and_later_days_count_when_over():
    log = curing_days(case(steady(60, range(0, 4)), through=3))
    assert [d.day for d in log.days] == [day_no(1), day_no(2), day_no(3)]
    assert log.total == 3


def test_a_mean_is_weighted_by_time_not_by_readings():
    # 18 h at 41 F and 6 h at 59 F, the warm part read every minute: (18 x 41 + 6 x 59)/24 = 45.5
    rows = [ConcreteReading("edge", at(day_no(1), 0), 41), ConcreteReading("edge", at(day_no(1), 9), 41)]
    rows += [ConcreteReading("edge", at(day_no(1), 17, 59), 41)]
    rows += [ConcreteReading("edge", at(day_no(1), 18) + timedelta(minutes=m), 59) for m in range(361)]
    day = curing_days(case(rows, through=1)).days[0]
    assert day.mean_f == pytest.approx(45.5, abs=0.02)
    assert day.worth == pytest.approx(0.75, abs=0.002)


def test_without_a_concrete_reading_two_warm_days_of_air_count_one():
    air = steady(55, range(0, 3), "air", kind=AirReading)
    log = curing_days(case(air=air, through=3))
    assert [d.worth for d in log.days] == [1, 1, 0]
    assert log.days[2].words == "no concrete reading, air of the day not recorded"


def test_air_of_the_day_before_must_be_warm_too():
    air = steady(49, range(0, 1), "air", kind=AirReading) + steady(55, range(1, 4), "air", kind=AirReading)
    # the reading at midnight is there twice; the colder one stands and takes the mean of day 1 under 55
    log = curing_days(case(air=air, through=3))
    assert [d.worth for d in log.days] == [0, 1, 1]


def test_nothing_is_known_then_nothing_counts():
    log = curing_days(case(through=30))
    assert log.total == 0
    assert log.checks[0].verdict is Verdict.FAILS


def test_of_several_sensors_the_coldest_governs():
    log = curing_days(case((*steady(80, range(0, 2), "core"), *steady(41, range(0, 2), "edge")), through=1))
    assert (log.days[0].sensor, log.days[0].worth) == ("edge", 0.5)


def test_a_silent_edge_is_not_covered_for_by_a_warm_core():
    edge, core = steady(41, range(0, 2), "edge"), steady(80, range(0, 4), "core")
    log = curing_days(case((*edge, *core), through=3))
    assert [d.worth for d in log.days] == [0.5, 0, 0]
    assert "edge: silent since Apr 26 12:00 AM" in log.faults[0]


def test_a_sensor_recorded_as_taken_out_is_not_missed():
    edge, core = steady(41, range(0, 2), "edge"), steady(80, range(0, 4), "core")
    out = (SensorOut("edge", at(day_no(2), 8)),)
    log = curing_days(case((*edge, *core), through=3, taken_out=out))
    assert [d.worth for d in log.days] == [0.5, 1, 1]
    assert log.faults == ()


def test_two_stray_readings_by_hand_do_not_unmake_a_logged_day():
    by_hand = [ConcreteReading("hand", at(day_no(1), h), 60) for h in (8, 10)]
    log = curing_days(case((*steady(60, range(0, 4)), *by_hand), through=3))
    assert log.total == 3


def test_a_silence_of_14_hours_costs_its_share_of_the_day_and_is_reported():
    rows = [r for r in steady(60, range(0, 3)) if not at(day_no(1), 19) < r.at < at(day_no(2), 9)]
    log = curing_days(case(rows, through=2))
    assert [d.worth for d in log.days] == pytest.approx([19 / 24, 15 / 24])
    assert log.silent_hours == pytest.approx(14)
    assert log.faults == ("edge: silent 14 h from Apr 25 7:00 PM.",)


def test_one_reading_with_none_near_it_covers_no_hour():
    log = curing_days(case([ConcreteReading("edge", at(day_no(1), 12), 70)], through=1))
    assert log.total == 0
    assert "covers no hour" in log.days[0].words


def test_the_same_instant_twice_takes_the_colder_and_says_so():
    doubled = (*steady(60, range(0, 2)), ConcreteReading("edge", at(day_no(1), 12), 30))
    log = curing_days(case(doubled, through=1))
    assert log.days[0].low_f == 30
    assert log.faults == (
        "edge: one reading is there twice, first Apr 25 12:00 PM (different values, the colder is taken).",
    )


@pytest.mark.parametrize(
    ("poured", "hours"), [(date(2031, 3, 8), 23), (date(2031, 11, 1), 25), (date(2031, 6, 1), 24)]
)
def test_the_day_of_the_clock_change_is_a_whole_day(poured, hours):
    """US daylight time: second Sunday of March to first Sunday of November, 15 USC 260a."""
    begin = datetime(poured.year, poured.month, poured.day, 23, tzinfo=CHICAGO).astimezone(UTC)
    rows = [ConcreteReading("edge", begin + timedelta(hours=h), 60) for h in range(hours + 3)]
    log = curing_days(CuringCase(poured, poured + timedelta(days=1), "America/Chicago", tuple(rows)))
    assert log.days[0].worth == 1
    assert log.silent_hours == 0
    one_less = tuple(r for r in rows if r.at < begin + timedelta(hours=1 + hours / 2))
    share = curing_days(CuringCase(poured, poured + timedelta(days=1), "America/Chicago", one_less)).days[0]
    assert share.silent_h + share.worth * hours == pytest.approx(hours)


def test_the_date_is_the_sites_not_greenwichs():
    # 9 PM in North Dakota is already tomorrow in UTC
    rows = [ConcreteReading("edge", at(POURED, 21) + timedelta(hours=h), 60) for h in range(3)]
    assert curing_days(case(rows, through=1)).days[0].worth == 0


def test_readings_of_before_the_pour_say_nothing_of_the_concrete():
    rows = steady(20, range(-3, 0)) + steady(60, range(0, 2), "top")
    assert curing_days(case(rows, through=1)).total == 1


def test_the_cure_is_reached_on_the_day_that_completes_it():
    log = curing_days(case(steady(41, range(0, 9)), through=8, required_days=3))
    assert log.reached_on == day_no(6)
    assert log.checks[0].passes
    assert log.lost_to_cold == pytest.approx(4)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"zone": "Dakota/Nowhere"}, "zone"),
        ({"concrete": (ConcreteReading("edge", datetime(2031, 4, 25), 50),)}, "concrete[0].at"),
        ({"concrete": (ConcreteReading("edge", at(POURED, 12), float("nan")),)}, "concrete[0].temp_f"),
        ({"concrete": (ConcreteReading("edge", at(POURED, 12), 400.0),)}, "concrete[0].temp_f"),
        ({"through": date(2041, 1, 1)}, "through"),
        ({"required_days": 0.0}, "required_days"),
    ],
)
def test_bad_input_names_its_field(change, field):
    with pytest.raises(InputError) as error:
        curing_days(replace(case(), **change))
    assert error.value.field == field


temperatures = st.lists(
    st.tuples(st.integers(0, 7 * 48), st.floats(-20, 120), st.sampled_from(["edge", "top", "core"])),
    max_size=60,
)


@given(temperatures)
def test_no_day_is_worth_less_than_nothing_or_more_than_one(points):
    rows = [ConcreteReading(s, at(POURED, 0) + timedelta(minutes=30 * m), t) for m, t, s in points]
    log = curing_days(case(rows, through=7))
    assert all(0 <= d.worth <= 1 for d in log.days)
    assert log.total <= len(log.days)


@given(st.floats(-20, 120), st.floats(-20, 120))
def test_a_further_sensor_never_adds(first, second):
    one = curing_days(case(steady(first, range(0, 3), every_h=2), through=2)).total
    two = curing_days(
        case((*steady(first, range(0, 3), every_h=2), *steady(second, range(0, 3), "top", 2)), through=2)
    ).total
    assert two <= one + 1e-9


@given(st.sets(st.integers(1, 71), max_size=60))
def test_lost_readings_of_a_steady_log_never_add(lost):
    rows = steady(50, range(0, 3))
    kept = [r for i, r in enumerate(rows) if i not in lost]
    assert curing_days(case(kept, through=2)).total <= 2 + 1e-9


@given(
    st.lists(
        st.tuples(st.integers(0, 191), st.floats(10, 90), st.sampled_from(["edge", "core"])), max_size=40
    ),
    st.sets(st.integers(0, 39)),
)
def test_readings_taken_back_never_make_the_pad_older(points, taken_back):
    """However many are crossed out with nothing in their place, the days stay at most as with all of them."""
    rows = [ConcreteReading(s, at(POURED, 0) + timedelta(minutes=30 * m), t) for m, t, s in points]
    left = [row for n, row in enumerate(rows) if n not in taken_back]
    asked = case([], through=5)
    whole = count_days(asked, traces_of(rows, CHICAGO)[0], {})
    least = least_of(count_days(asked, traces_of(left, CHICAGO)[0], {}), whole, asked)
    assert least.total <= whole.total + 1e-9
    assert all(a.worth <= b.worth + 1e-9 for a, b in zip(least.days, whole.days, strict=True))
