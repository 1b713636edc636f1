"""The demo's firm is one that was there all the time: its log was written day by day."""

from __future__ import annotations

from itertools import pairwise

from installs.people.firm_log import every_line, firm_log_faults
from tests.house.test_bad_input import demo, in_the_database  # noqa: F401  (fixtures)


def test_the_firms_log_of_the_demo_stands_in_the_order_of_its_days_and_is_whole(demo: None) -> None:  # noqa: F811
    lines = list(every_line())
    assert len(lines) > 50 and firm_log_faults(lines) == []
    assert all(one.at <= next_one.at for one, next_one in pairwise(lines))
