"""Power lines: 29 CFR 1926.1408 Table A."""

from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.lift.power_lines import LineCase, line_clearance, table_a_ft, trigger_ft

REACH = {"radius_ft": 45, "beyond_ft": 2, "drift_ft": 1, "longest_ft": 10, "tag_line_ft": 12}
LINE = LineCase(distance_ft=100, kilovolts=7.2, **REACH)


@pytest.mark.parametrize(
    ("kilovolts", "feet"),
    # 29 CFR 1926.1408, Table A, both sides of every boundary
    [
        (0.48, 10),
        (7.2, 10),
        (50, 10),
        (50.1, 15),
        (200, 15),
        (200.1, 20),
        (350, 20),
        (350.1, 25),
        (500, 25),
        (500.1, 35),
        (750, 35),
        (750.1, 45),
        (1000, 45),
    ],
)
def test_table_a(kilovolts: float, feet: float) -> None:
    assert table_a_ft(kilovolts) == feet


def test_over_the_table_the_utility_says() -> None:
    with pytest.raises(InputError):
        table_a_ft(1001)
    assert line_clearance(replace(LINE, kilovolts=1001)).checks[0].verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize(("kilovolts", "feet"), [(7.2, 20), (350, 20), (351, 50), (1000, 50)])
def test_trigger_distance(kilovolts: float, feet: float) -> None:
    """29 CFR 1926.1408(a) and 1926.1409: 20 ft up to 350 kV, 50 ft above."""
    assert trigger_ft(kilovolts) == feet


def test_trigger_never_falls_below_table_a() -> None:
    assert all(trigger_ft(kv) >= table_a_ft(kv) for kv in (1, 50, 200, 350, 500, 750, 1000))


def test_distance_counts_from_what_swings_and_not_from_the_crane() -> None:
    assert line_clearance(LINE).nearest_ft == 40
    assert line_clearance(LINE).checks[0].passes
    assert line_clearance(replace(LINE, radius_ft=70)).checks[0].verdict is Verdict.FAILS


def test_table_a_distance_is_only_good_with_its_measures() -> None:
    near = replace(LINE, radius_ft=73)
    assert line_clearance(near).checks[0].verdict is Verdict.FAILS
    assert line_clearance(replace(near, table_a_kept=True)).checks[0].passes
    inside = replace(near, radius_ft=76, table_a_kept=True)
    assert line_clearance(inside).checks[0].verdict is Verdict.FAILS


@pytest.mark.parametrize(
    "unknown", [replace(LINE, kilovolts=None), replace(LINE, distance_ft=None), LineCase(**REACH)]
)
def test_what_is_not_known_is_not_checked(unknown: LineCase) -> None:
    """A line is presumed energized; without voltage or distance nothing passes."""
    assert line_clearance(unknown).checks[0].verdict is Verdict.NOT_CHECKED


def test_no_line_must_have_been_looked_for_far_enough() -> None:
    assert line_clearance(LineCase(none_within_ft=500, **REACH)).checks[0].passes
    assert line_clearance(LineCase(none_within_ft=100, **REACH)).checks[0].verdict is Verdict.FAILS


def test_all_that_goes_on_beyond_the_hook_line_counts() -> None:
    """29 CFR 1926.1408(a): any part of the equipment, load line or load. Plain sums."""
    assert line_clearance(replace(LINE, longest_ft=15)).nearest_ft == 100 - (45 + 2 + 1 + 15)
    assert line_clearance(replace(LINE, tag_line_ft=40)).nearest_ft == 100 - (45 + 2 + 1 + 40)
    assert line_clearance(replace(LINE, drift_ft=6)).nearest_ft == 100 - (45 + 2 + 6 + 12)
