from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.pour.readings import ConcreteReading, traces_of
from sitecalc.pour.thermal import ThermalCase, kept_over, kept_warm, thermal

START = datetime(2031, 11, 24, 18, tzinfo=UTC)


def rows(sensor: str, *hours_f: tuple[float, float]) -> tuple[ConcreteReading, ...]:
    return tuple(ConcreteReading(sensor, START + timedelta(hours=h), t) for h, t in hours_f)


def watched(*readings: ConcreteReading, least_in: float = 54.0, **more):
    return thermal(ThermalCase(readings, least_in, "America/Chicago", **more))


def checks(found) -> dict[str, Verdict]:
    return {c.key: c.verdict for c in found.checks}


def test_spread_and_peak_of_a_pad_of_four_feet():
    """ACI, technical question 889, of ACI 301-20: at most 35 F apart and 160 F. From 4 ft on: from memory."""
    edge = rows("edge", (0, 60), (24, 90), (48, 70))
    core = rows("core", (0, 60), (24, 125), (48, 106))
    found = watched(*edge, *core)
    assert (found.peak.value_f, found.peak.sensor) == (125, "core")
    assert found.spread.value_f == pytest.approx(36)
    assert found.spread.sensor == "core over edge"
    assert checks(found) == {"peak": Verdict.PASSES, "spread": Verdict.FAILS}
    hot = watched(*rows("core", (0, 60), (30, 161)), *rows("edge", (0, 60), (30, 150)))
    assert checks(hot) == {"peak": Verdict.FAILS, "spread": Verdict.PASSES}


def test_between_readings_the_other_sensor_is_met_where_it_runs_straight():
    """Edge read at 0 and 10 h, core at 5 h: 100 - (60 + 80)/2 = 30 F."""
    found = watched(*rows("edge", (0, 60), (10, 80)), *rows("core", (5, 100)))
    assert found.spread.value_f == pytest.approx(30)


def test_across_a_silence_nothing_is_made_up():
    found = watched(*rows("edge", (0, 60), (30, 60)), *rows("core", (15, 120)))
    assert found.spread is None
    assert checks(found)["spread"] is Verdict.NOT_CHECKED


def test_under_four_feet_it_is_watched_without_a_limit():
    found = watched(*rows("edge", (0, 50)), *rows("core", (0, 100)), least_in=47.0)
    assert found.spread.value_f == 50
    assert found.checks == ()


@pytest.mark.parametrize("names", [("edge", "top"), ("core", "by hand"), ("core",)])
def test_without_core_and_edge_or_top_the_spread_is_not_checked(names):
    found = watched(*(r for n in names for r in rows(n, (0, 60), (1, 61))))
    assert checks(found)["spread"] is Verdict.NOT_CHECKED


def test_cooling_after_the_protection():
    """ACI 306R table 5.1: 12 to 36 in at most 40 F in 24 h (read), 36 to 72 in 30 F (from memory)."""
    edge = rows("edge", *((h, 80 - 1.5 * h) for h in range(0, 26)))
    for least_in, verdict in ((30.0, Verdict.PASSES), (54.0, Verdict.FAILS)):
        found = watched(*edge, least_in=least_in, protected_until=START)
        assert found.cooling.value_f == pytest.approx(36)
        assert checks(found)["cooling"] is verdict


@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(0, 90), st.floats(20, 170)), max_size=25))
def test_the_spread_is_never_more_than_all_readings_are_apart(points):
    readings = tuple(ConcreteReading(s, START + timedelta(hours=h), t) for s, h, t in points)
    found = watched(*readings)
    if found.spread is not None:
        temps = [t for _, _, t in points]
        assert 0 <= found.spread.value_f <= max(temps) - min(temps) + 1e-9


@pytest.mark.parametrize(
    ("points", "days", "fell"),
    [
        (((0, 60), (6, 58), (12, 56), (18, 55), (24, 54)), 1.0, False),
        (((0, 60), (6, 58), (12, 44), (18, 60)), 0.5, True),
        (((0, 60), (6, 58), (30, 60)), 0.25, False),  # of a silence nothing is known
        (((20, 60), (26, 60)), 0.0, False),  # nobody read it at first
    ],
)
def test_it_was_kept_warm_for_as_long_as_every_reading_says_so(points, days, fell):
    """45 F, readings at most 12 h apart: by hand."""
    traces, _ = traces_of(rows("edge", *points), ZoneInfo("America/Chicago"))
    found = kept_over(tuple(traces.values()), 45.0, START, 12.0)
    assert (found.days, found.fell) == (pytest.approx(days), fell)


@pytest.mark.parametrize(
    ("hours", "coldest", "verdict"),
    [(24, 60, Verdict.NOT_CHECKED), (144, 60, Verdict.PASSES), (24, 44, Verdict.FAILS)],
)
def test_kept_warm_passes_once_all_the_days_of_protection_are_read(hours, coldest, verdict):
    """45 F at 42 in (ACI 306R table 5.1, The Constructor, Concrete temperature limit); six days."""
    points = tuple((h, coldest if h == 12 else 60) for h in range(0, hours + 1, 6))
    traces, _ = traces_of(rows("edge", *points), ZoneInfo("America/Chicago"))
    found = kept_warm(tuple(traces.values()), 42.0, 6, "America/Chicago", begin=START, longest_gap_h=12.0)
    assert found.verdict is verdict
