"""A plan of days as a network of steps, and what many seasons make of it. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from crew.plan.chain import NOT_BEFORE, USUAL
from crew.plan.order import LIFTS, SAME_DAY, CureTerms
from crew.solver.season import DAY, Placed, Season, SeasonJob
from installs.jobs.phases import BY_KEY
from sitecalc.season.chance import Due, Network, Step, Strength, ThreePoint, Unknowns, costs, shares
from sitecalc.workdays import day_off

SEASONS = 10_000
SEED = 14
BEYOND = 260  # days that are looked at behind the last that is planned
INSPECTED = ("pour", "commissioning")  # footing and electrical inspection: common practice, no source
ORDER = tuple(USUAL)
SLIPS = 60  # days for which the cure of a late pour is forecast
CURES = ("pour", "tower lift")
PROTECTING = 1000  # seasons in which each day is tried a day later


@dataclass(frozen=True, kw_only=True)
class Assumed:
    """What is not known and is drawn.

    lift_pct, pour_pct
        percent of the days of each month, January to December, whose weather lets one lift or pour.
    strength_mean_pct, strength_spread_pct, strength_gain_pct
        field cylinders at the end of the curing days, percent of what is required: mean, standard deviation,
        and what a day more adds.
    inspector_least, inspector_usual, inspector_most
        working days that an inspector comes later than asked.
    """

    lift_pct: tuple[float, ...]
    pour_pct: tuple[float, ...]
    strength_mean_pct: float = 112.0
    strength_spread_pct: float = 9.0
    strength_gain_pct: float = 1.5
    inspector_least: float = 0.0
    inspector_usual: float = 0.0
    inspector_most: float = 3.0

    @property
    def unknowns(self) -> Unknowns:
        """InputError where they cannot be."""
        return Unknowns(
            strength=Strength(
                mean_pct=self.strength_mean_pct,
                spread_pct=self.strength_spread_pct,
                gain_pct=self.strength_gain_pct,
            ),
            inspector=ThreePoint(
                least=self.inspector_least, usual=self.inspector_usual, most=self.inspector_most
            ),
        )


# where the firm says nothing: common practice, no source
LIFT_PCT = (40.0, 40.0, 45.0, 50.0, 60.0, 65.0, 70.0, 70.0, 65.0, 55.0, 45.0, 40.0)
POUR_PCT = (60.0, 60.0, 70.0, 80.0, 85.0, 90.0, 90.0, 90.0, 90.0, 85.0, 70.0, 60.0)


def from_allowance(days: int) -> float | None:
    """Percent of workable days where so many days are lost on the mean before one is; None: none given.

    A wait for a day of probability p loses (1 - p)/p days on the mean (geometric distribution), so that
    p = 1/(1 + days).
    """
    return round(100 / (1 + days), 1) if days > 0 else None


@dataclass(frozen=True, kw_only=True)
class Promise:
    job: int
    number: str
    on: date
    ends: date


@dataclass(frozen=True, kw_only=True)
class Laid:
    """``placed`` are the work days in the order of the network's steps, each with its job's number."""

    first: date
    placed: tuple[Placed, ...]
    numbers: tuple[str, ...]
    network: Network
    promises: tuple[Promise, ...]
    dues: tuple[Due, ...]


def laid(
    season: Season, days: Iterable[Placed], who: Mapping[tuple[int, str], tuple[int, ...]], assumed: Assumed
) -> Laid:
    """The network of a plan. ``who`` are the people of each job's phase."""
    mine = {job.key: job for job in season.jobs}
    work = sorted(
        (d for d in days if not d.weather and d.job in mine),
        key=lambda d: (d.on, ORDER.index(d.phase), d.job),
    )
    first = work[0].on if work else season.first
    many = (work[-1].on - first).days + BEYOND if work else BEYOND
    dates = [first + n * DAY for n in range(many)]
    sites = {key: n for n, key in enumerate(sorted({d.job for d in work}))}
    areas = sorted({mine[d.job].area for d in work})
    skies = [
        tuple(pct[on.month - 1] / 100 for on in dates)
        for pct in (assumed.lift_pct, assumed.pour_pct)
        for _ in areas
    ]
    steps = [_step(mine, work, n, who, dates, sites, areas) for n in range(len(work))]
    network = Network(
        steps=tuple(steps),
        sites=tuple(_worked(mine[key], dates) for key in sites) or ((True,) * many,),
        skies=tuple(skies),
    )
    promises, dues = [], []
    for job in season.jobs:
        those = tuple(n for n, d in enumerate(work) if d.job == job.key)
        if job.promised and those:
            ends = max(work[n].on for n in those)
            promises.append(Promise(job=job.key, number=job.number, on=job.promised, ends=ends))
            dues.append(Due(steps=those, by=(job.promised - first).days))
    return Laid(
        first=first,
        placed=tuple(work),
        numbers=tuple(mine[d.job].number for d in work),
        network=network,
        promises=tuple(promises),
        dues=tuple(dues),
    )


def _worked(job: SeasonJob, dates: list[date]) -> tuple[bool, ...]:
    return (*(not day_off(on, job.off) for on in dates[:-1]), True)


