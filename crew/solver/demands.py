"""What a season is asked to hold, demand by demand, so that each can be taken away by itself. Pure.

A demand that is taken away is a season of its own: the model is never asked to switch anything off. What
hangs on two of them (a cancelled crane, where another crane would do as well) holds only while both do, so
that taking a demand away never makes anything impossible.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import count

from crew.plan.clashes import PersonFact, short
from crew.plan.crane_clashes import CraneFact, CraneFacts
from crew.plan.order import CureTerms, bound
from crew.solver.season import Gang, Season, SeasonJob, Task
from installs.jobs.phases import BY_KEY

CLOSED = "the site is closed"  # as days_off of crew/days/moving.py begins the reason of a closed day


@dataclass(frozen=True, order=True)
class Demand:
    """``kind`` and what it is of: a job's key, a crane, a crew, a person, a phase, a skill."""

    kind: str
    of: int = 0
    word: str = ""


@dataclass(frozen=True)
class Asked:
    """A season with only what is held of it.

    due
        by job the day by which it must be over.
    stand_in
        by a crane that is there for one lift alone, which crane it stands for.
    lacking
        nothing can be planned, whatever the days.
    """

    season: Season
    due: dict[int, date] = field(default_factory=dict)
    stand_in: dict[int, int] = field(default_factory=dict)
    lacking: bool = False


def promised_jobs(season: Season) -> Season:
    """The jobs that were promised for a day; the others give way to them by as much as they must."""
    return replace(season, jobs=tuple(job for job in season.jobs if job.promised))


def demands_of(season: Season, wanted: str) -> tuple[Demand, ...]:
    """Every demand of these jobs; ``wanted`` is "promise" or "job": by its date, or planned at all."""
    found: list[Demand] = [Demand(wanted, job.key) for job in season.jobs]
    tasks = [(job, task) for job in season.jobs for task in job.tasks]
    for job, task in tasks:
        if _lacks(job, task):
            found.append(Demand("record", job.key, task.phase))
        if task.phase == "tower lift" and not job.plan.cured:
            found.append(Demand("cure", job.key))
        if task.not_before is not None and task.not_before > season.first:
            found.append(Demand("gate", job.key, task.phase))
    found += [
        Demand("closed", job.key)
        for job in season.jobs
        if any(w.startswith(CLOSED) for w in job.off.values())
    ]
    used = sorted({crane for _, task in tasks for crane in task.cranes})
    found += [Demand("crane", crane) for crane in used]
    found += [
        Demand("cancelled", crane)
        for crane in used
        if any(b.crane == crane and b.cancelled and b.last >= season.first for b in season.cranes.bookings)
    ]
    gangs = [gang for _, task in tasks for gang in task.gangs]
    found += [Demand("crew", crew) for crew in sorted({gang.crew for gang in gangs})]
    people = sorted({key for gang in gangs for key in gang.people if key in season.people})
    found += [
        Demand("absence", key)
        for key in people
        if season.people[key].left or any(last >= season.first for _, last, _ in season.people[key].away)
    ]
    found += [Demand("card", 0, skill) for skill in sorted({s for _, task in tasks for s in task.skills})]
    if used and any(season.weather_days):
        found.append(Demand("weather"))
    return tuple(dict.fromkeys(found))


def _lacks(job: SeasonJob, task: Task) -> str:
    """What is neither on record nor planned, so that the phase has nothing to stand behind."""
    mine = {each.phase for each in job.tasks}
    for before in BY_KEY[task.phase].after:
        if before not in mine and not (before == "cure" and "pour" in mine):
            lacks = bound(job.plan, before, task.phase).lacks
            if lacks:
                return lacks
    return ""


def asked(season: Season, held: Collection[Demand], also: Iterable[int] = ()) -> Asked:
    """The season where only these demands hold; ``also`` are jobs that are in it without being due."""
    holds = set(held)
    wanted = {d.of for d in holds if d.kind in ("promise", "job")} | set(also)
    fresh = count(-1, -1)
    stand_in: dict[int, int] = {}
    people = {key: _person(who, Demand("absence", key) in holds) for key, who in season.people.items()}
    jobs = []
    for job in season.jobs:
        if job.key not in wanted:
            continue
        tasks = []
        for task in job.tasks:
            cranes = []
            for crane in task.cranes:
                if Demand("crane", crane) in holds:
                    cranes.append(crane)
                else:
                    cranes.append(next(fresh))
                    stand_in[cranes[-1]] = crane
            gangs = []
            for gang in task.gangs:
                gangs.append(gang)
                if Demand("crew", gang.crew) not in holds:
                    others = tuple(next(fresh) for _ in gang.people)
                    people |= {key: _able(key, task.skills) for key in others}
                    gangs[-1] = Gang(crew=gang.crew, name=gang.name, people=others)
            gated = Demand("gate", job.key, task.phase) in holds
            tasks.append(
                replace(
                    task,
                    cranes=tuple(cranes),
                    gangs=tuple(gangs),
                    skills=tuple(s for s in task.skills if Demand("card", 0, s) in holds),
                    not_before=task.not_before if gated else None,
                    stood=(),
                    stood_free=(),
                    signed_for=(),
                )
            )
        jobs.append(_job(job, tuple(tasks), holds))
    due = {job.key: job.promised for job in jobs if job.promised and Demand("promise", job.key) in holds}
    bookings = [b for b in season.cranes.bookings if not b.cancelled or Demand("cancelled", b.crane) in holds]
    known = dict(season.cranes.cranes) | {
        key: CraneFact(key, season.cranes.cranes[crane].name, False) for key, crane in stand_in.items()
    }
    kept = replace(
        season,
        jobs=tuple(jobs),
        people=people,
        cranes=CraneFacts(known, tuple(bookings)),
        weather_days=season.weather_days if Demand("weather") in holds else (0,) * 12,
        mobilized=frozenset(),
    )
    lacking = any(
        Demand("record", job.key, task.phase) in holds and _lacks(job, task)
        for job in season.jobs
        for task in job.tasks
        if job.key in wanted
    )
    return Asked(kept, due, stand_in, lacking)


