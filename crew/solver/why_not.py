"""Why a season cannot be planned, or a promised date not be held: the demands that conflict. Pure.

A conflict is a set of demands that cannot all be held, and can as soon as any one of them is taken away. It
is found by asking the model of ever smaller sets (U. Junker, QUICKXPLAIN, AAAI 2004, from memory); what the
solver itself names as sufficient is neither smallest nor sure (google/or-tools issues 2563, 3017 and 5141).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from time import monotonic
from typing import Any

from crew.plan.clashes import listed, short
from crew.solver.demands import Asked, Demand, asked, demands_of, promised_jobs, words_of
from crew.solver.model import BEHIND, Build
from crew.solver.season import Placed, Season, SeasonJob
from crew.solver.solving import Effort, Sofar, Told, solved

MOST = 5  # conflicts that are told of one plan
EACH_S = 5.0  # at most for one question


class Undecided(Exception):
    """Whether it can be planned was not found out in the time."""


@dataclass(frozen=True, kw_only=True)
class Said:
    """A demand in words, and what would mend it."""

    demand: Demand
    words: str
    mend: str


@dataclass(frozen=True, kw_only=True)
class Conflict:
    """``sure``: each of the demands was shown to be needed; else some may not be."""

    jobs: tuple[str, ...]
    demands: tuple[Said, ...]
    sure: bool = True


class Asking:
    """Asks whether a season can be planned, until the time is over."""

    def __init__(self, season: Season, effort: Effort, told: Told | None = None) -> None:
        self.season, self.effort, self.told = season, effort, told
        self.ends = monotonic() + effort.seconds

    def plan(
        self, held: tuple[Demand, ...], also: tuple[int, ...] = (), soonest: int | None = None
    ) -> tuple[Placed, ...] | None:
        """A plan that holds these demands, None where there is none; with ``soonest`` that job ends first.

        Undecided where the time is over before it is known.
        """
        question = asked(self.season, held, also)
        if question.lacking:
            return None
        if not question.season.jobs:
            return ()
        left = self.ends - monotonic()
        if left <= 0:
            raise Undecided
        build = _build(question, open_ended=bool(also) or len(question.due) < len(question.season.jobs))
        if soonest is not None:
            job = next(j for j in question.season.jobs if j.key == soonest)
            build.sooner(job)
        found = solved(build.model, replace(self.effort, seconds=min(EACH_S, left), quick=True), self._heard)
        if found.solver is not None:
            return build.read(found.solver)
        if found.impossible:
            return None
        raise Undecided

    def _heard(self, sofar: Sofar) -> None:
        if self.told is not None:
            self.told(Sofar(None, None))

    def broken(self, held: tuple[Demand, ...]) -> bool:
        return self.plan(held) is None

    def is_known_broken(self, held: tuple[Demand, ...]) -> bool:
        try:
            return self.broken(held)
        except Undecided:
            return False

    def smallest(self, demands: tuple[Demand, ...]) -> tuple[tuple[Demand, ...], bool]:
        """Of demands that cannot all be held a set of which none can be spared, and whether that is sure."""
        sure = True

        def broken(held: tuple[Demand, ...]) -> bool:
            nonlocal sure
            try:
                return self.broken(held)
            except Undecided:  # kept as if it were needed, which a conflict with one demand too many survives
                sure = False
                return False

        return explain(demands, broken), sure


def explain(demands: tuple[Demand, ...], broken: Callable[[tuple[Demand, ...]], bool]) -> tuple[Demand, ...]:
    """QUICKXPLAIN: of ``demands``, which are broken together, a smallest set.

    Of two sets that would do it is rather the one with what stands first.
    """

    def of(held: tuple[Demand, ...], added: bool, rest: tuple[Demand, ...]) -> tuple[Demand, ...]:
        if added and broken(held):
            return ()
        if len(rest) == 1:
            return rest
        first, second = rest[: len(rest) // 2], rest[len(rest) // 2 :]
        behind = of((*held, *first), bool(first), second)
        before = of((*held, *behind), bool(behind), first)
        return (*before, *behind)

    if not demands or broken(()):
        return ()
    return of((), False, demands)


def _build(question: Asked, open_ended: bool) -> Build:
    """The model of what is held, with the days by which jobs are due; no further than it needs to look."""
    season = question.season
    furthest = max(question.due.values(), default=season.first)
    until = season.last - BEHIND if open_ended else furthest
    build = Build(replace(season, until=max(until, season.first)))
    for key, on in question.due.items():
        for work in (w for (job, _), w in build.works.items() if job == key):
            build.model.add(work.work[-1].on <= build.number(on))
    return build


def conflicts(
    season: Season, plan: tuple[Placed, ...] | None, effort: Effort, told: Told | None = None
) -> list[Conflict]:
    """Why there is no plan (``plan`` is None), or why promised dates are not held by it. At most MOST.

    Each further one is of a season from which what was promised, or wanted, first is taken away.
    """
    asking = Asking(season, effort, told)
    found: list[Conflict] = []
    gone: set[int] = set()
    while len(found) < MOST:
        conflict = _next(asking, plan, gone)
        if conflict is None:
            break
        found.append(conflict[0])
        gone |= conflict[1]
    return found


def _next(
    asking: Asking, plan: tuple[Placed, ...] | None, gone: set[int]
) -> tuple[Conflict, set[int]] | None:
    season = asking.season
    wanted = "job" if plan is None else "promise"
    whole = season if plan is None else promised_jobs(season)
    jobs = [job for job in whole.jobs if job.key not in gone]
    for some in _tries(jobs, plan):
        demands = demands_of(replace(whole, jobs=some), wanted)
        if asking.is_known_broken(demands):
            core, sure = asking.smallest(demands)
            conflict = Conflict(
                jobs=tuple(
                    job.number for job in whole.jobs if job.key in {d.of for d in core if d.kind == wanted}
                ),
                demands=tuple(_said(asking, core, demand) for demand in core),
                sure=sure,
            )
            late = set(_late(jobs, plan)) if plan is not None else set()
            mine = {d.of for d in core if d.kind == wanted}
            # one that the plan holds stays; without one that is late, all of the set
            return conflict, (mine & late) or mine or {job.key for job in some}
    return None


def _late(jobs: list[SeasonJob], plan: tuple[Placed, ...] | None) -> dict[int, SeasonJob]:
    ends: dict[int, date] = {}
    for day in plan or ():
        if not day.weather:
            ends[day.job] = max(ends.get(day.job, day.on), day.on)
    return {j.key: j for j in jobs if j.promised and ends.get(j.key, date.max) > j.promised}


def _tries(jobs: list[SeasonJob], plan: tuple[Placed, ...] | None) -> Iterator[tuple[SeasonJob, ...]]:
    """Which jobs are asked about together: one alone, then with more of those that are due near it."""
    first = list(_late(jobs, plan).values()) if plan is not None else jobs
    for job in first:
        yield (job,)
    for job in first:
        near = sorted((j for j in jobs if j is not job), key=lambda j: (_apart(job, j), j.number))
        many = 1
        while many <= len(near):
            yield (job, *near[:many])
            many *= 2
        if near and many // 2 < len(near):
            yield (job, *near)


def _apart(one: SeasonJob, other: SeasonJob) -> int:
    if one.promised is None or other.promised is None:
        return 0
    return abs((one.promised - other.promised).days)


# --- what a plan without a demand shows -----------------------------------------------------------------


def _said(asking: Asking, core: tuple[Demand, ...], demand: Demand) -> Said:
    words, mend = words_of(asking.season, demand)
    rest = tuple(each for each in core if each != demand)
    try:
        if demand.kind == "promise":
            mend = _later(asking, core, demand) or mend
        elif demand.kind in ("crane", "crew"):
            without = asking.plan(rest)
            words = _at_once(asking, rest, demand, without or ()) or words
        elif demand.kind == "cure":
            words = _cured(asking, core, demand) or words
    except Undecided:
        pass
    return Said(demand=demand, words=words, mend=mend)


def _later(asking: Asking, core: tuple[Demand, ...], demand: Demand) -> str:
    """The first day on which the job can be over: everything that is asked of these jobs is held, not the
    conflict's few demands alone, for that day may be promised to an owner."""
    mine = {d.of for d in core if d.kind == "promise"}
    jobs = tuple(job for job in asking.season.jobs if job.key in mine)
    everything = demands_of(replace(asking.season, jobs=jobs), "promise")
    rest = tuple(each for each in everything if each != demand)
    plan = asking.plan(rest, also=(demand.of,), soonest=demand.of)
    if not plan:
        return ""
    end = max(day.on for day in plan if day.job == demand.of and not day.weather)
    return f"A later promise: {short(end)} is the first day that can be held, all else as asked."


