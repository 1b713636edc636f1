"""A plan and what it comes to as JSON: made in the worker, read by the page."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import asdict
from datetime import date
from typing import Any

from crew.plan.order import LIFTS
from crew.solver.making import Planned
from crew.solver.season import Placed, Season, SeasonJob, score


def days_json(season: Season, plan: Iterable[Placed]) -> list[dict[str, Any]]:
    """Each day with the date that stands for it ("": none does) and who goes."""
    found = []
    days = sorted(plan)
    for job in season.jobs:
        for task in job.tasks:
            for weather, stood in ((False, task.stood), (True, task.stood_free)):
                mine = [d for d in days if (d.job, d.phase, d.weather) == (job.key, task.phase, weather)]
                for n, day in enumerate(mine):
                    gang = next(g for g in task.gangs if g.crew == day.crew)
                    found.append(
                        {
                            "job": job.key,
                            "number": job.number,
                            "phase": day.phase,
                            "on": day.on.isoformat(),
                            "weather": weather,
                            "crew": day.crew,
                            "crane": day.crane,
                            "people": list(season.present(gang, day.on)),
                            "was": stood[n].isoformat() if n < len(stood) else "",
                        }
                    )
    return found


def told_of(season: Season, planned: Planned | None, hand: tuple[Placed, ...]) -> dict[str, Any]:
    """What the page sets side by side: the plan that stands, that by hand, and this one."""
    days = planned.days if planned else hand
    stands = _standing(season)
    of_hand = score(season, hand)
    return {
        "stands": asdict(score(season, stands)) if stands else None,
        "stands_crane_days": _crane_days(stands),
        "hand": asdict(of_hand),
        "hand_crane_days": _crane_days(hand),
        "score": asdict(planned.score if planned else of_hand),
        "crane_days": _crane_days(days),
        "bound": planned.bound if planned else None,
        "proven": planned.proven if planned else False,
        "weights": asdict(season.weights),
        "jobs": [
            {
                "number": job.number,
                "promised": job.promised.isoformat() if job.promised else "",
                "wanted": season.wanted_by(job).isoformat(),
                "stands": _end(stands, job.key),
                "ends": _end(days, job.key),
                "cured": _cured(job, days),
            }
            for job in season.jobs
        ],
        "code": code_of(days_json(season, days)),
    }


def code_of(days: list[dict[str, Any]]) -> str:
    return hashlib.sha256(json.dumps(days, sort_keys=True).encode()).hexdigest()[:8]


def _standing(season: Season) -> tuple[Placed, ...]:
    """The plan that stands; none where a phase of one of its jobs has no days."""
    tasks = [(job, task) for job in season.jobs for task in job.tasks]
    if not all(len(task.stood) == task.days for _, task in tasks):
        return ()
    return tuple(
        Placed(
            on=on,
            job=job.key,
            phase=task.phase,
            weather=weather,
            crew=task.gangs[0].crew,
            crane=task.cranes[0] if task.cranes else None,
        )
        for job, task in tasks
        for weather, days in ((False, task.stood), (True, task.stood_free))
        for on in days
    )


def _end(days: Iterable[Placed], job: int) -> str:
    ends: date | None = max((d.on for d in days if d.job == job and not d.weather), default=None)
    return ends.isoformat() if ends else ""


def _cured(job: SeasonJob, days: Iterable[Placed]) -> str:
    """The forecast day on which the pad is cured that is poured, or poured by this plan."""
    poured = max((d.on for d in days if d.job == job.key and d.phase == "pour"), default=None)
    cured = job.plan.cure.cured_on(poured) if poured else job.plan.cured_expected
    return cured.isoformat() if cured else ""


def _crane_days(days: Iterable[Placed]) -> int:
    return len({(d.crane, d.on) for d in days if d.phase in LIFTS})
