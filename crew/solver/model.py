"""The season as one CP-SAT model: a day is an interval that a gang and a crane are taken for. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any

from crew.plan.chain import NOT_BEFORE
from crew.plan.order import LIFTS, SAME_DAY, CureTerms, bound, following
from crew.solver.season import (
    DAY,
    Gang,
    Placed,
    Season,
    SeasonJob,
    Task,
    off_for_crane,
    off_for_gang,
    week_of,
)
from installs.jobs.phases import BY_KEY

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

# looked at beyond the last day of the hint: a plan that is better ends not far behind it
BEHIND = timedelta(days=28)
Var = Any  # a variable or an expression of the solver: its own types are not exported
Of = Callable[[Var], int]  # the value of a variable in the hint


@dataclass
class _Day:
    """A work day or a day kept free. ``there`` is None where it always is."""

    on: Var
    weather: bool
    there: Var | None = None


@dataclass
class _Work:
    job: SeasonJob
    task: Task
    days: list[_Day] = field(default_factory=list)
    gangs: list[Var] = field(default_factory=list)  # by gang whether it does it
    cranes: list[Var] = field(default_factory=list)

    @property
    def work(self) -> list[_Day]:
        return [d for d in self.days if not d.weather]

    @property
    def free(self) -> list[_Day]:
        return [d for d in self.days if d.weather]


def _all_of(literals: Sequence[Var], of: Of) -> int:
    return int(all(of(each) for each in literals))


def _any_pair(pairs: Sequence[tuple[Var, Var]], of: Of) -> int:
    return int(any(of(one) and of(other) for one, other in pairs))


def _moved(day: Var, stood: int, of: Of) -> int:
    return int(of(day) != stood)


def _gap(day: Var, stood: int, of: Of) -> int:
    return abs(of(day) - stood)


def _outside(day: Var, among: frozenset[int], of: Of) -> int:
    return int(of(day) not in among)


def _inside(day: Var, low: int, high: int, of: Of) -> int:
    return int(low <= of(day) <= high)


@lru_cache(maxsize=20_000)
def _cured_on(cure: CureTerms, poured: date) -> date | None:
    return cure.cured_on(poured)


class Build:
    """The variables of a season and what holds between them."""

    def __init__(self, season: Season, start: Iterable[Placed] = ()) -> None:
        from ortools.sat.python import cp_model

        self.cp: Any = cp_model
        self.model: cp_model.CpModel = cp_model.CpModel()
        self.season = season
        ends = max((placed.on for placed in start), default=season.until)
        self.last = self.number(min(max(ends, season.until) + BEHIND, season.last))
        self.dates = [season.first + n * DAY for n in range(self.last + 1)]
        self.works: dict[tuple[int, str], _Work] = {}
        self.taken: dict[frozenset[str], list[Var]] = defaultdict(list)  # by who is taken, the intervals
        self.unsigned: list[Var] = []
        self.moved: list[Var] = []
        self.shifted: list[Var] = []
        # what follows from the days, gangs and cranes, in the order in which it does: see hint
        self.follows: list[tuple[Var, Callable[[Of], int]]] = []
        for job in season.jobs:
            for task in job.tasks:
                self.works[job.key, task.phase] = self._work(job, task)
            self._order(job)
        self._nobody_twice()

    def number(self, on: date) -> int:
        return (on - self.season.first).days

    # --- days ---------------------------------------------------------------------------------------

    def _work(self, job: SeasonJob, task: Task) -> _Work:
        work = _Work(job, task)
        free = max(self.season.weather_days) if task.phase in LIFTS else 0
        for n in range(task.days + free):
            name = f"{job.number} {task.phase} {n}"
            on = self.model.new_int_var(0, self.last, name)
            work.days.append(_Day(on, n >= task.days))
        for one, other in zip(work.work, work.work[1:], strict=False):
            self.model.add(other.on >= one.on + 1)
        self._kept_free(work)
        work.gangs = self._one_of(work, len(task.gangs), "gang")
        work.cranes = self._one_of(work, len(task.cranes), "crane") if task.cranes else []
        for gang, chosen in zip(task.gangs, work.gangs, strict=True):
            self._takes(work, chosen, self._days_of(job, task, gang), {f"person {p}" for p in gang.people})
        for crane, chosen in zip(task.cranes, work.cranes, strict=True):
            can = [self.number(on) for on in self.dates if not off_for_crane(self.season, crane, on)]
            self._takes(work, chosen, can, {f"crane {crane}"})
        self._signatures(work)
        self._nearness(work)
        return work

    def _kept_free(self, work: _Work) -> None:
        """The n-th day behind a lift is there where its month asks for n, else lies on the one before."""
        if not work.free:
            return
        before = lifted = work.work[-1].on
        for n, free in enumerate(work.free, start=1):
            asks = [self.number(on) for on in self.dates if self.season.kept_free(on) >= n]
            there = self.model.new_bool_var("")
            domain = self.cp.Domain.from_values(asks)
            self.model.add_linear_expression_in_domain(lifted, domain).only_enforce_if(there)
            self.model.add_linear_expression_in_domain(lifted, domain.complement()).only_enforce_if(~there)
            self.model.add(free.on >= before + 1).only_enforce_if(there)
            self.model.add(free.on == before).only_enforce_if(~there)
            free.there, before = there, free.on

    def _one_of(self, work: _Work, many: int, what: str) -> list[Var]:
        chosen = [
            self.model.new_bool_var(f"{work.job.number} {work.task.phase} {what} {n}") for n in range(many)
        ]
        self.model.add_exactly_one(chosen)
        return chosen

    def _days_of(self, job: SeasonJob, task: Task, gang: Gang) -> list[int]:
        can = (on for on in self.dates if not off_for_gang(self.season, job, task, gang, on))
        return [self.number(on) for on in can]

    def _takes(self, work: _Work, chosen: Var, can: Sequence[int], whom: set[str]) -> None:
        """Where it is chosen, every day lies on one that it can, and it is taken for nothing else on it."""
        domain = self.cp.Domain.from_values(can)
        for day in work.days:
            needs = [chosen] if day.there is None else [chosen, day.there]
            self.model.add_linear_expression_in_domain(day.on, domain).only_enforce_if(needs)
            if len(needs) == 1:
                there = chosen
            else:
                there = self.model.new_bool_var("")
                self.model.add_bool_and(needs).only_enforce_if(there)
                self.model.add_bool_or([~n for n in needs] + [there])
                self.follows.append((there, partial(_all_of, needs)))
            interval = self.model.new_optional_fixed_size_interval_var(day.on, 1, there, "")
            self.taken[frozenset(whom)].append(interval)

    def _nobody_twice(self) -> None:
        """People and cranes are in one place at a time; those that always go together are asked once."""
        groups: dict[frozenset[frozenset[str]], set[str]] = defaultdict(set)
        for each in {name for whom in self.taken for name in whom}:
            groups[frozenset(whom for whom in self.taken if each in whom)].add(each)
        for whoms in groups:
            self.model.add_no_overlap([i for whom in whoms for i in self.taken[whom]])

    # --- order --------------------------------------------------------------------------------------

    def _order(self, job: SeasonJob) -> None:
        mine = {task.phase: self.works[job.key, task.phase] for task in job.tasks}
        for phase, work in mine.items():
            first = work.work[0].on
            for before in BY_KEY[phase].after:
                if before == "cure" and "pour" in mine:
                    self._cure(job, mine["pour"].work[-1].on, first)
                elif before in mine:
                    same = (before, phase) in SAME_DAY
                    self.model.add(first >= mine[before].work[-1].on + (0 if same else 1))
                    for free in mine[before].free:
                        self.model.add(first >= free.on + 1).only_enforce_if(free.there)
                else:
                    asked = bound(job.plan, before, phase)
                    if not asked.lacks and asked.on > self.season.first:
                        self.model.add(first >= self.number(asked.on))
            hole = NOT_BEFORE.get(phase)
            if hole in mine:
                self.model.add(first >= mine[hole].work[-1].on)
            for after in following(phase):
                kept = job.plan.ahead(after)
                if kept and after not in job.plan.begun and after not in mine:
                    for day in work.days:
                        self.model.add(day.on <= self.number(min(kept)) - 1)

    def _cure(self, job: SeasonJob, poured: Var, lifted: Var) -> None:
        """The lift waits for the cure of the season it is poured in, day by day of that forecast."""
        cured = [self._cured(job, on) for on in self.dates]
        ready = self.model.new_int_var(0, max(*cured, self.last + 1), f"{job.number} cured")
        self.model.add_element(poured, cured, ready)
        self.follows.append((ready, lambda of: cured[of(poured)]))
        self.model.add(lifted >= ready)

    def _cured(self, job: SeasonJob, poured: date) -> int:
        on = _cured_on(job.plan.cure, poured)
        return self.last + 1 if on is None else self.number(on)

    # --- aims ---------------------------------------------------------------------------------------

    def _signatures(self, work: _Work) -> None:
        """Each lift day that is none of those its signed plan is for."""
        among = frozenset(self.number(on) for on in work.task.signed_for)
        for day in work.work if among else ():
            off = self.model.new_bool_var("")
            domain = self.cp.Domain.from_values(sorted(among))
            self.model.add_linear_expression_in_domain(day.on, domain).only_enforce_if(~off)
            self.unsigned.append(off)
            self.follows.append((off, partial(_outside, day.on, among)))

    def _nearness(self, work: _Work) -> None:
        for day, stood in zip(work.work, work.task.stood, strict=False):
            there, at = self.model.new_bool_var(""), self.number(stood)
            gap = self.model.new_int_var(0, self.last + abs(at), "")
            self.model.add(day.on == at).only_enforce_if(~there)
            self.model.add(gap >= day.on - at)
            self.model.add(gap >= at - day.on)
            self.moved.append(there)
            self.shifted.append(gap)
            self.follows.append((there, partial(_moved, day.on, at)))
            self.follows.append((gap, partial(_gap, day.on, at)))

    def aims(self, most_moved: int | None = None) -> None:
        w = self.season.weights
        jobs = [job for job in self.season.jobs if job.tasks]
        ends = [self._end(job) for job in jobs]
        late = [self._late(job, end) for job, end in zip(jobs, ends, strict=True)]
        self.model.minimize(
            w.late * sum(late)
            + w.mobilization * sum(self._mobilizations())
            + w.signed * sum(self.unsigned)
            + w.moved * sum(self.moved)
            + w.shifted * sum(self.shifted)
            + w.ends * sum(ends)
        )
        if most_moved is not None:
            self.model.add(sum(self.moved) <= most_moved)

    def fewest_moved(self) -> None:
        """In place of the aims: as few days as can be get another date."""
        self.model.minimize(sum(self.moved))

    def sooner(self, job: SeasonJob) -> None:
        """In place of the aims: this job ends as early as it can."""
        self.model.minimize(self._end(job))

    def _end(self, job: SeasonJob) -> Var:
        end = self.model.new_int_var(0, self.last, f"{job.number} ends")
        lasts = [self.works[job.key, task.phase].work[-1].on for task in job.tasks]
        for last in lasts:
            self.model.add(end >= last)
        self.follows.append((end, lambda of: max(of(last) for last in lasts)))
        return end

    def _late(self, job: SeasonJob, end: Var) -> Var:
        late = self.model.new_int_var(0, self.last + 1, f"{job.number} late")
        wanted = self.number(self.season.wanted_by(job))
        self.model.add(late >= end - wanted)
        self.follows.append((late, lambda of: max(of(end) - wanted, 0)))
        return late

    def _mobilizations(self) -> list[Var]:
        """By crane, week and group of sites whether it goes there."""
        weeks: dict[tuple[int, int], list[int]] = defaultdict(list)
        for on in self.dates:
            weeks[week_of(on)].append(self.number(on))
        goes: dict[tuple[int, tuple[int, int], int], Var] = {}
        asked: dict[int, list[tuple[Var, Var]]] = defaultdict(list)
        for work in self.works.values():
            for day in work.work if work.cranes else ():
                inside = {week: self.model.new_bool_var("") for week in weeks}
                self.model.add_exactly_one(inside.values())
                for week, literal in inside.items():
                    low, high = weeks[week][0], weeks[week][-1]
                    domain = self.cp.Domain(low, high)
                    self.model.add_linear_expression_in_domain(day.on, domain).only_enforce_if(literal)
                    self.follows.append((literal, partial(_inside, day.on, low, high)))
                    for crane, chosen in zip(work.task.cranes, work.cranes, strict=True):
                        key = (crane, week, work.job.area)
                        if key in self.season.mobilized:
                            continue
                        if key not in goes:
                            goes[key] = self.model.new_bool_var("")
                        self.model.add_bool_or([~literal, ~chosen, goes[key]])
                        asked[goes[key].index].append((literal, chosen))
        for there in goes.values():
            self.follows.append((there, partial(_any_pair, asked[there.index])))
        return list(goes.values())

    # --- in and out ---------------------------------------------------------------------------------

    def hint(self, plan: Iterable[Placed]) -> None:
        """Every variable as the plan has it, so that the solver begins with it. After the aims."""
        by_work: dict[tuple[int, str], list[Placed]] = defaultdict(list)
        for placed in plan:
            by_work[placed.job, placed.phase].append(placed)
        values: dict[int, int] = {}
        for key, work in self.works.items():
            mine = by_work[key]
            at = 0
            for weather, days in ((False, work.work), (True, work.free)):
                dates = sorted(p.on for p in mine if p.weather == weather)
                for n, day in enumerate(days):
                    at = self.number(dates[n]) if n < len(dates) else at
                    values[day.on.index] = at
                    if day.there is not None:
                        values[day.there.index] = int(n < len(dates))
            for gang, chosen in zip(work.task.gangs, work.gangs, strict=True):
                values[chosen.index] = int(any(p.crew == gang.crew for p in mine))
            for crane, chosen in zip(work.task.cranes, work.cranes, strict=True):
                values[chosen.index] = int(any(p.crane == crane for p in mine))
        for variable, value in self.follows:
            values[variable.index] = value(lambda asked: values[asked.index])
        for index, each in values.items():
            self.model.add_hint(self.model.get_int_var_from_proto_index(index), each)

    def read(self, solver: cp_model.CpSolver) -> tuple[Placed, ...]:
        found = []
        for work in self.works.values():
            crew = next(g.crew for g, c in zip(work.task.gangs, work.gangs, strict=True) if solver.value(c))
            cranes = zip(work.task.cranes, work.cranes, strict=True)
            crane = next((key for key, c in cranes if solver.value(c)), None)
            for day in work.days:
                if day.there is None or solver.value(day.there):
                    on = self.season.first + solver.value(day.on) * DAY
                    placed = Placed(
                        on=on,
                        job=work.job.key,
                        phase=work.task.phase,
                        weather=day.weather,
                        crew=crew,
                        crane=crane,
                    )
                    found.append(placed)
        return tuple(sorted(found))
