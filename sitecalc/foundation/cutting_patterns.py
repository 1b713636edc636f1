"""Cutting stock as an integer program over patterns, in whole units of length."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from time import monotonic
from typing import Any

import numpy as np

ALL_PATTERNS = 20_000  # up to so many every pattern is offered, and the program's bound is the problem's own
_EPS = 1e-7


@dataclass(frozen=True, kw_only=True)
class Problem:
    """``demand`` of each of the distinct ``lengths``; ``limits`` None: as many of that stock as needed."""

    lengths: tuple[int, ...]
    demand: tuple[int, ...]
    stock: tuple[int, ...]
    limits: tuple[int | None, ...]
    kerf: int
    seconds: float

    def room(self, stock: int) -> int:
        """The last piece of a bar needs no cut behind it: a kerf longer, each piece with its kerf fits."""
        return self.stock[stock] + self.kerf

    @property
    def widths(self) -> tuple[int, ...]:
        return tuple(length + self.kerf for length in self.lengths)

    @property
    def step(self) -> int:
        """Every total of stock is a multiple of this."""
        return math.gcd(*self.stock)


@dataclass(frozen=True)
class Pattern:
    """How many of each length come from one bar of that stock."""

    stock: int
    counts: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Plan:
    """``uses`` of each pattern yield the demand exactly; no plan needs less stock than ``bound``."""

    uses: tuple[tuple[Pattern, int], ...]
    total: int
    bound: int


def solve(problem: Problem) -> Plan | None:
    """The least total length of stock; None where the limited stock cannot yield the demand."""
    until = monotonic() + problem.seconds
    patterns = all_patterns(problem)
    complete = patterns is not None
    bound = float(sum(n * d for n, d in zip(problem.lengths, problem.demand, strict=True)))
    if patterns is None:
        patterns, relaxed = generated(problem, until)
        bound = max(bound, relaxed)
    uses, dual = _integer(problem, patterns, max(0.1, until - monotonic()))
    if complete:
        bound = max(bound, dual)
    plans = [p for p in (_exact(problem, uses), first_fit(problem)) if p is not None]
    if not plans:
        return None
    best = min(plans, key=lambda uses: _total(problem, uses))
    total = _total(problem, best)
    lowest = math.ceil(bound / problem.step - 1e-6) * problem.step
    return Plan(uses=tuple(best), total=total, bound=min(total, lowest))


def all_patterns(problem: Problem) -> list[Pattern] | None:
    """Every pattern to which no further piece can be added; None where there are too many."""
    found: list[Pattern] = []
    for stock in range(len(problem.stock)):
        for counts in _filled(problem, 0, problem.room(stock)):
            found.append(Pattern(stock, counts))
            if len(found) > ALL_PATTERNS:
                return None
    return found


def _filled(problem: Problem, item: int, room: int) -> Iterator[tuple[int, ...]]:
    """Counts of this and the later lengths that fill the room, as many as the demand has use for."""
    width, needed = problem.widths[item], problem.demand[item]
    most = min(needed, room // width)
    if item == len(problem.lengths) - 1:
        yield (most,)
        return
    for count in range(most, -1, -1):
        left = room - count * width
        if count < most and left >= width + max(0, _later(problem, item)):
            continue  # even with all that follows, one more of this would fit
        for rest in _filled(problem, item + 1, left):
            yield (count, *rest)


def _later(problem: Problem, item: int) -> int:
    pairs = zip(problem.widths[item + 1 :], problem.demand[item + 1 :], strict=True)
    return sum(width * needed for width, needed in pairs)


def generated(problem: Problem, until: float) -> tuple[list[Pattern], float]:
    """Patterns by column generation, and a lower bound on any plan's total.

    Farley's bound: prices divided by what the best pattern is overpaid are feasible in the dual, so their
    worth is a bound at every stage, also when time runs out.
    """
    from scipy.optimize import linprog

    patterns = [
        Pattern(stock, _single(problem, stock, item))
        for stock in range(len(problem.stock))
        for item in range(len(problem.lengths))
        if problem.widths[item] <= problem.room(stock)
    ]
    known, bound = set(patterns), 0.0
    # what stock there is not enough of is bought at a price no plan would pay
    dear = 10.0 * max(problem.stock)
    limits = [math.inf if n is None else float(n) for n in problem.limits]
    while monotonic() < until:
        produced, cost, used = _columns(problem, patterns)
        rows, right = [-produced], [-np.array(problem.demand, float)]
        limited = [s for s, n in enumerate(limits) if math.isfinite(n)]
        if limited:
            rows.append(used[limited])
            right.append(np.array([limits[s] for s in limited]))
        matrix = np.vstack(rows)
        short = np.vstack([-np.eye(len(problem.lengths)), np.zeros((len(limited), len(problem.lengths)))])
        answer = linprog(
            np.concatenate([cost, np.full(len(problem.lengths), dear)]),
            A_ub=np.hstack([matrix, short]),
            b_ub=np.concatenate(right),
            method="highs",
        )
        duals = -answer.ineqlin.marginals
        prices = duals[: len(problem.lengths)]
        rent = np.zeros(len(problem.stock))
        rent[limited] = -duals[len(problem.lengths) :]
        new, overpaid = [], 1.0
        for stock, length in enumerate(problem.stock):
            worth, counts = best_pattern(problem, problem.room(stock), prices)
            overpaid = max(overpaid, (worth + rent[stock]) / length)
            if worth + rent[stock] > length * (1 + _EPS) and Pattern(stock, counts) not in known:
                new.append(Pattern(stock, counts))
        bound = max(bound, float(answer.fun) / overpaid)
        if not new:
            break
        patterns += new
        known.update(new)
    return patterns, bound


def _single(problem: Problem, stock: int, item: int) -> tuple[int, ...]:
    fits = min(problem.demand[item], problem.room(stock) // problem.widths[item])
    return tuple(fits if i == item else 0 for i in range(len(problem.lengths)))


def best_pattern(problem: Problem, room: int, prices: Any) -> tuple[float, tuple[int, ...]]:
    """The dearest pattern at those prices: a knapsack by dynamic programming, no more than the demand."""
    worth = np.zeros(room + 1)
    taken: list[tuple[int, int, Any]] = []
    for item, width in enumerate(problem.widths):
        left, lot = min(problem.demand[item], room // width), 1
        while left > 0:
            many = min(lot, left)
            left, lot = left - many, 2 * lot
            if many * width > room or prices[item] <= 0:
                break
            better = worth.copy()
            np.maximum(worth[many * width :], worth[: room + 1 - many * width] + many * prices[item],
                       out=better[many * width :])  # fmt: skip
            taken.append((item, many, better > worth + 1e-12))
            worth = better
    counts, at = [0] * len(problem.lengths), room
    for item, many, improved in reversed(taken):
        if improved[at]:
            counts[item] += many
            at -= many * problem.widths[item]
    return float(worth[room]), tuple(counts)


def _columns(problem: Problem, patterns: list[Pattern]) -> tuple[Any, Any, Any]:
    produced = np.array([p.counts for p in patterns], float).T
    cost = np.array([problem.stock[p.stock] for p in patterns], float)
    used = np.array([[p.stock == s for p in patterns] for s in range(len(problem.stock))], float)
    return produced, cost, used


def _integer(problem: Problem, patterns: list[Pattern], seconds: float) -> tuple[dict[Pattern, int], float]:
    """(uses, bound over these patterns); no uses where the solver has found none in its time."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    produced, cost, used = _columns(problem, patterns)
    limits = np.array([np.inf if n is None else n for n in problem.limits])
    answer = milp(
        cost / problem.step,
        integrality=np.ones(len(patterns)),
        bounds=Bounds(0, np.inf),
        constraints=[
            LinearConstraint(produced, lb=np.array(problem.demand)),
            LinearConstraint(used, ub=limits),
        ],
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    dual = 0.0 if answer.mip_dual_bound is None else answer.mip_dual_bound * problem.step
    if answer.x is None:
        return {}, 0.0
    return {p: round(n) for p, n in zip(patterns, answer.x, strict=True) if round(n)}, dual


def _exact(problem: Problem, uses: dict[Pattern, int]) -> list[tuple[Pattern, int]] | None:
    """The same bars with the pieces beyond the demand left uncut; bars left empty are not bought."""
    if not uses:
        return None
    surplus = [
        sum(p.counts[i] * n for p, n in uses.items()) - needed for i, needed in enumerate(problem.demand)
    ]
    bars: dict[Pattern, int] = {}
    for pattern, times in uses.items():
        for _ in range(times):
            counts = list(pattern.counts)
            for i, over in enumerate(surplus):
                drop = min(over, counts[i])
                counts[i] -= drop
                surplus[i] -= drop
            if any(counts):
                bar = Pattern(pattern.stock, tuple(counts))
                bars[bar] = bars.get(bar, 0) + 1
    return list(bars.items())


def first_fit(problem: Problem) -> list[tuple[Pattern, int]] | None:
    """A plan at once: longest pieces first into the first bar with room, limited stock first, then one
    other length; the length that buys least."""
    free = [s for s, n in enumerate(problem.limits) if n is None]
    tried = [_first_fit(problem, s) for s in free] or [_first_fit(problem, None)]
    plans = [p for p in tried if p is not None]
    return min(plans, key=lambda uses: _total(problem, uses), default=None)


def _first_fit(problem: Problem, free: int | None) -> list[tuple[Pattern, int]] | None:
    supply = [s for s, n in enumerate(problem.limits) if n is not None for _ in range(n)]
    bars: list[tuple[int, int, list[int]]] = []  # stock, room left, counts
    for item in sorted(range(len(problem.lengths)), key=lambda i: -problem.lengths[i]):
        width = problem.widths[item]
        for _ in range(problem.demand[item]):
            at = next((i for i, bar in enumerate(bars) if bar[1] >= width), None)
            if at is None:
                stock = next((s for s in supply if problem.room(s) >= width), None)
                if stock is not None:
                    supply.remove(stock)
                elif free is not None and problem.room(free) >= width:
                    stock = free
                else:
                    return None
                bars.append((stock, problem.room(stock), [0] * len(problem.lengths)))
                at = len(bars) - 1
            stock, room, counts = bars[at]
            counts[item] += 1
            bars[at] = (stock, room - width, counts)
    uses: dict[Pattern, int] = {}
    for stock, _room, counts in bars:
        bar = Pattern(stock, tuple(counts))
        uses[bar] = uses.get(bar, 0) + 1
    return list(uses.items())


def _total(problem: Problem, uses: list[tuple[Pattern, int]]) -> int:
    return sum(problem.stock[p.stock] * n for p, n in uses)
