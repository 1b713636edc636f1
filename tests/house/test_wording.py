"""Days, hours of the day and quantities are written in one place, so that no page has a way of its own."""

from __future__ import annotations

import ast
import re
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from installs.templatetags.look import day, day_of_rows, weekday, weekday_year
from sitecalc.wording import clock_field, clock_words, day_words, quantity_words, unit_words
from tests.house.arrows import ROOT, module_name, sources

NINTH = date(2031, 5, 9)  # a Friday, by any calendar of 2031
PRINTED = ["_worked_check.html"]  # of checks that installs/papers/pages.py has given their words
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
    ("at", "words", "field"),
    [
        (time(0, 5), "12:05 AM", "00:05"),
        (time(7, 30), "7:30 AM", "07:30"),
        (time(12, 0), "12:00 PM", "12:00"),
        (time(22, 7), "10:07 PM", "22:07"),
    ],
)
def test_an_hour_of_the_day(at, words, field):
    """Noon is 12 PM and midnight 12 AM, as the US writes them: common practice."""
    assert (clock_words(at), clock_field(at)) == (words, field)


def test_a_day_of_another_year_says_so_at_its_own_clock(monkeypatch):
    now = datetime(2031, 1, 1, 3, 0, tzinfo=UTC)  # at the site still New Year's Eve
    monkeypatch.setattr("django.utils.timezone.now", lambda: now)
    site = ZoneInfo("America/Chicago")
    eve, after = datetime(2030, 12, 31, 17, 0, tzinfo=site), datetime(2031, 1, 1, 7, 0, tzinfo=site)
    assert (day(eve), weekday(eve)) == ("Dec 31", "Tue Dec 31")
    assert (day(after), weekday(after)) == ("Jan 1, 2031", "Wed Jan 1, 2031")
    assert (weekday_year(eve), day_of_rows(after)) == ("Tue Dec 31, 2030", "Wed Jan 1")
    assert day(None) == weekday(None) == ""


def test_a_quantity_has_its_unit_and_no_empty_decimals():
    assert quantity_words(4.25, "in") == "4.25 in"
    assert quantity_words(52.0, "F") == "52 F"
    assert quantity_words(8.0, "") == "8"
    assert quantity_words(9.5, "yd3") == "9.5 yd³"


@pytest.mark.parametrize(
    ("unit", "words"),
    [("yd3", "yd³"), ("in2", "in²"), ("kip-ft", "kip-ft"), ("W/m2", "W/m²"), ("F", "F"), ("", "")],
)
def test_a_unit_is_shown_with_its_power_above_the_line(unit, words):
    """Common practice, no source."""
    assert unit_words(unit) == words


def test_no_template_shows_a_unit_as_it_is_kept():
    shown = r"{{ (?:\w+\.)*unit }}"
    found = [p.name for p in (ROOT / "templates").rglob("*.html") if re.search(shown, p.read_text("utf-8"))]
    assert found == PRINTED


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


def hand_made(text: str) -> list[str]:
    """What a template or a script writes of a day or an hour without asking."""
    # "c" is an instant for a script to read
    asked = r"\|\s*(?:date|time)\b|{%\s*now (?!.c.)|toLocale(?:Date|Time)?String|getHours|DateTimeFormat"
    return re.findall(asked, text)


@pytest.mark.parametrize(
    "text",
    [
        '{{ at|date:"M j" }}', "{{ at | time }}", "{% now 'Y' %}", "at.toLocaleTimeString()",
        "new Intl.DateTimeFormat('en')",
    ],
)  # fmt: skip
def test_a_hand_made_day_is_found(text):
    assert hand_made(text)


def test_no_template_and_no_script_writes_a_day_or_an_hour_by_itself():
    """Scripts ask words.js; entries.js reads the site's clock, to know the instant that was typed."""
    pages = sorted((ROOT / "templates").rglob("*.html"))
    scripts = sorted((ROOT / "static" / "installs").glob("*.js"))
    assert len(pages) > 100 and len(scripts) > 10
    found = {path.name for path in [*pages, *scripts] if hand_made(path.read_text(encoding="utf-8"))}
    assert found == {"words.js", "entries.js"}


def test_no_code_writes_a_day_by_strftime():
    found = [
        path.name
        for path in sources("sitecalc", "installs", "crew")
        if ".strftime(" in path.read_text("utf-8")
    ]
    assert found == []
