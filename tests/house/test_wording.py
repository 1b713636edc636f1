"""Days, hours of the day and quantities are written in one place, so that no page has a way of its own."""

from __future__ import annotations

import ast
from datetime import UTC, date, datetime, time

import pytest

from sitecalc.wording import clock_words, day_words, quantity_words
from tests.house.arrows import ROOT, module_name, sources

NINTH = date(2031, 5, 9)  # a Friday, by any calendar of 2031
NAMES_ALONE = ("%B", "%a")  # of a month, of a weekday


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({}, "May 9"),
        ({"weekday": True}, "Fri May 9"),
        ({"year": True}, "May 9, 2031"),
        ({"weekday": True, "year": True}, "Fri May 9, 2031"),
        ({"long": True, "weekday": True, "year": True}, "Friday, May 9, 2031"),
    ],
)
def test_a_day_is_written_as_in_the_us(asked, words):
    """Month before day, no leading zero: common practice."""
    assert day_words(NINTH, **asked) == words
    assert day_words(datetime(2031, 5, 9, 23, 59, tzinfo=UTC), **asked) == words


def test_a_month_in_full():
    assert day_words(date(2031, 9, 30), long=True) == "September 30"


@pytest.mark.parametrize(
    ("at", "desk", "field"),
    [
        (time(0, 5), "12:05 AM", "00:05"),
        (time(7, 30), "7:30 AM", "07:30"),
        (time(12, 0), "12:00 PM", "12:00"),
        (time(22, 7), "10:07 PM", "22:07"),
    ],
)
def test_an_hour_of_the_day(at, desk, field):
    """Noon is 12 PM and midnight 12 AM, as the US writes them: common practice."""
    assert (clock_words(at), clock_words(at, hours=24)) == (desk, field)


def test_a_quantity_has_its_unit_and_no_empty_decimals():
    assert quantity_words(4.25, "in") == "4.25 in"
    assert quantity_words(52.0, "F") == "52 F"
    assert quantity_words(8.0, "") == "8"


def test_nothing_else_writes_a_day_or_an_hour():
    written = [
        f"{module_name(path)} line {node.lineno}: {spec}"
        for path in sources("sitecalc", "installs", "crew")
        if path != ROOT / "sitecalc" / "wording.py"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FormattedValue) and node.format_spec is not None
        for spec in [ast.unparse(node.format_spec).strip("f'\"")]
        if any(part in spec for part in ("%a", "%A", "%b", "%B", "%H", "%I", "%d"))
        if not (spec.startswith("%Y") or spec in NAMES_ALONE)  # what begins with the year is read back
    ]
    assert written == []