def _cured(asking: Asking, core: tuple[Demand, ...], demand: Demand) -> str:
    """When the pad is cured at the soonest, with nothing held but the conflict's other demands."""
    job = next(j for j in asking.season.jobs if j.key == demand.of)
    if job.plan.poured_on or not any(t.phase == "pour" for t in job.tasks):
        return ""
    held = tuple(d for d in core if d.kind != "promise" or d.of != job.key)
    plan = asking.plan(held, also=(job.key,), soonest=job.key)
    poured = max((d.on for d in plan or () if d.job == job.key and d.phase == "pour"), default=None)
    cured = job.plan.cure.cured_on(poured) if poured else None
    if poured is None or cured is None:
        return ""
    return f"The pad of {job.number}, even poured on {short(poured)}, is not cured before {short(cured)}."


def _at_once(asking: Asking, rest: tuple[Demand, ...], demand: Demand, without: tuple[Placed, ...]) -> str:
    """ "Crane T-7 is needed on Fri Jun 14 for lifts of 2031-001 and 2031-002" """
    season = asking.season
    question = asked(season, rest)
    numbers = {job.key: job.number for job in season.jobs}
    on_days: dict[date, set[str]] = {}
    for day in without:
        if demand.kind == "crane" and question.stand_in.get(day.crane or 0) == demand.of:
            on_days.setdefault(day.on, set()).add(numbers[day.job])
            if (demand.of, day.on) in season.crane_busy:
                on_days[day.on].add(season.crane_busy[demand.of, day.on])
        if demand.kind == "crew" and day.crew == demand.of:
            on_days.setdefault(day.on, set()).add(numbers[day.job])
            on_days[day.on] |= _busy(season, day)
    both = min((on for on, jobs in on_days.items() if len(jobs) > 1), default=None)
    if both is None:
        return ""
    jobs = listed(sorted(on_days[both]))
    if demand.kind == "crane":
        name = season.cranes.cranes[demand.of].name
        one = "the one crane that is named for them" if _only(season, demand.of) else "in one place at a time"
        return f"The lifts of {jobs} both need {name} on {short(both)}, {one}."
    name = next(g.name for j in season.jobs for t in j.tasks for g in t.gangs if g.crew == demand.of)
    return f"{name} is needed on {short(both)} at {jobs}, and is in one place at a time."


def _busy(season: Season, day: Placed) -> set[str]:
    job = next(j for j in season.jobs if j.key == day.job)
    gang = next(g for t in job.tasks if t.phase == day.phase for g in t.gangs if g.crew == day.crew)
    return {season.busy[key, day.on] for key in gang.people if (key, day.on) in season.busy}


def _only(season: Season, crane: int) -> bool:
    lifts = [t for job in season.jobs for t in job.tasks if crane in t.cranes]
    return all(t.cranes == (crane,) for t in lifts)


# --- as JSON --------------------------------------------------------------------------------------------


def why_json(found: list[Conflict]) -> list[dict[str, Any]]:
    return [
        {
            "jobs": list(conflict.jobs),
            "sure": conflict.sure,
            "demands": [
                {"kind": said.demand.kind, "words": said.words, "mend": said.mend}
                for said in conflict.demands
            ],
        }
        for conflict in found
    ]
