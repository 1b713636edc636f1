"""What becomes of a plan of days over many seasons: weather, strength results, inspectors. Repeatable.

A season is one draw of everything that is not known. Steps are worked in the planned order: each on the first
day on which what stands before it is over, its site is worked, the weather lets it and the inspector was
there, and never before the day it is planned for. The same network, assumptions and seed give the same days.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from sitecalc.inputs import InputError

Days: TypeAlias = NDArray[np.int64]  # [seasons], counted from the first day of the network
Floats: TypeAlias = NDArray[np.float64]
BATCH = 2000  # seasons at a time, so that the weather of a long season fits in memory
MOST_LOST = 200  # days looked ahead for one that is workable


@dataclass(frozen=True, kw_only=True)
class ThreePoint:
    """A number of days by PERT's three estimates, ``least <= usual <= most``.

    A beta distribution with PERT's mean (a + 4 m + b)/6 and standard deviation (b - a)/6 (Malcolm, Roseboom,
    Clark and Fazar, Operations Research 7 (1959), from memory). Raises InputError.
    """

    least: float
    usual: float
    most: float

    def __post_init__(self) -> None:
        if not all(math.isfinite(each) for each in (self.least, self.usual, self.most)):
            raise InputError("usual", "Three numbers of days.")
        if not 0 <= self.least <= self.usual <= self.most:
            raise InputError("usual", "The usual number of days lies between the least and the most.")

    @property
    def mean(self) -> float:
        return (self.least + 4 * self.usual + self.most) / 6

    @property
    def variance(self) -> float:
        return ((self.most - self.least) / 6) ** 2

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """``count`` draws [days]."""
        wide = self.most - self.least
        if wide == 0:
            return np.full(count, self.least)
        share = (self.mean - self.least) / wide
        size = share * (1 - share) / (self.variance / wide**2) - 1
        return self.least + wide * rng.beta(share * size, (1 - share) * size, count)


@dataclass(frozen=True, kw_only=True)
class Strength:
    """Strength of field cylinders at the end of the curing days, percent of what the gate requires.

    mean_pct, spread_pct
        of a normal distribution: its mean, and its standard deviation.
    gain_pct
        that one more day adds.
    """

    mean_pct: float
    spread_pct: float
    gain_pct: float

    def __post_init__(self) -> None:
        if not self.gain_pct > 0:
            raise InputError("gain_pct", "More than nothing: else a weak pad is never lifted on.")

    def days_more(self, rng: np.random.Generator, count: int) -> Days:
        """Days beyond the curing days until the results show what is required."""
        result = rng.normal(self.mean_pct, self.spread_pct, count)
        lacking = np.maximum(100.0 - result, 0.0)
        return np.ceil(lacking / self.gain_pct).astype(np.int64)


@dataclass(frozen=True, kw_only=True)
class Step:
    """One planned day of work.

    planned
        its day; it is never worked before it.
    after
        earlier steps of the network, each with how many days later this one can be.
    site
        whose working days it has.
    sky
        whose weather it waits for; None: it is worked in any.
    inspected
        an inspector comes before it, late by the drawn number of working days.
    poured, cured
        the pour that it cures from, and by the day of the pour when it is cured; without a pour to come the
        one day of ``cured``. Empty where it waits for no cure.
    """

    planned: int
    after: tuple[tuple[int, int], ...] = ()
    site: int = 0
    sky: int | None = None
    inspected: bool = False
    poured: int | None = None
    cured: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Network:
    """Steps in an order in which each stands behind those that it is after.

    sites
        by site, for each day whether it is worked; the last day always is.
    skies
        by sky, for each day the probability that its weather lets one work. Each day is drawn by itself.
    """

    steps: tuple[Step, ...]
    sites: tuple[tuple[bool, ...], ...]
    skies: tuple[tuple[float, ...], ...] = ()

    def __post_init__(self) -> None:
        for n, step in enumerate(self.steps):
            if any(before >= n for before, _ in step.after) or (step.poured is not None and step.poured >= n):
                raise InputError("after", f"step {n} is after one that does not stand before it")
        if not all(0 <= p <= 1 for sky in self.skies for p in sky):
            raise InputError("skies", "A probability lies between 0 and 1.")

    @property
    def days(self) -> int:
        return len(self.sites[0])


@dataclass(frozen=True, kw_only=True)
class Unknowns:
    """What is drawn beside the weather."""

    strength: Strength
    inspector: ThreePoint


# the day of a step from the day on which those before it let it, and the days of all before it
Wait: TypeAlias = Callable[[int, Days, Sequence[Days]], Days]


def carried(steps: Sequence[Step], wait: Wait, count: int) -> list[Days]:
    """By step the day of each of ``count`` seasons, each step as soon as those that it is after let it."""
    found: list[Days] = []
    for n, step in enumerate(steps):
        found.append(wait(n, _ready(step, found, count), found))
    return found


def _ready(step: Step, found: Sequence[Days], count: int) -> Days:
    ready = np.full(count, step.planned, dtype=np.int64)
    for before, later in step.after:
        ready = np.maximum(ready, found[before] + later)
    return ready


class Drawn:
    """One batch of seasons: everything that is drawn, before anything is worked."""

    def __init__(self, network: Network, unknowns: Unknowns, seed: int, batch: int, count: int) -> None:
        rng = np.random.default_rng([seed, batch])
        self.network, self.count = network, count
        self.rows = np.arange(count)
        self.fair = [rng.random((count, network.days)) < np.asarray(sky)[None, :] for sky in network.skies]
        self.sites = [np.asarray(site, dtype=bool) for site in network.sites]
        self.worked = [np.flatnonzero(site) for site in self.sites]
        self.before = [np.concatenate(([0], np.cumsum(site)[:-1])) for site in self.sites]
        self.cured = {n: np.asarray(step.cured) for n, step in enumerate(network.steps) if step.cured}
        self.weak = {n: unknowns.strength.days_more(rng, count) for n in self.cured}
        self.late = {
            n: np.rint(unknowns.inspector.draw(rng, count)).astype(np.int64)
            for n, step in enumerate(network.steps)
            if step.inspected
        }

    def days(self) -> list[Days]:
        return carried(self.network.steps, self.work, self.count)

    def work(self, n: int, ready: Days, found: Sequence[Days]) -> Days:
        """The day on which step ``n`` is worked, from the day on which those before it let it."""
        step, last = self.network.steps[n], self.network.days - 1
        on = np.minimum(ready, last)
        if n in self.cured:
            table = self.cured[n]
            poured = found[step.poured] if step.poured is not None else np.zeros(self.count, dtype=np.int64)
            on = np.maximum(on, table[np.minimum(poured, len(table) - 1)] + self.weak[n])
        on = self.working(step.site, on, self.late.get(n))
        return self.fair_from(step, on)

    def working(self, site: int, on: Days, more: Days | None = None) -> Days:
        """The day itself where it is worked, else the next that is; or ``more`` working days later."""
        worked, before = self.worked[site], self.before[site]
        place = before[np.minimum(on, self.network.days - 1)]
        if more is not None:
            place = place + more
        return worked[np.minimum(place, len(worked) - 1)]

    def fair_from(self, step: Step, on: Days) -> Days:
        """The first working day from ``on`` whose weather lets one work."""
        if step.sky is None:
            return on
        fair, at = self.fair[step.sky], on.copy()
        for _ in range(MOST_LOST):
            foul = np.flatnonzero(~fair[self.rows, at] & (at < self.network.days - 1))
            if not foul.size:
                break
            at[foul] = self.working(step.site, at[foul] + 1)
        return at

    def a_day_later(self, n: int, base: Sequence[Days]) -> list[Days]:
        """The days of the same seasons where step ``n`` is worked on the next day that it could be."""
        step = self.network.steps[n]
        found = list(base)
        found[n] = self.fair_from(step, self.working(step.site, base[n] + 1))
        touched = {n}
        for k in range(n + 1, len(self.network.steps)):
            other = self.network.steps[k]
            if other.poured in touched or any(before in touched for before, _ in other.after):
                found[k] = self.work(k, _ready(other, found, self.count), found)
                if not np.array_equal(found[k], base[k]):
                    touched.add(k)
        return found


def batches(count: int) -> Iterator[tuple[int, int]]:
    """Number and size of each batch."""
    for n, begin in enumerate(range(0, count, BATCH)):
        yield n, min(BATCH, count - begin)


@dataclass(frozen=True, kw_only=True)
class Due:
    """The steps of which the last must be over by ``by``."""

    steps: tuple[int, ...]
    by: int


def kept(days: Sequence[Days], due: Due) -> NDArray[np.bool_]:
    """By season whether the date is kept."""
    last = days[due.steps[0]]
    for n in due.steps[1:]:
        last = np.maximum(last, days[n])
    held: NDArray[np.bool_] = last <= due.by
    return held


def shares(
    network: Network,
    unknowns: Unknowns,
    dues: Sequence[Due],
    *,
    seed: int,
    count: int,
    heard: Callable[[float], None] | None = None,
) -> tuple[float, ...]:
    """Of ``count`` seasons the share that keeps each date: counted, arithmetic.

    ``heard`` is told how much of it is done, from 0 to 1.
    """
    total = np.zeros(len(dues))
    for batch, size in batches(count):
        days = Drawn(network, unknowns, seed, batch, size).days()
        total += [kept(days, due).sum() for due in dues]
        if heard is not None:
            heard((batch * BATCH + size) / count)
    return tuple(float(each) / count for each in total)


def costs(
    network: Network,
    unknowns: Unknowns,
    dues: Sequence[Due],
    *,
    seed: int,
    count: int = BATCH,
    heard: Callable[[float], None] | None = None,
) -> tuple[float, ...]:
    """By step how many of the dates a season loses, on the mean, if it is worked a day later.

    Counted over the seasons of one batch, each against itself without the delay: arithmetic.
    """
    drawn = Drawn(network, unknowns, seed, 0, min(count, BATCH))
    base = drawn.days()
    held = sum(int(kept(base, due).sum()) for due in dues)
    found = []
    for n in range(len(network.steps)):
        later = drawn.a_day_later(n, base)
        found.append((held - sum(int(kept(later, due).sum()) for due in dues)) / drawn.count)
        if heard is not None:
            heard((n + 1) / len(network.steps))
    return tuple(found)
