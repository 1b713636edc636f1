"""Whether a plan of a season can be worked, asked a second time: no code of the program's plans is used.

It reads the plain values of the season. The order of phases is that of tests/crew/order_checker.py; who and
what is in two places, off days, absences, cards, cranes and days kept free are asked here, day by day.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from tests.crew.order_checker import BEFORE


def faults(season: Any, plan: Any) -> list[str]:
    """In words whatever cannot be; empty for a plan that can be worked."""
    found: list[str] = []
    where: dict[tuple[str, int, date], set[int]] = defaultdict(set)
    for job in season.jobs:
        days = [d for d in plan if d.job == job.key]
        found += [f"{job.number}: {words}" for words in _of_job(season, job, days)]
        for d in days:
            task = next(t for t in job.tasks if t.phase == d.phase)
            for person in next(g.people for g in task.gangs if g.crew == d.crew):
                where["person", person, d.on].add(job.key)
                if (person, d.on) in season.busy:
                    found.append(f"{person} is on another job on {d.on}")
            if d.crane is not None:
                where["crane", d.crane, d.on].add(job.key)
    found += [f"{what} is on {len(jobs)} jobs" for what, jobs in where.items() if len(jobs) > 1]
    if stray := {d.job for d in plan} - {job.key for job in season.jobs}:
        found.append(f"days of {stray}")
    return found


def _of_job(season: Any, job: Any, days: list[Any]) -> list[str]:
    found = []
    work = {t.phase: sorted(d.on for d in days if d.phase == t.phase and not d.weather) for t in job.tasks}
    for task in job.tasks:
        mine = [d for d in days if d.phase == task.phase]
        dates = [d.on for d in mine]
        if len(work[task.phase]) != task.days:
            found.append(f"{task.phase} has {len(work[task.phase])} days of {task.days}")
            continue
        if len(set(dates)) != len(dates):
            found.append(f"{task.phase} twice on a day")
        if len({(d.crew, d.crane) for d in mine}) != 1:
            found.append(f"{task.phase} changes its crew or crane")
        for d in mine:
            found += [f"{task.phase} on {d.on}: {w}" for w in _of_day(season, job, task, d)]
        if "lift" in task.phase:
            lifted = work[task.phase][-1]
            free = sorted(d.on for d in mine if d.weather)
            if len(free) != season.weather_days[lifted.month - 1] or any(on <= lifted for on in free):
                found.append(f"{task.phase} of {lifted} has {len(free)} days kept free")
        for before, same_day in BEFORE.get(task.phase, []):
            if not work.get(before):
                continue
            last = max([*work[before], *(d.on for d in days if d.phase == before and d.weather)])
            if work[task.phase][0] < last or (work[task.phase][0] == last and not same_day):
                found.append(f"{task.phase} is not behind {before}")
        if task.phase == "tower lift" and work.get("pour"):
            cured = _cured(job.plan.cure, work["pour"][-1], work[task.phase][0])
            if cured < job.plan.cure.required_days - 1e-6:
                found.append(f"lifted on a pad of {cured:.1f} curing days")
    return found


def _of_day(season: Any, job: Any, task: Any, d: Any) -> list[str]:
    found = []
    if d.on.weekday() > 4 or d.on in job.off or d.on < season.first:
        found.append("not worked")
    if task.not_before and d.on < task.not_before:
        found.append("before its gate")
    gang = next(g for g in task.gangs if g.crew == d.crew)
    here = [p for p in (season.people[k] for k in gang.people) if not p.left]
    here = [p for p in here if not any(a <= d.on <= b for a, b, _ in p.away)]
    if len(here) < min(2, len(gang.people)):
        found.append("too few people")
    held = Counter(kind for p in here for kind, expires in p.certificates if expires and expires >= d.on)
    found += [f"no {skill}" for skill in task.skills if not held[skill]]
    if "lift" in task.phase:
        if d.crane not in task.cranes:
            found.append("no crane of its own")
        booked = [b for b in season.cranes.bookings if b.crane == d.crane and b.first <= d.on <= b.last]
        if booked and all(b.cancelled for b in booked):
            found.append("its crane was cancelled")
        if (d.crane, d.on) in season.crane_busy:
            found.append("its crane is elsewhere")
    return found


def _cured(cure: Any, poured: date, on: date) -> float:
    """Curing days at the beginning of a day: mean air straight between the 15ths of two months, kept warm."""
    total, each = 0.0, poured + timedelta(days=1)
    while each < on:
        warm = each <= poured + timedelta(days=round(cure.protection_days))
        mean = 50.0 if cure.normals_f is None else _mean(cure.normals_f, each)
        mean = max(mean, cure.held_f) if warm else mean
        total += min(max((mean - 32) / 18, 0.0), 1.0)
        each += timedelta(days=1)
    return total


def _mean(normals: tuple[float, ...], on: date) -> float:
    middles = [(date(on.year + k // 12, k % 12 + 1, 15).toordinal(), normals[k % 12]) for k in range(-1, 13)]
    at = on.toordinal()
    for (a, low), (b, high) in pairwise(middles):
        if a <= at <= b:
            return low + (high - low) * (at - a) / (b - a)
    raise ValueError(on)