def _step(
    jobs: Mapping[int, SeasonJob],
    work: list[Placed],
    n: int,
    who: Mapping[tuple[int, str], tuple[int, ...]],
    dates: list[date],
    sites: Mapping[int, int],
    areas: list[int],
) -> Step:
    day = work[n]
    job = jobs[day.job]
    kind = 0 if day.phase in LIFTS else len(areas) if day.phase == "pour" else None
    begins = not any(d.job == day.job and d.phase == day.phase for d in work[:n])
    poured: int | None = None
    cured: tuple[int, ...] = ()
    if day.phase == "tower lift" and begins and not job.plan.cured:
        pours = [k for k in range(n) if work[k].job == day.job and work[k].phase == "pour"]
        poured = pours[-1] if pours else None
        cured = _cured(job, dates, work[pours[-1]].on) if pours else _expected(job, dates)
    return Step(
        planned=(day.on - dates[0]).days,
        after=tuple(_after(work, n, who)),
        site=sites[day.job],
        sky=None if kind is None else kind + areas.index(job.area),
        inspected=begins and day.phase in INSPECTED,
        poured=poured,
        cured=cured,
    )


@lru_cache(maxsize=20_000)
def _cured_on(cure: CureTerms, poured: date) -> date | None:
    return cure.cured_on(poured)


def _cured(job: SeasonJob, dates: list[date], planned: date) -> tuple[int, ...]:
    """By the day of the pour the day on which its curing days are complete; none foreseen: the last.

    A pour is never before its day; of one that slips further than SLIPS the cure is that of the last asked.
    """
    found = []
    for on in dates[: (planned - dates[0]).days + SLIPS]:
        cured = _cured_on(job.plan.cure, on) if on >= planned else on
        found.append(len(dates) - 1 if cured is None else (cured - dates[0]).days)
    return tuple(found)


def _expected(job: SeasonJob, dates: list[date]) -> tuple[int, ...]:
    """Of a pad that is poured; one whose cure is not foreseen is lifted on the last day."""
    on = job.plan.cured_expected or dates[-1]
    return (min(max((on - dates[0]).days, 0), len(dates) - 1),)


def _after(
    work: list[Placed], n: int, who: Mapping[tuple[int, str], tuple[int, ...]]
) -> Iterable[tuple[int, int]]:
    """The steps before this one: of its job by the order of phases, of its people, of its crane."""
    day = work[n]
    found: dict[int, int] = {}
    people, crane = set(who.get((day.job, day.phase), ())), day.crane
    for k in range(n - 1, -1, -1):
        other = work[k]
        if other.job == day.job:
            same = other.phase == day.phase
            if same or other.phase in BY_KEY[day.phase].after or (other.phase, day.phase) == CURES:
                found[k] = 0 if (other.phase, day.phase) in SAME_DAY and other.on == day.on else 1
            elif NOT_BEFORE.get(day.phase) == other.phase:
                found.setdefault(k, 0)
        others = set(who.get((other.job, other.phase), ()))
        if people & others:
            found.setdefault(k, 0 if other.on == day.on else 1)
            people -= others  # whoever was there is behind that day by it
        if crane is not None and other.crane == crane:
            found.setdefault(k, 0 if other.on == day.on else 1)
            crane = None
    return sorted(found.items())


# --- what it comes to -----------------------------------------------------------------------------------


def digest(
    season: Season, days: Iterable[Placed], who: Mapping[tuple[int, str], tuple[int, ...]], assumed: Assumed
) -> str:
    """The hash of all that goes in: two that are equal give the same seasons."""
    placed = sorted(days)
    last = max((d.on for d in placed), default=season.first) + BEYOND * DAY
    jobs = [
        (
            job.key,
            job.number,
            job.promised,
            job.area,
            job.plan.cured,
            job.plan.cured_expected,
            job.plan.cure,
            sorted((on, why) for on, why in job.off.items() if on <= last),
        )
        for job in season.jobs
    ]
    inputs = (placed, sorted(who.items()), jobs, asdict(assumed), SEED, SEASONS, PROTECTING)
    return hashlib.sha256(repr(inputs).encode()).hexdigest()


def chance(found: Laid, assumed: Assumed, heard: Callable[[float], None] | None = None) -> dict[str, Any]:
    """As JSON: of each promise the seasons of a hundred that keep it, and the day most worth protecting."""
    unknowns = assumed.unknowns

    def part(begin: float, wide: float) -> Callable[[float], None] | None:
        if heard is None:
            return None
        tell = heard
        return lambda share: tell(begin + wide * share)

    network, dues = found.network, found.dues
    held = shares(network, unknowns, dues, seed=SEED, count=SEASONS, heard=part(0.0, 0.5))
    lost = costs(network, unknowns, dues, seed=SEED, count=PROTECTING, heard=part(0.5, 0.5))
    worst = max(range(len(lost)), key=lambda n: (lost[n], -n), default=None)
    told: dict[str, Any] = {
        "seasons": SEASONS,
        "seed": SEED,
        "promises": [
            {"number": p.number, "on": p.on.isoformat(), "ends": p.ends.isoformat(), "share": share}
            for p, share in zip(found.promises, held, strict=True)
        ],
        "protect": None,
    }
    if worst is not None and lost[worst] > 0:
        day = found.placed[worst]
        told["protect"] = {
            "number": found.numbers[worst],
            "phase": day.phase,
            "on": day.on.isoformat(),
            "lost": lost[worst],
        }
    return told
