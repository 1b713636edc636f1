"""Reading a load chart, held to published quizzes and manuals."""

import math

import pytest

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.lift.chart import (
    ChartCase,
    LiftClass,
    Load,
    OutOfChart,
    PercentLimits,
    Rating,
    chart_faults,
    lift_class,
    look_up,
    percent_in_words,
    percent_of_chart,
)


def chart(**rows: dict[float, float]) -> tuple[Rating, ...]:
    """chart(b60={30: 20_000, 35: 17_000})"""
    return tuple(
        Rating(boom_ft=float(boom[1:]), radius_ft=radius, capacity_lb=capacity)
        for boom, column in rows.items()
        for radius, capacity in column.items()
    )


def lifted(item: float = 0, block: float = 0, rigging: float = 0, **more: float) -> Load:
    return Load(item_lb=item, block_lb=block, rigging_lb=rigging, **more)


def test_all_deductions_are_load() -> None:
    """BC Crane Safety, practice quiz Load charts: 15 t block 380, 7.5 t ball 338, 32 ft stowed extension 930,
    auxiliary head 220: 1,868 lb; of 18,300 lb gross at 45 ft 16,432 lb are left."""
    load = lifted(block=380, ball_lb=338, jib_lb=930, aux_head_lb=220)
    assert load.besides_lb == 1868
    assert 18_300 - load.besides_lb == 16_432


@pytest.mark.parametrize(
    ("load", "gross"),
    [
        # BC Crane Safety, practice quiz Load charts: three further questions
        (lifted(item=10_000, block=380, rigging=225, jib_lb=930), 11_535),
        (lifted(item=7_000, block=0, rigging=150, ball_lb=338), 7_488),
        (lifted(item=0, block=380, ball_lb=338, aux_head_lb=220, jib_lb=1163), 2_101),
        # crane maker's operator manual, p. 2-10: 2,900 lb with a 150 lb block and 30 lb of slings
        (lifted(item=2_900, block=150, rigging=30), 3_080),
    ],
)
def test_gross_load(load: Load, gross: float) -> None:
    assert load.gross_lb == gross


def test_radius_between_rows_reads_the_next_longer() -> None:
    """US Navy training manual 14081, Load Rating Chart: 50 ft boom, 32 ft radius not listed, 35 ft is used.

    The capacities are ours."""
    found = look_up(chart(b50={30: 21_000, 35: 17_400, 40: 14_100}), 50, 32)
    assert (found.radius_ft, found.capacity_lb) == (35, 17_400)


def test_angle_between_rows_reads_the_next_lower() -> None:
    """US Navy training manual 14081, Load Rating Chart: 60 ft boom at 57 degrees reads the 53 degree row.

    A chart by radius says the same: 57 degrees lies between the rows of 53 and of (ours) 60 degrees."""
    at = {angle: 60 * math.cos(math.radians(angle)) for angle in (60, 57, 53)}
    found = look_up(chart(b60={at[60]: 30_000, at[53]: 24_000}), 60, at[57])
    assert found.capacity_lb == 24_000


def test_boom_between_columns_takes_the_lesser_neighbor() -> None:
    """US Army TM 5-3810-305-10, p. 25, and the BC quiz's chart note: smaller of the two ratings, at the
    next longer radius. Either neighbor may be the smaller one.
    """
    longer_is_less = chart(b60={30: 20_000, 35: 17_000}, b70={30: 19_000, 35: 16_500})
    assert look_up(longer_is_less, 64, 31).capacity_lb == 16_500
    shorter_is_less = chart(b60={30: 20_000, 35: 15_000}, b70={30: 19_000, 35: 16_500})
    assert look_up(shorter_is_less, 64, 31).capacity_lb == 15_000


def test_listed_values_are_read_as_they_stand() -> None:
    assert look_up(chart(b60={30: 20_000, 35: 17_000}), 60, 30).capacity_lb == 20_000
    assert look_up(chart(b60={30: 20_000, 35: 17_000}), 60, 10 * 3.0000000000000004).capacity_lb == 20_000


