"""Stock-length cutting plans against published problems, an exhaustive search, and their own bound."""

from __future__ import annotations

import math
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.foundation import cutting_patterns
from sitecalc.foundation.cutting import CuttingCase, Piece, Stock, cutting_plan
from sitecalc.foundation.cutting_patterns import Problem, generated, solve
from sitecalc.inputs import InputError


def problem(stock, lengths, demand, kerf=0, limits=None, seconds=600.0) -> Problem:
    stock = stock if isinstance(stock, tuple) else (stock,)
    return Problem(
        lengths=tuple(lengths),
        demand=tuple(demand),
        stock=stock,
        limits=limits or (None,) * len(stock),
        kerf=kerf,
        seconds=seconds,
    )


# widths and demand of Chvatal, Linear Programming (1983), p. 195, as reprinted in the NEOS Guide
CHVATAL = ((45, 36, 31, 14), (97, 610, 395, 211))
# the paper mill of "Cutting stock problem", Wikipedia: 13 widths from 5,600 mm
MILL = (
    (2200, 2150, 2140, 2100, 2050, 2000, 1930, 1880, 1820, 1710, 1560, 1520, 1380),
    (20, 18, 16, 14, 12, 10, 20, 18, 18, 14, 12, 25, 22),
)


def test_chvatals_paper_rolls() -> None:
    """Chvatal, Linear Programming (1983), chapter 13: the linear program needs 452.25 rolls, 453 are cut
    (from memory)."""
    found = solve(problem(100, *CHVATAL))
    assert found is not None and found.total == found.bound == 45_300


def test_chvatals_linear_program_by_column_generation() -> None:
    """The same: 452.25 rolls of 100 in (from memory)."""
    _patterns, bound = generated(problem(100, *CHVATAL), math.inf)
    assert bound / 100 == pytest.approx(452.25, abs=1e-6)


def test_the_paper_mill_needs_73_rolls() -> None:
    """Wikipedia, Cutting stock problem: 73 master rolls, 0.401 % waste (from memory)."""
    found = solve(problem(5600, *MILL))
    assert found is not None and found.total == found.bound == 73 * 5600
    needed = sum(n * d for n, d in zip(*MILL, strict=True))
    assert 100 * (1 - needed / found.total) == pytest.approx(0.401, abs=0.001)


@pytest.mark.parametrize("few", [True, False])
def test_five_widths_of_a_solver_manual(few, monkeypatch) -> None:
    """FICO Xpress, Multiple models guide, cutting stock: widths 17, 21, 22.5, 24, 29.5; the relaxation ends
    at 160.95, 161 rolls are cut by six printed patterns. Demand is what these yield, and
    the fullest of them, 2 x 21 with 22.5 and 29.5, fills a roll of 94."""
    if not few:
        monkeypatch.setattr(cutting_patterns, "ALL_PATTERNS", 3)
    found = solve(problem(188, (59, 48, 45, 42, 34), (227, 108, 48, 96, 150)))
    assert found is not None and found.total == 161 * 188
    assert found.bound == 161 * 188


def test_a_package_example() -> None:
    """Readme of the package cutting-stock on PyPI: 34 of 3.4, 13 of 3.0 and 5 of 2.7 m from 12 m: 16 bars,
    23.9 m left."""
    found = solve(problem(120, (34, 30, 27), (34, 13, 5)))
    assert found is not None and found.total == found.bound == 16 * 120
    assert found.total - (34 * 34 + 13 * 30 + 5 * 27) == 239


def least_by_trying(stock: tuple[int, ...], pieces: tuple[int, ...], kerf: int) -> int:
    """Every way to fill bars with the longest piece left and any others."""

    @cache
    def least(left: tuple[int, ...]) -> int:
        if not left:
            return 0
        first, rest = left[0], left[1:]
        best = 10**9
        for mask in range(1 << len(rest)):
            here = [first] + [rest[i] for i in range(len(rest)) if mask >> i & 1]
            taken = sum(here) + kerf * (len(here) - 1)
            fits = [s for s in stock if s >= taken]
            if fits:
                others = tuple(rest[i] for i in range(len(rest)) if not mask >> i & 1)
                best = min(best, min(fits) + least(others))
        return best

    return least(tuple(sorted(pieces, reverse=True)))


@given(
    pieces=st.lists(st.integers(3, 20), min_size=1, max_size=7),
    stock=st.sets(st.integers(20, 45), min_size=1, max_size=3),
    kerf=st.integers(0, 2),
    few=st.booleans(),
)
@settings(deadline=None)
def test_no_plan_is_better_than_the_one_given(pieces, stock, kerf, few) -> None:
    """Against an exhaustive search over all ways to fill the bars."""
    lengths = sorted(set(pieces), reverse=True)
    demand = [pieces.count(n) for n in lengths]
    keep = cutting_patterns.ALL_PATTERNS
    cutting_patterns.ALL_PATTERNS = keep if few else 0
    try:
        found = solve(problem(tuple(sorted(stock)), lengths, demand, kerf))
    finally:
        cutting_patterns.ALL_PATTERNS = keep
    best = least_by_trying(tuple(sorted(stock)), tuple(pieces), kerf)
    assert found is not None and found.bound <= best <= found.total
    if few:
        assert found.total == best == found.bound


