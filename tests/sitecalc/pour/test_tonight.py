"""The limits are those of ACI 306R table 5.1 (test_cold); what to do is common practice, no source."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from sitecalc.pour.tonight import Danger, SensorNow, TonightCase, tonight

POURED = datetime(2031, 11, 24, 18, tzinfo=UTC)
NOW = POURED + timedelta(days=2)


def at(*sensors: tuple, **more):
    """(name, F, hours ago, fall in F an hour)"""
    rows = tuple(SensorNow(n, t, NOW - timedelta(hours=ago), fall) for n, t, ago, fall in sensors)
    given = {"least_dimension_in": 42.0, "protected_until": POURED + timedelta(days=6), **more}
    return tonight(TonightCase(now=NOW, zone="America/Chicago", poured_at=POURED, sensors=rows, **given))


@pytest.mark.parametrize(
    ("sensors", "more", "danger", "says"),
    [
        ([("edge", 31, 1, 0)], {}, Danger.ACT, "call the engineer tonight"),
        ([("edge", 44, 1, 0)], {}, Danger.ACT, "45 F is to be kept"),
        ([("edge", 52, 1, 1.0)], {}, Danger.ACT, "under 45 F in about 7 h"),
        ([("edge", 52, 1, 0.2)], {}, Danger.NONE, "Nothing to do tonight"),
        ([("edge", 52, 9, 0)], {}, Danger.ACT, "No concrete reading for 9 h"),
        ([], {}, Danger.ACT, "never since the pour"),
        ([("edge", 52, 14, 0), ("core", 80, 1, 0)], {}, Danger.ACT, "Edge has given no reading"),
        ([("edge", 60, 1, 0)], {"forecast_low_f": 8}, Danger.WATCH, "8 F is forecast"),
        (
            [("edge", 60, 1, 0), ("core", 97, 1, 0)],
            {"least_dimension_in": 54.0, "spread_f": 37},
            Danger.ACT,
            "tell the engineer",
        ),
        (
            [("edge", 60, 1, 0), ("core", 92, 1, 0)],
            {"least_dimension_in": 54.0, "spread_f": 32},
            Danger.WATCH,
            "32 F apart",
        ),
        ([("core", 152, 1, 0)], {"least_dimension_in": 54.0}, Danger.ACT, "at most 160 F"),
        (
            [("edge", 60, 1, 0)],
            {"protected_until": NOW - timedelta(hours=3), "forecast_low_f": 15},
            Danger.WATCH,
            "at most 30 F colder in 24 h",
        ),
    ],
)  # fmt: skip
def test_the_most_pressing_is_said(sensors, more, danger, says):
    found = at(*sensors, **more)
    assert found.danger is danger
    assert says in found.sentence
    assert "common practice, no source" in found.source


def test_frozen_concrete_comes_before_everything_else():
    found = at(("edge", 30, 20, 0), ("core", 158, 20, 0), least_dimension_in=54.0, spread_f=128)
    assert "frozen" in found.sentence


def test_after_the_protection_silence_is_no_danger():
    assert at(("edge", 50, 20, 0), protected_until=NOW - timedelta(days=3)).danger is Danger.NONE
