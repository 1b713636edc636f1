"""A job's days as a chain: from the first day and the crews to a date for everything. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from crew.plan.order import LIFTS, JobPlan, earliest
from installs.jobs.phases import BY_KEY
from sitecalc.workdays import FURTHEST, day_off

DAY = timedelta(days=1)
# crew days of each phase, and which crew it is for, in the order in which they are laid: common practice, no
# source; each is asked on the page
USUAL: Mapping[str, tuple[int, str]] = {
    "excavation": (2, "pad"),
    "pour": (1, "pad"),
    "tower assembly": (2, "tower"),
    "ground station": (2, "electric"),
    "tower lift": (1, "tower"),
    "turbine lift": (1, "tower"),
    "commissioning": (1, "electric"),
}
MOST_DAYS = 20
# worked from the last day of the other on: once the hole is closed. Common practice, no source
NOT_BEFORE = {"ground station": "pour"}


@dataclass(frozen=True)
class ChainCase:
    """``crew`` and ``days`` by phase; a phase with no days is left out.

    weather_days
        kept free behind each lift.
    off
        days on which the site is not worked, with the reason.
    taken
        by crew, the days on which its people are elsewhere or away, with the reason.
    shares
        by crew, the other crews that have people of it: they are in one place at a time.
    """

    plan: JobPlan
    first: date
    days: Mapping[str, int]
    crew: Mapping[str, int]
    weather_days: int = 1
    off: Mapping[date, str] = field(default_factory=dict)
    taken: Mapping[int, Mapping[date, str]] = field(default_factory=dict)
    shares: Mapping[int, frozenset[int]] = field(default_factory=dict)


@dataclass(frozen=True)
class Laid:
    """A day of the chain. ``why`` says what made it wait, where something did."""

    phase: str
    on: date
    crew: int
    weather: bool = False
    why: str = ""


def to_lay(plan: JobPlan) -> tuple[str, ...]:
    """The phases that have neither begun nor a day ahead."""
    return tuple(
        key for key in USUAL if key not in plan.begun and key not in plan.done and not plan.ahead(key)
    )


def lay(case: ChainCase) -> tuple[Laid, ...]:
    """Every day of the chain, each as early as what is before it, the site and its crew allow.

    ValueError where a crew has no free day, or a phase nothing that it could stand behind.
    """
    laid: list[Laid] = []
    plan, last = case.plan, case.first - DAY
    for phase in to_lay(case.plan):
        count = case.days.get(phase, 0)
        if not count:
            continue
        bound = earliest(plan, phase)
        if bound.lacks:
            raise ValueError(f"{BY_KEY[phase].title}: {bound.lacks}.")
        start, why = max(bound.on, case.first), bound.why if bound.on > last + DAY else ""
        start = max(start, *plan.work.get(NOT_BEFORE.get(phase, ""), (start,)))
        free_behind = [each.on for each in laid if each.phase in BY_KEY[phase].after and each.weather]
        start = max([start, *(on + DAY for on in free_behind)])
        kinds = [False] * count + [True] * (case.weather_days if phase in LIFTS else 0)
        on = start
        for weather in kinds:
            on, waits = _free(case, case.crew[phase], on, laid)
            laid.append(Laid(phase, on, case.crew[phase], weather, "; ".join(w for w in (why, waits) if w)))
            on, why = on + DAY, ""
        work = tuple(each.on for each in laid if each.phase == phase and not each.weather)
        plan = replace(plan, work={**plan.work, phase: (*plan.work.get(phase, ()), *work)})
        last = max(last, laid[-1].on)
    return tuple(laid)


def _free(case: ChainCase, crew: int, on: date, laid: Iterable[Laid]) -> tuple[date, str]:
    """The first day from ``on`` worked at the site on which the crew is free, and what took those before."""
    why = ""
    same = {crew, *case.shares.get(crew, ())}
    held = {each.on for each in laid if each.crew in same}
    for day in (on + n * DAY for n in range(FURTHEST)):
        taken = case.taken.get(crew, {}).get(day, "")
        off = day_off(day, case.off)
        if not taken and not off and day not in held:
            return day, why
        if off not in ("Saturday", "Sunday"):
            why = why or taken or off
    raise ValueError("A crew has no free day.")