@pytest.mark.parametrize(
    ("boom", "radius", "field"),
    [
        (59, 30, "boom_ft"),
        (71, 30, "boom_ft"),
        (60, 29.9, "radius_ft"),
        (60, 35.1, "radius_ft"),
        (64, 38, "radius_ft"),
    ],
)
def test_out_of_the_chart_is_refused(boom: float, radius: float, field: str) -> None:
    """Also where only one of the two neighboring booms has a figure."""
    with pytest.raises(OutOfChart) as error:
        look_up(chart(b60={30: 20_000, 35: 17_000}, b70={30: 19_000, 40: 14_000}), boom, radius)
    assert error.value.field == field


def percent_case(item: float, **more: object) -> ChartCase:
    given: dict[str, object] = {
        "chart": chart(b130={30: 22_000, 35: 18_000, 40: 10_000}),
        "load": lifted(item=item),
        "boom_ft": 130.0,
        "radius_ft": 37.0,
        "beyond_ft": 1.0,
    }
    return ChartCase(**{**given, **more})  # type: ignore[arg-type]


def test_percent_is_gross_of_gross() -> None:
    """BC Crane Safety quiz: 11,535 lb of 11,700 lb; percent of the net capacity would be another number."""
    quiz = percent_case(
        10_000,
        load=lifted(item=10_000, block=380, rigging=225, jib_lb=930),
        chart=chart(b130={38: 11_700}),
    )
    assert percent_of_chart(quiz).percent == pytest.approx(100 * 11_535 / 11_700)


@pytest.mark.parametrize(
    ("item", "kind"),
    [
        (7_499, LiftClass.STANDARD),
        # USACE EM 385-1-1 (2014) 16.H.01 and Crane Association of New Zealand: 75 % or more is critical
        (7_500, LiftClass.CRITICAL),
        (8_500, LiftClass.CRITICAL),
        # the firm's own limit of 85 %
        (8_501, LiftClass.NOT_PERMITTED),
        (10_500, LiftClass.NOT_PERMITTED),
    ],
)
def test_percent_of_chart_in_words(item: float, kind: LiftClass) -> None:
    result = percent_of_chart(percent_case(item))
    assert result.lift_class is kind
    assert kind in result.checks[0].note
    assert result.checks[0].passes is (kind is not LiftClass.NOT_PERMITTED)


def test_critical_lift_stays_open_for_a_named_engineer() -> None:
    open_check = percent_of_chart(percent_case(8_000)).checks[1]
    assert open_check.verdict is Verdict.NOT_CHECKED
    assert [c.key for c in percent_of_chart(percent_case(5_000)).checks] == ["percent-of-chart"]


def test_second_crane_is_critical_whatever_the_percent() -> None:
    """29 CFR 1926.751 (from memory): more than one crane."""
    result = percent_of_chart(percent_case(3_000, critical_because=("two cranes",)))
    assert result.lift_class is LiftClass.CRITICAL
    assert "two cranes" in result.checks[1].note


def test_radius_grows_before_the_chart_is_read() -> None:
    """Deflection and drift of 4 ft lead from the 35 ft row to the 40 ft row."""
    assert percent_of_chart(percent_case(5_000, radius_ft=34.0, beyond_ft=4.0)).found.radius_ft == 40
    assert percent_of_chart(percent_case(5_000, radius_ft=34.0, beyond_ft=0.5)).found.radius_ft == 35


def test_firm_may_be_stricter_but_not_looser() -> None:
    assert lift_class(70, PercentLimits(standard_below=60, permitted_to=65)) is LiftClass.NOT_PERMITTED
    with pytest.raises(InputError, match="standard_below"):
        percent_of_chart(percent_case(5_000, limits=PercentLimits(standard_below=80)))


def test_unknown_percent_is_not_permitted() -> None:
    assert lift_class(float("nan"), PercentLimits()) is LiftClass.NOT_PERMITTED


def test_faults_of_a_typed_chart() -> None:
    good = chart(b60={30: 20_000, 35: 17_000})
    assert chart_faults(good) == []
    assert len(chart_faults((*good, good[0]))) == 1
    assert "more than" in chart_faults(chart(b60={30: 2_000, 35: 17_000}))[0]


@pytest.mark.parametrize(
    ("percent", "words"),
    [(49.14, "49 %"), (74.6, "74.6 %"), (75.0, "75 %"), (85.0, "85 %"), (85.3, "85.3 %")],
)
def test_rounding_never_carries_a_percent_over_a_limit(percent: float, words: str) -> None:
    assert percent_in_words(percent) == words