@given(
    pieces=st.lists(
        st.tuples(st.sampled_from(["#4", "#5"]), st.floats(12, 480), st.integers(1, 30)),
        min_size=1,
        max_size=9,
    ),
    kerf=st.sampled_from([0.0, 0.125, 0.25]),
)
@settings(deadline=None)
def test_every_piece_is_cut_and_no_bar_is_overfilled(pieces, kerf) -> None:
    asked = tuple(Piece(f"M{i}", size, length, n) for i, (size, length, n) in enumerate(pieces))
    found = cutting_plan(CuttingCase(pieces=asked, kerf_in=kerf, seconds=2.0))
    for piece in asked:
        cut = sum(
            c.count * bar.times for bar in found.bars if bar.size == piece.size
            for c in bar.cuts if c.mark == piece.mark
        )  # fmt: skip
        assert cut == piece.count
    for bar in found.bars:
        made = sum(c.count for c in bar.cuts)
        assert bar.used_in + (made - 1) * kerf <= bar.stock_ft * 12 + 1e-6
        assert bar.leftover_in >= -1e-9
    for size in found.sizes:
        assert size.pieces_ft <= size.bound_ft + 1e-6 and size.bound_ft <= size.stock_ft
        assert size.proven == (size.stock_ft - size.bound_ft < 1e-6)
    assert sum(line.stock_ft * line.count for line in found.order) == pytest.approx(found.stock_ft)


def test_marks_of_one_size_share_the_stock() -> None:
    """Arithmetic: 14.5 ft of one mark and 5.5 ft of another are one 20 ft bar; alone each wastes the rest."""
    long, short = Piece("B1", "#6", 174, 10), Piece("D1", "#6", 66, 10)
    both = cutting_plan(CuttingCase(pieces=(long, short)))
    assert (both.stock_ft, both.waste_pct) == (200.0, 0.0)
    assert both.checks[0].passes
    alone = sum(cutting_plan(CuttingCase(pieces=(p,))).stock_ft for p in (long, short))
    assert alone > both.stock_ft


def test_the_longest_stock_is_not_always_the_best() -> None:
    """Arithmetic: 14.5 ft bars: one from 20 ft, two from 40, four from 60; four in 60 ft waste 2 ft."""
    found = cutting_plan(CuttingCase(pieces=(Piece("B1", "#6", 174, 18),)))
    assert found.stock_ft == 4 * 60 + 40
    only20 = cutting_plan(CuttingCase(pieces=(Piece("B1", "#6", 174, 18),), stock=(Stock(20.0),)))
    assert only20.stock_ft == 18 * 20


def test_what_a_saw_takes_counts() -> None:
    """Arithmetic: two 10 ft pieces come from 20 ft by shear; with a saw they do not."""
    pieces = (Piece("B1", "#5", 120, 2),)
    assert cutting_plan(CuttingCase(pieces=pieces)).stock_ft == 20
    assert cutting_plan(CuttingCase(pieces=pieces, kerf_in=0.125)).stock_ft == 40


def test_leftovers_on_hand_are_counted() -> None:
    pieces = (Piece("B1", "#5", 120, 3),)
    yard = (Stock(10.5, count=1), Stock(20.0))
    assert {
        (line.stock_ft, line.count) for line in cutting_plan(CuttingCase(pieces=pieces, stock=yard)).order
    } == {
        (10.5, 1),
        (20.0, 1),
    }
    with pytest.raises(InputError, match="not enough"):
        cutting_plan(CuttingCase(pieces=pieces, stock=(Stock(10.5, count=2),)))


def test_a_piece_longer_than_the_stock_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        cutting_plan(CuttingCase(pieces=(Piece("B1", "#5", 300, 1),), stock=(Stock(20.0),)))
    assert caught.value.field == "stock"


def test_short_of_time_the_gap_is_said() -> None:
    """40 lengths in a tenth of a second: a plan is given, with what could still be saved."""
    pieces = tuple(Piece(f"M{i}", "#5", 37.125 + 11.375 * i, 3 + i % 7) for i in range(40))
    found = cutting_plan(CuttingCase(pieces=pieces, seconds=0.1))
    assert found.sizes[0].bound_ft <= found.sizes[0].stock_ft
    assert found.sizes[0].proven or "could still be saved" in found.checks[0].note
