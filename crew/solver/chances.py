"""Asking how many seasons keep the promised dates, of a tentative plan or of the crew days as they stand."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.plan.models import CrewDay
from crew.solver.chance import Assumed, digest
from crew.solver.gathering import Terms, gather
from crew.solver.models import SeasonChance, TentativePlan
from crew.solver.season import Placed, Season
from crew.solver.services import terms_of
from installs.jobs.models import Job
from installs.people.models import User
from installs.work.services import request_work

KIND = "plans.chance"


@dataclass(frozen=True)
class Asked:
    """A season, the days of its plan, and who goes to each job's phase."""

    season: Season
    days: tuple[Placed, ...]
    who: dict[tuple[int, str], tuple[int, ...]]

    def digest(self, assumed: Assumed) -> str:
        return digest(self.season, self.days, self.who, assumed)


def days_of(plan: TentativePlan | None, at: datetime) -> Asked:
    """Of a tentative plan as it was made, in what is known now; without one of the crew days ahead."""
    return _of_plan(plan, at) if plan is not None else _standing(at)


def _of_plan(plan: TentativePlan, at: datetime) -> Asked:
    season = gather(list(plan.jobs.filter(archived_on=None)), terms_of(plan), at)
    days: list[Placed] = []
    who: dict[tuple[int, str], tuple[int, ...]] = {}
    for day in plan.days:
        key = (day["job"], day["phase"])
        who[key] = tuple(sorted({*who.get(key, ()), *day["people"]}))
        days.append(
            Placed(
                on=date.fromisoformat(day["on"]),
                job=day["job"],
                phase=day["phase"],
                weather=day["weather"],
                crew=day["crew"],
                crane=day["crane"],
            )
        )
    return Asked(season, tuple(days), who)


def _standing(at: datetime) -> Asked:
    ahead = CrewDay.objects.standing().filter(on__gte=at.date(), job__archived_on=None)
    jobs = list(Job.objects.active().filter(pk__in=ahead.values("job")))
    last = ahead.order_by("-on").values_list("on", flat=True).first() or at.date()
    season = gather(jobs, Terms(until=last), at)
    days: list[Placed] = []
    who: dict[tuple[int, str], tuple[int, ...]] = {}
    for job in season.jobs:
        for task in job.tasks:
            if task.stood:
                who[job.key, task.phase] = task.gangs[0].people
            days += [
                Placed(
                    on=on,
                    job=job.key,
                    phase=task.phase,
                    weather=False,
                    crew=task.gangs[0].crew,
                    crane=task.cranes[0] if task.cranes else None,
                )
                for on in task.stood
            ]
    return Asked(season, tuple(days), who)


@transaction.atomic
def ask_chance(
    plan: TentativePlan | None, assumed: Assumed, known: dict[str, str], *, by: User, at: datetime
) -> SeasonChance:
    """The same inputs asked twice, by whomever, are one. ValidationError where nothing is promised."""
    asked = days_of(plan, at)
    with_days = {day.job for day in asked.days}
    if not any(job.promised and job.key in with_days for job in asked.season.jobs):
        raise ValidationError({"of": "None of its jobs has a promised date and days ahead."})
    row, _ = SeasonChance.objects.get_or_create(
        asked=asked.digest(assumed),
        defaults={"of": plan, "assumed": asdict(assumed), "known": known, "made_at": at, "made_by": by},
    )
    row.work = request_work(KIND, {"chance": row.pk}, by=by, at=at, key=str(row.pk))
    row.save(update_fields=["work"])
    return row


def assumed_of(row: SeasonChance) -> Assumed:
    given: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in row.assumed.items()
    }
    return Assumed(**given)
