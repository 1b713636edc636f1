"""The drawn load chart says what the calculation reads: its stair is the chart's rows, its dot the lift.

Read back from the drawing by its own ticks, and held to the chart as it was typed: next longer radius, the
lesser of two booms (US Navy training manual 14081, Load Rating Chart; US Army TM 5-3810-305-10, p. 25).
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from installs.equipment.load_curves import Planned, curves_svg
from installs.lift.load_chart import for_page, for_paper
from installs.lift.review import review
from sitecalc.inputs import InputError
from sitecalc.lift.chart import FIRM_LIMITS, LiftClass, Rating, look_up
from tests.drafting.drawn_plot import Pair, Reading
from tests.lift.kit import CHART, Kit, ratings

CLOSE_FT, CLOSE_LB = 0.05, 60.0  # a hundredth of a px


def drawn(lift, name: str = "load_chart") -> Reading:
    return Reading(for_page(review(lift))[name])


def by_hand(booms: tuple[int, ...], radius_ft: float) -> int | None:
    """The next longer row of each boom, and of these the least; None where one has none."""
    found = []
    for boom in booms:
        rows = sorted(CHART[boom])
        longer = [row for row in rows if row >= radius_ft]
        if not longer or radius_ft < rows[0]:
            return None
        found.append(CHART[boom][longer[0]])
    return min(found)


def level(stair: list[Pair], radius_ft: float) -> float | None:
    """What a drawn stair says at a radius: its tread there."""
    for (left, lb), (right, other) in pairwise(stair):
        if abs(lb - other) < CLOSE_LB and left < radius_ft <= right + CLOSE_FT:
            return lb
    return None


@pytest.mark.parametrize(("boom", "columns"), [(120.0, (120,)), (145.0, (145,)), (130.0, (120, 145))])
def test_the_stair_is_the_row_of_the_next_longer_radius(
    kit: Kit, boom: float, columns: tuple[int, ...]
) -> None:
    kit.lift.change(boom_ft=boom)
    stair = drawn(kit.lift).lines("read")[0]
    asked = [n / 4 + 0.1 for n in range(4 * 30, 4 * 60)]
    for radius in asked:
        counts, shown = by_hand(columns, radius), level(stair, radius)
        if shown is not None or counts is None:
            assert (shown is None) == (counts is None)
        if shown is not None and counts is not None:
            assert shown == pytest.approx(counts, abs=CLOSE_LB)
    assert sum(level(stair, radius) is not None for radius in asked) > 70


@pytest.mark.parametrize("weight_lb", [3_000.0, 9_000.0, 11_000.0, 12_500.0, 14_000.0, 18_000.0])
@pytest.mark.parametrize("radius_ft", [31.0, 35.0, 44.0])
def test_the_dot_lies_under_the_limits_line_exactly_when_the_check_passes(
    kit: Kit, radius_ft: float, weight_lb: float
) -> None:
    kit.lift.change(radius_ft=radius_ft, weight_lb=weight_lb)
    found = review(kit.lift)
    check = next(c for c in found.checks if c.key == "percent-of-chart")
    chart = drawn(kit.lift)
    ((at, load),) = chart.dots("planned")
    assert load == pytest.approx(weight_lb + 620 + 190 + 180, abs=CLOSE_LB)
    assert at > radius_ft  # read with what is kept beyond
    limit = level(chart.lines("limit-85")[0], at)
    assert limit == pytest.approx(0.85 * (by_hand((145,), at) or 0), abs=CLOSE_LB)
    assert (load <= limit) == check.passes
    rings = chart.rings()
    assert bool(rings) == (not check.passes)
    if rings:
        assert rings[0] == pytest.approx((at, load), rel=0.05)


def test_out_of_the_chart_is_ringed_and_said(kit: Kit) -> None:
    kit.lift.change(radius_ft=70.0)
    chart = drawn(kit.lift, "load_chart_narrow")
    ((at, _load),) = chart.dots("planned")
    assert at > 70 and chart.rings() and "not permitted, out of the chart" in chart.told
    assert level(chart.lines("read")[0], at) is None


def test_a_hinged_raise_shows_every_radius_and_rings_its_worst(kit: Kit) -> None:
    kit.lift.change(foot="hinged", flat_radius_ft=58.0, weight_lb=15_000.0)
    found = review(kit.lift)
    worst = max(found.raise_rows, key=lambda row: row.percent or 1e9)
    assert (
        worst.angle_deg == 0 and not next(c for c in found.checks if c.key == "percent-while-raising").passes
    )
    chart = drawn(kit.lift)
    ((near, _), (far, _)) = chart.lines("radii")[0]
    assert (near, far) == pytest.approx((35.0, 58.0 + (found.furthest_ft or 0) - 35.0), abs=CLOSE_FT)
    assert max(chart.dots("way"))[0] == pytest.approx(far, abs=CLOSE_FT)
    assert chart.rings()


def test_the_firms_own_limit_is_the_line(kit: Kit) -> None:
    kit.lift.change(most_percent=60.0)
    chart = drawn(kit.lift)
    assert chart.lines("limit-60") and "60 % of it: not permitted above" in chart.words


def test_without_a_load_the_chart_stands_alone(kit: Kit) -> None:
    kit.lift.change(weight_lb=None)
    chart = drawn(kit.lift)
    assert not chart.dots("planned") and len(chart.lines("chart")) == len(CHART)
    kit.lift.chart = None
    assert for_page(review(kit.lift)) == {} and for_paper(review(kit.lift)) == ""


def test_the_cranes_own_chart_has_a_dot_a_row() -> None:
    chart = Reading(curves_svg(tuple(Rating(**row) for row in ratings())))
    typed = sorted((float(ft), float(lb)) for rows in CHART.values() for ft, lb in rows.items())
    for shown, said in zip(sorted(chart.dots("chart")), typed, strict=True):
        assert shown[0] == pytest.approx(said[0], abs=CLOSE_FT)
    assert sorted(lb for _, lb in chart.dots("chart")) == pytest.approx(
        sorted(lb for _, lb in typed), abs=CLOSE_LB
    )
    assert all(f"{boom} ft" in chart.words for boom in CHART)
    assert "145 ft boom, 18,400 lb at 30 ft to 8,600 lb at 60 ft" in chart.told


def rated(*rows: tuple[float, float, float]) -> tuple[Rating, ...]:
    return tuple(Rating(boom_ft=boom, radius_ft=radius, capacity_lb=lb) for boom, radius, lb in rows)


ODD = {
    "one row": rated((40.0, 20.0, 5_000.0)),
    "one radius": rated((40.0, 20.0, 5_000.0), (60.0, 20.0, 4_000.0)),
    "booms that share no radius": rated((40.0, 10.0, 9_000.0), (80.0, 50.0, 800.0)),
    "a longer boom that carries more": rated(
        (40.0, 20.0, 5_000.0), (60.0, 20.0, 9_000.0), (60.0, 30.0, 8_000.0)
    ),
    "many booms": rated(*((30.0 + 6 * n, 20.0 + n, 9_000.0 - 300 * n) for n in range(14))),
}


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize("boom_ft", [None, 25.0, 40.0, 50.0, 300.0])
def test_odd_charts_are_drawn_and_what_they_do_not_hold_is_ringed(name: str, boom_ft: float | None) -> None:
    planned = None
    if boom_ft is not None:
        try:
            found = look_up(ODD[name], boom_ft, 20.0)
        except InputError:
            found = None
        planned = Planned(
            boom_ft=boom_ft, radius_ft=20.0, read_ft=20.0, gross_lb=1_000.0, found=found, limits=FIRM_LIMITS,
            kind=LiftClass.STANDARD if found else LiftClass.NOT_PERMITTED,
        )  # fmt: skip
    for wide in (660.0, 358.0):
        chart = Reading(curves_svg(ODD[name], planned, wide_px=wide))
        assert bool(chart.dots("planned")) == (planned is not None)
        assert bool(chart.rings()) == (planned is not None and planned.found is None)
    with pytest.raises(ValueError, match="without figures"):
        curves_svg((), planned)