def _job(job: SeasonJob, tasks: tuple[Task, ...], holds: set[Demand]) -> SeasonJob:
    plan, off = job.plan, job.off
    if Demand("cure", job.key) not in holds:
        plan = replace(plan, cured=True, cure=CureTerms(required_days=0.0))
    if Demand("closed", job.key) not in holds:
        off = {on: why for on, why in off.items() if not why.startswith(CLOSED)}
    return replace(job, plan=plan, tasks=tasks, off=off)


def _person(who: PersonFact, away: bool) -> PersonFact:
    return who if away else replace(who, away=(), left=False)


def _able(key: int, skills: tuple[str, ...]) -> PersonFact:
    return PersonFact(key, "another", (), tuple((skill, date.max) for skill in skills))


# --- in the office's words ------------------------------------------------------------------------------


def words_of(season: Season, demand: Demand) -> tuple[str, str]:
    """The demand, and what would mend it; what only a plan without it shows is said by why_not.py."""
    job = next((each for each in season.jobs if each.key == demand.of), None)
    number = job.number if job else ""
    match demand.kind:
        case "promise":
            assert job is not None and job.promised is not None
            return f"{number} is promised for {short(job.promised)}.", "A later promise."
        case "job":
            return f"{number} is to be planned.", "Leave it out of this plan."
        case "record":
            assert job is not None
            task = next(t for t in job.tasks if t.phase == demand.word)
            title = BY_KEY[task.phase].title
            return f"{title} of {number}: {_lacks(job, task)}.", "Put it on record, or plan it."
        case "cure":
            return _cure_words(job, number)
        case "gate":
            assert job is not None
            task = next(t for t in job.tasks if t.phase == demand.word)
            assert task.not_before is not None
            title = BY_KEY[task.phase].title
            return (
                f"{title} of {number} cannot begin before {short(task.not_before)}: {task.not_before_why}.",
                "What it waits for in hand sooner.",
            )
        case "closed":
            assert job is not None
            return f"{number}: {_closed_words(job)}.", "Ask the owner for one of these days."
        case "cancelled":
            name = season.cranes.cranes[demand.of].name
            gone = [b for b in season.cranes.bookings if b.crane == demand.of and b.cancelled]
            spans = "; ".join(f"{_span(b.first, b.last)}, {b.cancelled.rstrip('.')}" for b in gone)
            return f"{name} was cancelled: {spans}.", "Book it again for those days, or another crane."
        case "absence":
            who = season.people[demand.of]
            if who.left:
                return f"{who.name} works with us no more.", "Somebody in their place."
            away = (
                f"{_span(a, b)}{f' ({why})' if why else ''}" for a, b, why in who.away if b >= season.first
            )
            return f"{who.name} is away {'; '.join(away)}.", "A person more in their place on those days."
        case "card":
            return (
                f"{demand.word.capitalize()}: somebody with a certificate valid on the day goes along.",
                "A card renewed, or a person more who holds one.",
            )
        case "weather":
            return (
                f"{_free_words(season)} kept free behind each lift for the weather.",
                "Fewer days kept free; what that risks is said under chance.",
            )
        case "crane":
            return (
                f"{season.cranes.cranes[demand.of].name} is one crane, in one place at a time.",
                "Another crane.",
            )
        case "crew":
            name = next(g.name for j in season.jobs for t in j.tasks for g in t.gangs if g.crew == demand.of)
            return f"{name} is one crew, in one place at a time.", "Another crew that can do it."
    raise ValueError(demand)


def _cure_words(job: SeasonJob | None, number: str) -> tuple[str, str]:
    mend = "A warmer cure, or an earlier pour. An early release is the engineer's alone, in writing."
    if job is not None and job.plan.poured_on and job.plan.cured_expected:
        return f"The cure of {number} ends {short(job.plan.cured_expected)}, by forecast.", mend
    days = job.plan.cure.required_days if job else 0.0
    return f"The pad of {number} cures {days:g} curing days before the tower is lifted.", mend


def _closed_words(job: SeasonJob) -> str:
    found: dict[str, list[date]] = {}
    for on in sorted(job.off):
        if job.off[on].startswith(CLOSED):
            found.setdefault(job.off[on], []).append(on)
    return "; ".join(f"{why}, {_span(days[0], days[-1])}" for why, days in found.items())


def _free_words(season: Season) -> str:
    few, many = min(season.weather_days), max(season.weather_days)
    said = f"{few}" if few == many else f"{few} to {many}"
    return f"{said} day{'s are' if many > 1 else ' is'}"


def _span(first: date, last: date) -> str:
    return short(first) if first == last else f"{short(first)} to {short(last)}"
