"""In which order the days of a job can stand: from which day on a phase can be worked, and why. Pure.

A phase is worked after the days of the phases before it (installs/jobs/phases.py), and a tower is lifted
when the pad is cured, by the forecast of the month it is poured in. What was begun is a fact, and no plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from installs.jobs.phases import BY_KEY, PHASES
from sitecalc.pour.forecast import Expected, ForecastCase, forecast_curing
from sitecalc.wording import day_words

DAY = timedelta(days=1)
# worked on one day, with one crane: common practice, no source
SAME_DAY = frozenset({("tower lift", "turbine lift")})
PLANNABLE = tuple(phase for phase in PHASES if phase.crew_works)
LIFTS = ("tower lift", "turbine lift")


@dataclass(frozen=True, kw_only=True)
class CureTerms:
    """What the cure of a pad still to be poured is forecast from.

    normals_f
        mean air of January to December, F; None where they are not given: then a day counts one.
    held_f, protection_days
        the pad is kept at least so warm, F, for so many days.
    required_days
        curing days.
    """

    required_days: float
    normals_f: tuple[float, ...] | None = None
    held_f: float = 50.0
    protection_days: float = 0.0

    def cured_on(self, poured_on: date) -> date | None:
        """The first date on which the curing days are complete; a forecast. None if none is foreseen."""
        if self.normals_f is None:
            return poured_on + timedelta(
                days=math.ceil(self.required_days) + 1
            )  # the pour's own day counts none
        expected = Expected(
            self.normals_f, self.held_f, poured_on + timedelta(days=round(self.protection_days))
        )
        return forecast_curing(ForecastCase(expected, poured_on, 0.0, self.required_days)).opens_on


@dataclass(frozen=True)
class JobPlan:
    """What of one job the order of its days stands on, as it is known ``today``.

    ``work`` are the days of each phase that stand, in order, those behind too; ``done`` is what was finished.
    """

    today: date
    work: Mapping[str, tuple[date, ...]] = field(default_factory=dict)
    begun: frozenset[str] = frozenset()
    done: frozenset[str] = frozenset()
    poured_on: date | None = None
    cured: bool = False
    cured_expected: date | None = None  # of a pad that was poured
    cure: CureTerms = CureTerms(required_days=28.0)

    def ahead(self, phase: str) -> tuple[date, ...]:
        return tuple(on for on in self.work.get(phase, ()) if on >= self.today)


@dataclass(frozen=True)
class Earliest:
    """From which day on a phase can be worked, and by what. ``lacks`` says why there is no such day."""

    on: date
    why: str = ""
    lacks: str = ""


def earliest(plan: JobPlan, phase: str) -> Earliest:
    """By the phases before it; today where nothing is before it. Of a phase that was begun: any day."""
    if phase in plan.begun or phase in plan.done:
        return Earliest(date.min)
    found = Earliest(plan.today)
    for before in BY_KEY[phase].after:
        asked = bound(plan, before, phase)
        if asked.lacks:
            return asked
        if asked.on > found.on:
            found = asked
    return found


def bound(plan: JobPlan, before: str, phase: str) -> Earliest:
    """What one phase before this one asks of its first day."""
    return _cured(plan) if before == "cure" else _after(plan, before, phase)


def out_of_order(plan: JobPlan, phase: str, on: date) -> str:
    """Why the phase cannot be worked on that day, in words; "" where it can."""
    if on < plan.today:
        return ""
    bound = earliest(plan, phase)
    if bound.lacks:
        return bound.lacks
    if on >= bound.on:
        return ""
    return f"before {_day(bound.on, on)}, the first day for {BY_KEY[phase].title.lower()}: {bound.why}"


def _after(plan: JobPlan, before: str, phase: str) -> Earliest:
    row = BY_KEY[before]
    if row.by_facts or before in plan.done or (before == "pour" and plan.poured_on is not None):
        return Earliest(date.min)
    ahead, title = plan.ahead(before), row.title.lower()
    if ahead:
        last = max(ahead)
        on = last if (before, phase) in SAME_DAY else last + DAY
        return Earliest(on, f"{title} is on {_day(last)}")
    if before in plan.begun:
        return Earliest(plan.today, f"{title} is under way")
    return Earliest(date.min, lacks=_none_of(plan, before))


def _none_of(plan: JobPlan, phase: str) -> str:
    behind = plan.work.get(phase)
    title = BY_KEY[phase].title.lower()
    if behind:
        return (
            f"{title} of {_day(max(behind), plan.today)} is not on record, and no other day is planned for it"
        )
    return f"no {title} is planned before it"


def _cured(plan: JobPlan) -> Earliest:
    if plan.cured:
        return Earliest(date.min)
    if plan.poured_on is not None:
        # a cure without a forecast closes its gate, which says why
        on = plan.cured_expected or date.min
        return Earliest(on, f"the pad is cured on {_day(on)} by forecast")
    ahead = plan.ahead("pour")
    if not ahead:
        if "pour" in plan.begun:
            return Earliest(plan.today, "pour is under way")
        return Earliest(date.min, lacks=_none_of(plan, "pour"))
    poured = max(ahead)
    on_day = plan.cure.cured_on(poured)
    if on_day is None:
        return Earliest(date.min, lacks=f"a pad poured on {_day(poured)} is not foreseen to cure")
    by = (
        "by that season's forecast"
        if plan.cure.normals_f
        else "at 50 F or more; no monthly temperatures given"
    )
    return Earliest(
        on_day,
        f"a pad poured on {_day(poured, on_day)} has its {plan.cure.required_days:g} curing days "
        f"on {_day(on_day, poured)}, {by}",
    )


def _day(on: date, *beside: date) -> str:
    return day_words(on, weekday=True, beside=beside)


# --- issuing ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Pencilled:
    """A tentative day. ``closed`` is the sentence of its gate where that does not allow the day."""

    key: int
    phase: str
    on: date
    closed: str = ""


def held_back(plan: JobPlan, tentative: Iterable[Pencilled]) -> dict[int, str]:
    """Of one job the tentative days that cannot be put in force, with the reason.

    One that stands behind a day held back is held back itself: nobody pours into a hole that is not dug.
    """
    days = list(tentative)
    held: dict[int, str] = {}
    waiting: dict[str, date] = {}  # phase -> its first day that is held back
    for phase in PLANNABLE:
        before = next((b for b in behind(phase.key) if b in waiting), None)
        for day in sorted((d for d in days if d.phase == phase.key), key=lambda d: (d.on, d.key)):
            why = out_of_order(plan, day.phase, day.on) or day.closed
            if not why and before and phase.key not in plan.begun:
                title = BY_KEY[before].title.lower()
                why = f"{title} of {_day(waiting[before], day.on)} before it is not allowed yet"
            if why:
                held[day.key] = why
                waiting.setdefault(day.phase, day.on)
    return held


def behind(phase: str) -> tuple[str, ...]:
    """Every phase before this one, the nearest first."""
    found = list(BY_KEY[phase].after)
    for key in found:
        found += [other for other in BY_KEY[key].after if other not in found]
    return tuple(found)


def following(phase: str) -> tuple[str, ...]:
    """Every phase that comes after this one, in their order."""
    return tuple(p.key for p in PHASES if phase in behind(p.key))


# --- days behind ------------------------------------------------------------------------------------


def unsaid(plan: JobPlan, phase: str, on: date, *, begun_on: date | None, worked: bool) -> bool:
    """Whether nobody has said what became of a work day behind: worked, moved or struck.

    It was worked where its phase is on record as begun by then, or somebody said so. Of a phase that is done
    nobody is asked any more.
    """
    if on >= plan.today or worked or phase in plan.done:
        return False
    if phase == "pour" and plan.poured_on is not None:
        return False
    return begun_on is None or begun_on > on
