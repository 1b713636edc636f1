"""Seasons small enough to be tried out, and trying them out: every day for everything, one after another.

No code of the program's plans is used for the trying. A demand that is not held is a rule that is not asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations
from typing import Any

from crew.plan.clashes import PersonFact
from crew.plan.crane_clashes import BookingFact, CraneFact, CraneFacts
from crew.plan.order import CureTerms, JobPlan
from crew.solver.season import Gang, Season, SeasonJob, Task
from tests.crew.order_checker import BEFORE
from tests.solver.season_checker import _cured
from tests.solver.seasons import FAR, MONDAY, day

CARDS = ("lift director", "rigger", "signal person", "climber", "electrician")
ALL_DONE = frozenset({"excavation", "pour", "tower assembly", "ground station", "tower lift", "turbine lift"})
PAD, TOWER, OTHERS = (
    Gang(crew=1, name="Pad crew", people=(11, 12)),
    Gang(crew=2, name="Tower crew", people=(21, 22)),
    Gang(crew=3, name="Rook's crew", people=(31, 32)),
)


def person(key: int, **fields: Any) -> PersonFact:
    return PersonFact(
        key,
        f"Person {key}",
        fields.pop("away", ()),
        fields.pop("certificates", tuple((c, FAR) for c in CARDS)),
        **fields,
    )


def small(*jobs: SeasonJob, **fields: Any) -> Season:
    people = {key: person(key) for gang in (PAD, TOWER, OTHERS) for key in gang.people}
    cranes = CraneFacts({1: CraneFact(1, "Crane T-7", True), 2: CraneFact(2, "Crane T-9", True)}, ())
    known = {"today": MONDAY, "first": MONDAY, "until": day(40), "weather_days": (0,) * 12, "cranes": cranes}
    return Season(**{**known, "jobs": jobs, "people": people | fields.pop("people", {}), **fields})


def one_job(n: int, *tasks: Task, due: int | None = None, done: Any = ALL_DONE, **fields: Any) -> SeasonJob:
    plan = fields.pop("plan", JobPlan(MONDAY, done=frozenset(done) - {t.phase for t in tasks}, cured=True))
    promised = None if due is None else day(due)
    return SeasonJob(key=n, number=f"2031-{n:03}", plan=plan, tasks=tasks, promised=promised, **fields)


def lift(gang: Gang, *cranes: int, **fields: Any) -> Task:
    return Task(phase="tower lift", days=1, gangs=(gang,), cranes=cranes or (1,), **fields)


def cases() -> dict[str, Season]:
    """By what is wrong with each."""
    dig = Task(phase="excavation", days=2, gangs=(PAD,))
    pour = Task(phase="pour", days=1, gangs=(PAD,))
    turbine = Task(phase="turbine lift", days=1, gangs=(TOWER,), cranes=(1,))
    closed = {day(n): "the site is closed: calving" for n in range(5)}
    gone = BookingFact(1, 1, MONDAY, day(4), True, "swing motor")
    ill = {21: person(21, away=((MONDAY, day(9), "ill"),))}
    ended = tuple((c, day(-1) if c == "climber" else FAR) for c in CARDS)
    cured = JobPlan(
        MONDAY,
        done=frozenset({"tower assembly"}),
        poured_on=day(-10),
        cured_expected=day(8),
    )
    to_pour = JobPlan(
        MONDAY, done=frozenset({"excavation", "tower assembly"}), cure=CureTerms(required_days=7.0)
    )
    return {
        "two lifts and one crane": small(
            one_job(1, lift(TOWER), due=1), one_job(2, lift(OTHERS), due=0), one_job(3, lift(OTHERS), due=1)
        ),
        "the cure of a pad that is poured": small(one_job(1, lift(TOWER), due=4, plan=cured)),
        "the cure of a pad to be poured": small(one_job(1, pour, lift(TOWER), due=5, plan=to_pour)),
        "one crew for two pads": small(one_job(1, dig, pour, due=4), one_job(2, dig, pour, due=4)),
        "a gate": small(
            one_job(
                1,
                Task(
                    phase="excavation",
                    days=2,
                    gangs=(PAD,),
                    not_before=day(7),
                    not_before_why="the permit is promised",
                ),
                due=7,
            )
        ),
        "an illness": small(one_job(1, lift(TOWER), due=8), people=ill),
        "a card": small(
            one_job(
                1,
                Task(phase="turbine lift", days=1, gangs=(TOWER,), cranes=(1,), skills=("rigger", "climber")),
                due=8,
            ),
            people={21: person(21, certificates=ended), 22: person(22, certificates=ended)},
        ),
        "a closed site": small(one_job(1, dig, due=4, off=closed)),
        "a cancelled crane": small(
            one_job(1, lift(TOWER), due=3),
            cranes=CraneFacts({1: CraneFact(1, "Crane T-7", True)}, (gone,)),
        ),
        "days kept free": small(one_job(1, lift(TOWER), turbine, due=2), weather_days=(2,) * 12),
        "a pour on no record": small(
            one_job(1, lift(TOWER), due=9, plan=JobPlan(MONDAY, done=frozenset({"tower assembly"})))
        ),
        "a crane that stays elsewhere": small(
            one_job(1, lift(TOWER), due=1), crane_busy={(1, day(n)): "2031-009" for n in range(2)}
        ),
    }


# --- tried out ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Held:
    """Which demands are asked, each by what the program calls it."""

    demands: frozenset[Any]

    def __call__(self, kind: str, of: int = 0, word: str = "") -> bool:
        return any((d.kind, d.of, d.word) == (kind, of, word) for d in self.demands)


def possible(season: Season, demands: Any, wanted: str = "promise") -> bool:
    """Whether some way of putting every task on days holds all of the demands."""
    held = Held(frozenset(demands))
    jobs = [job for job in season.jobs if held(wanted, job.key)]
    for job in jobs:
        pours = {t.phase for t in job.tasks} & {"pour"}
        planned = pours or "pour" in job.plan.done or job.plan.poured_on or job.plan.cured
        if not planned and held("record", job.key, "tower lift"):
            return False
    todo = [(job, task) for job in jobs for task in job.tasks]
    return _put(season, held, todo, {}, set())


def _put(season: Any, held: Held, todo: list[Any], work: dict[Any, list[date]], taken: set[Any]) -> bool:
    if not todo:
        return True
    (job, task), rest = todo[0], todo[1:]
    for days, free, who in _ways(season, held, job, task, work):
        takes = {(name, on) for name in who for on in (*days, *free)}
        if not takes & taken:
            found = {**work, (job.key, task.phase): list(days), (job.key, task.phase, "free"): list(free)}
            if _put(season, held, rest, found, taken | takes):
                return True
    return False


def _ways(season: Any, held: Held, job: Any, task: Any, work: dict[Any, list[date]]) -> Iterator[Any]:
    ends = job.promised if job.promised and held("promise", job.key) else day(20)
    span = [season.first + timedelta(days=n) for n in range((ends - season.first).days + 1)]
    behind = [season.first + timedelta(days=n) for n in range((ends - season.first).days + 8)]
    for gang in task.gangs:
        for crane in task.cranes or (None,):
            can = [on for on in span if _can(season, held, job, task, gang, crane, on)]
            after = [on for on in behind if _can(season, held, job, task, gang, crane, on)]
            for days in combinations(can, task.days):
                if not _in_order(held, job, task, days, work):
                    continue
                many = (
                    season.weather_days[days[-1].month - 1] if held("weather") and "lift" in task.phase else 0
                )
                for free in combinations([on for on in after if on > days[-1]], many):
                    yield days, free, _who(held, gang, crane)


def _who(held: Held, gang: Any, crane: int | None) -> list[str]:
    people = [f"person {p}" for p in gang.people] if held("crew", gang.crew) else []
    return [*people, f"crane {crane}"] if crane is not None and held("crane", crane) else people


def _can(season: Any, held: Held, job: Any, task: Any, gang: Any, crane: Any, on: date) -> bool:
    closed = job.off.get(on, "")
    if on.weekday() > 4 or (
        closed and (held("closed", job.key) or not closed.startswith("the site is closed"))
    ):
        return False
    if task.not_before and on < task.not_before and held("gate", job.key, task.phase):
        return False
    if crane is not None and held("crane", crane):
        if (crane, on) in season.crane_busy:
            return False
        gone = any(
            b.crane == crane and b.cancelled and b.first <= on <= b.last for b in season.cranes.bookings
        )
        if gone and held("cancelled", crane):
            return False
    if not held("crew", gang.crew):
        return True
    here = [
        p
        for p in gang.people
        if not (held("absence", p) and any(a <= on <= b for a, b, _ in season.people[p].away))
    ]
    if len(here) < 2 or any((p, on) in season.busy for p in gang.people):
        return False
    return all(
        any(kind == skill and ends >= on for p in here for kind, ends in season.people[p].certificates)
        for skill in task.skills
        if held("card", 0, skill)
    )


def _in_order(held: Held, job: Any, task: Any, days: Any, work: dict[Any, list[date]]) -> bool:
    for before, same_day in BEFORE.get(task.phase, []):
        mine = work.get((job.key, before))
        if mine and (days[0] < max(mine) or (days[0] == max(mine) and not same_day)):
            return False
        if any(days[0] <= on for on in work.get((job.key, before, "free"), ())):
            return False
    if task.phase != "tower lift" or not held("cure", job.key):
        return True
    poured = work.get((job.key, "pour"))
    if poured:
        return bool(_cured(job.plan.cure, poured[-1], days[0]) >= job.plan.cure.required_days - 1e-6)
    return job.plan.cured or not job.plan.cured_expected or days[0] >= job.plan.cured_expected
