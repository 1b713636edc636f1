"""What stock to buy and how to cut it: the least total length that yields every piece.

Each way to cut one stock bar is a pattern; an integer program says how often each pattern is cut (Gilmore and
Gomory). Where the patterns are few all of them are offered and the answer is proven; else the useful ones are
found by column generation, and the linear program's value is a bound no plan can beat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from sitecalc.checks import Check, Known, Rule
from sitecalc.foundation.cutting_patterns import Pattern, Problem, solve
from sitecalc.foundation.tables import bars
from sitecalc.foundation.words import BarSize
from sitecalc.inputs import InputError, quantity, require_valid

METHOD = "cutting-stock integer program: Gilmore and Gomory, Operations Research 9 (1961) and 11 (1963)"
# that they found it: Wikipedia, Cutting stock problem; volumes and years of the papers are from memory
STOCK = Rule("cutting", "Stock", "ft", METHOD, Known.SECONDARY)
PER_IN = 8  # lengths are counted in eighths: pieces up, stock down
STOCK_FT = (20.0, 40.0, 60.0)


@dataclass(frozen=True)
class Piece:
    mark: str = quantity("", "bar mark")
    size: BarSize = quantity("", "bar size")
    length_in: float = quantity("in", "cut length", low=1, high=720)
    count: int = quantity("", "pieces", low=1, high=10_000)


@dataclass(frozen=True)
class Stock:
    """Stock of one length. Leftovers of an earlier job are stock with a count."""

    length_ft: float = quantity("ft", "length", low=1, high=80)
    size: BarSize | None = quantity("", "bar size, if only that", default=None)
    count: int | None = quantity("", "bars there are; without it as many as needed", low=1, default=None)


@dataclass(frozen=True, kw_only=True)
class CuttingCase:
    pieces: tuple[Piece, ...] = quantity("", "pieces needed")
    stock: tuple[Stock, ...] = quantity(
        "", "stock lengths that can be had", default=tuple(Stock(length) for length in STOCK_FT)
    )
    kerf_in: float = quantity("in", "lost at each cut; a shear loses nothing", low=0, high=1, default=0.0)
    keep_in: float = quantity("in", "leftover from this length is kept", low=0, high=720, default=60.0)
    seconds: float = quantity("s", "longest time for one bar size", low=0.1, high=600, default=10.0)


@dataclass(frozen=True)
class Cut:
    mark: str
    length_in: float
    count: int


@dataclass(frozen=True, kw_only=True)
class CutBar:
    """One way to cut a stock bar, done ``times`` over."""

    size: str
    stock_ft: float
    times: int
    cuts: tuple[Cut, ...]
    used_in: float
    leftover_in: float


@dataclass(frozen=True)
class StockLine:
    size: str
    stock_ft: float
    count: int


@dataclass(frozen=True, kw_only=True)
class SizePlan:
    """``bound_ft`` of stock is proven necessary; ``proven`` where the plan needs no more than that."""

    size: str
    stock_ft: float
    pieces_ft: float
    kept_ft: float
    waste_pct: float
    bound_ft: float
    proven: bool
    weight_lb: float


@dataclass(frozen=True, kw_only=True)
class CuttingPlan:
    order: tuple[StockLine, ...]
    bars: tuple[CutBar, ...]
    sizes: tuple[SizePlan, ...]
    stock_ft: float
    pieces_ft: float
    waste_pct: float
    checks: tuple[Check, ...]


def cutting_plan(case: CuttingCase) -> CuttingPlan:
    """For every bar size the stock to buy and the cuts, least total length; lengths in in, stock in ft.

    Pieces are taken up and stock down to the eighth of an inch. Gilmore and Gomory, Operations Research 9
    (1961) and 11 (1963) (read in secondary copies). InputError where a piece fits no stock, or
    stock runs out.
    """
    require_valid(case)
    if not case.pieces:
        raise InputError("pieces", "are not given.")
    sizes = [size for size in bars() if any(p.size == size for p in case.pieces)]
    cut: list[CutBar] = []
    plans = []
    for size in sizes:
        ways, bound = _cut(case, size)
        cut += ways
        plans.append(_summed(case, size, ways, bound))
    stock, pieces = sum(p.stock_ft for p in plans), sum(p.pieces_ft for p in plans)
    return CuttingPlan(
        order=_order(cut),
        bars=tuple(cut),
        sizes=tuple(plans),
        stock_ft=stock,
        pieces_ft=pieces,
        waste_pct=100 * (1 - pieces / stock),
        checks=tuple(map(_check, plans)),
    )


def _cut(case: CuttingCase, size: str) -> tuple[list[CutBar], int]:
    """(bars to cut, bound in eighths) of one size; pieces of all its marks share the stock."""
    pieces = [p for p in case.pieces if p.size == size]
    stock = _stock_of(case, size)
    lengths = sorted({_up(p.length_in) for p in pieces}, reverse=True)
    problem = Problem(
        lengths=tuple(lengths),
        demand=tuple(sum(p.count for p in pieces if _up(p.length_in) == n) for n in lengths),
        stock=tuple(math.floor(s.length_ft * 12 * PER_IN + 1e-6) for s in stock),
        limits=tuple(s.count for s in stock),
        kerf=_up(case.kerf_in),
        seconds=case.seconds,
    )
    if lengths[0] > max(problem.stock):
        raise InputError("stock", f"of {size} is too short for a piece of {lengths[0] / PER_IN:g} in.")
    plan = solve(problem)
    if plan is None:
        raise InputError("stock", f"of {size} is not enough for the pieces.")
    waiting = {n: [[p, p.count] for p in pieces if _up(p.length_in) == n] for n in lengths}
    found: list[CutBar] = []
    for pattern, times in sorted(plan.uses, key=lambda use: (use[0].stock, [-n for n in use[0].counts])):
        found += _marked(problem, pattern, times, waiting, stock[pattern.stock].length_ft, size, case.kerf_in)
    return found, plan.bound


def _stock_of(case: CuttingCase, size: str) -> list[Stock]:
    found = [s for s in case.stock if s.size in (None, size)]
    if not found:
        raise InputError("stock", f"has no {size}.")
    return found


def _up(inches: float) -> int:
    return math.ceil(inches * PER_IN - 1e-6)


def _marked(
    problem: Problem,
    pattern: Pattern,
    times: int,
    waiting: dict[int, list[list[Any]]],
    stock_ft: float,
    size: str,
    kerf_in: float,
) -> list[CutBar]:
    """Marks given to the pieces of a pattern: bars alike in their marks are one line."""
    lines: dict[tuple[Cut, ...], int] = {}
    for _ in range(times):
        cuts: dict[tuple[str, float], int] = {}
        for length, count in zip(problem.lengths, pattern.counts, strict=True):
            for _ in range(count):
                queue = waiting[length]
                piece = queue[0][0]
                queue[0][1] -= 1
                if queue[0][1] == 0:
                    queue.pop(0)
                key = (piece.mark, piece.length_in)
                cuts[key] = cuts.get(key, 0) + 1
        line = tuple(Cut(mark, length, n) for (mark, length), n in cuts.items())
        lines[line] = lines.get(line, 0) + 1
    found = []
    for line, n in lines.items():
        used = sum(c.length_in * c.count for c in line)
        made = sum(c.count for c in line)
        # a piece that ends where the bar ends needs no cut
        lost = min(made * kerf_in, stock_ft * 12 - used)
        found.append(
            CutBar(
                size=size,
                stock_ft=stock_ft,
                times=n,
                cuts=line,
                used_in=used,
                leftover_in=stock_ft * 12 - used - lost,
            )
        )
    return found


def _summed(case: CuttingCase, size: str, cut: list[CutBar], bound: int) -> SizePlan:
    bought = sum(bar.stock_ft * bar.times for bar in cut)
    pieces = sum(p.length_in * p.count for p in case.pieces if p.size == size) / 12
    kept = sum(bar.leftover_in * bar.times for bar in cut if bar.leftover_in >= case.keep_in) / 12
    needed = bound / PER_IN / 12
    return SizePlan(
        size=size,
        stock_ft=bought,
        pieces_ft=pieces,
        kept_ft=kept,
        waste_pct=100 * (1 - pieces / bought),
        bound_ft=needed,
        proven=bought <= needed + 1e-6,
        weight_lb=bought * bars()[size].weight_lb_ft,
    )


def _order(cut: list[CutBar]) -> tuple[StockLine, ...]:
    counted: dict[tuple[str, float], int] = {}
    for bar in cut:
        key = (bar.size, bar.stock_ft)
        counted[key] = counted.get(key, 0) + bar.times
    return tuple(StockLine(size, length, n) for (size, length), n in counted.items())


def _stock_rule(size: str) -> Rule:
    return STOCK.stated(key=f"cutting {size}", title=f"Stock of {size}")


def _check(plan: SizePlan) -> Check:
    """A plan that buys no more than what is proven necessary passes; else the gap is said."""
    waste = (
        f"{plan.pieces_ft:,.1f} ft of pieces from {plan.stock_ft:,.0f} ft of stock, {plan.waste_pct:.1f} %"
    )
    if plan.proven:
        said = f"{waste} left over; no plan needs less."
    else:
        gap = plan.stock_ft - plan.bound_ft
        said = f"{waste} left over; at most {gap:,.0f} ft could still be saved."
    return _stock_rule(plan.size).compare(demand=plan.stock_ft, capacity=plan.bound_ft, note=said)
