"""Asking for a tentative plan, putting one down, issuing it; and the dates that owners were promised."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.plan.issuing import issue_plan
from crew.plan.models import Crew, CrewDay, Plan
from crew.plan.services import LONGEST_WHY, add_day, strike_day
from crew.solver.gathering import Terms, changed_since, gather, movable_days, stands_on, watched
from crew.solver.models import PromisedDate, TentativePlan
from installs.checklists.models import Entry
from installs.equipment.models import Crane
from installs.jobs.getters import locked
from installs.jobs.models import Event, Job
from installs.jobs.services import write_event
from installs.people.models import User
from installs.work.services import request_work
from sitecalc.wording import day_words

KIND = "plans.tentative"


@transaction.atomic
def promise(job: Job, on: date | None, *, by: User, at: datetime) -> PromisedDate:
    """The newest date stands; without one it is taken back."""
    job = locked(job)
    row = PromisedDate.objects.create(job=job, on=on, made_at=at, made_by=by)
    what = f"Promised for {day_words(on, year=True)}." if on else "The promised date was taken back."
    write_event(job, "date promised", what, by=by, at=at, data={"on": on.isoformat() if on else ""})
    return row


def terms_of(plan: TentativePlan) -> Terms:
    given: dict[str, Any] = plan.terms
    slipped = given["slipped"]
    return Terms(
        until=plan.until,
        first=date.fromisoformat(given["first"]) if given["first"] else None,
        free=given["free"],
        winter_free=given["winter_free"],
        repair=plan.repair,
        slipped=(slipped[0], slipped[1], date.fromisoformat(slipped[2])) if slipped else None,
    )


@transaction.atomic
def ask(jobs: Sequence[Job], terms: Terms, why: str, *, by: User, at: datetime) -> TentativePlan:
    """The same asked twice, by whomever, of what has not changed since: one plan."""
    season = gather(jobs, terms, at)
    if not season.jobs:
        raise ValidationError({"jobs": "Nothing of these jobs is to be planned: all is begun or done."})
    if without := [j.number for j in season.jobs for t in j.tasks if not t.gangs]:
        raise ValidationError({"jobs": f"There is no crew for {without[0]}: add one first."})
    stands = stands_on(season)
    said = {
        "first": terms.first.isoformat() if terms.first else "",
        "free": terms.free,
        "winter_free": terms.winter_free,
        "slipped": [terms.slipped[0], terms.slipped[1], terms.slipped[2].isoformat()]
        if terms.slipped
        else None,
    }
    keys = [job.key for job in season.jobs]
    asked = repr((keys, terms.until, terms.repair, said, stands, season.today))
    plan, made = TentativePlan.objects.get_or_create(
        asked=hashlib.sha256(asked.encode()).hexdigest(),
        defaults={
            "until": terms.until,
            "why": why,
            "repair": terms.repair,
            "terms": said,
            "stands_on": stands,
            "made_at": at,
            "made_by": by,
        },
    )
    if made:
        plan.jobs.set(keys)
    plan.work = request_work(KIND, {"plan": plan.pk}, by=by, at=at, key=str(plan.pk))
    plan.save(update_fields=["work"])
    return plan


def changed(plan: TentativePlan, at: datetime) -> list[str]:
    """What it was made from and is another now, in words; empty where it stands."""
    season = gather(list(plan.jobs.all()), terms_of(plan), at)
    return [*changed_since(plan.stands_on, stands_on(season)), *_behind(plan, season.today)]


def changed_as_shown(plan: TentativePlan, at: datetime) -> list[str]:
    """The same for a page, which need not read every job where nothing was recorded of one since."""
    jobs = list(plan.jobs.all())
    since = plan.made_at
    if (
        Event.objects.filter(job__in=jobs, at__gt=since).exists()
        or Entry.objects.filter(job__in=jobs, received_at__gt=since).exists()
    ):
        return changed(plan, at)
    now = watched()
    found = changed_since({name: was for name, was in plan.stands_on.items() if name in now}, now)
    today = min((job.local(at).date() for job in jobs), default=at.date())
    return [*found, *_behind(plan, today)]


def _behind(plan: TentativePlan, today: date) -> list[str]:
    behind = any(date.fromisoformat(day["on"]) < today for day in plan.days)
    return ["the day: some of its days are behind"] if behind else []


@transaction.atomic
def put_down(plan: TentativePlan, *, by: User, at: datetime) -> int:
    """Its days in place of those that stand, tentative; how many are other than before. Once.

    What is begun or worked stays. A day that moves is struck with the reason, and written anew.
    """
    jobs = {job.pk: locked(job) for job in plan.jobs.order_by("pk")}
    row = TentativePlan.objects.select_for_update(of=("self",)).select_related("work").get(pk=plan.pk)
    if row.put_down_at is not None:
        raise ValidationError("This plan was scheduled already.")
    if row.is_impossible:
        raise ValidationError("There is no plan: its demands conflict.")
    if not row.is_made:
        raise ValidationError("This plan is not made yet.")
    if what := changed(row, at):
        raise ValidationError(f"Changed since it was made: {', '.join(what)}. Make it again.")
    crews, cranes = Crew.objects.in_bulk(), Crane.objects.in_bulk()
    people = User.objects.in_bulk()
    why = (row.why or f"tentative plan {row.pk}")[:LONGEST_WHY]
    news: list[tuple[dict[str, Any], CrewDay | None]] = []
    for key, job in jobs.items():
        news += _differ([day for day in row.days if day["job"] == key], movable_days(job, at), why, by, at)
    for day, was in sorted(news, key=lambda pair: (pair[0]["on"], pair[0]["number"])):
        add_day(
            jobs[day["job"]],
            day["phase"],
            date.fromisoformat(day["on"]),
            crews[day["crew"]],
            by=by,
            at=at,
            people=[people[key] for key in day["people"]],
            kind=CrewDay.Kind.WEATHER if day["weather"] else CrewDay.Kind.WORK,
            note=was.note if was else "",
            crane=cranes.get(day["crane"]),
            moved_from=was,
        )
    TentativePlan.objects.filter(pk=row.pk).update(put_down_at=at, put_down_by=by)
    return len(news)


def _differ(
    days: Sequence[dict[str, Any]], stand: Sequence[CrewDay], why: str, by: User, at: datetime
) -> list[tuple[dict[str, Any], CrewDay | None]]:
    """The days to write, each with the struck one that it stands for; every other stands as it is."""
    found: list[tuple[dict[str, Any], CrewDay | None]] = []
    kinds = {(day["phase"], day["weather"]) for day in days}
    kinds |= {(row.phase, row.kind == CrewDay.Kind.WEATHER) for row in stand}
    for phase, weather in sorted(kinds):
        mine = sorted(
            (d for d in days if (d["phase"], d["weather"]) == (phase, weather)), key=lambda d: d["on"]
        )
        kind = CrewDay.Kind.WEATHER if weather else CrewDay.Kind.WORK
        rows = sorted((r for r in stand if (r.phase, r.kind) == (phase, kind)), key=lambda r: (r.on, r.pk))
        for n in range(max(len(mine), len(rows))):
            day = mine[n] if n < len(mine) else None
            row = rows[n] if n < len(rows) else None
            if day is not None and row is not None and _same(day, row):
                continue
            if row is not None:
                strike_day(row, why, by=by, at=at)
            if day is not None:
                found.append((day, row))
    return found


def _same(day: dict[str, Any], row: CrewDay) -> bool:
    named = {person.pk for person in row.people.all()}
    crane = row.crane_id in (None, day["crane"]) if day["crane"] else row.crane_id is None
    return (
        row.on.isoformat() == day["on"]
        and row.crew_id == day["crew"]
        and named == set(day["people"])
        and crane
    )


@transaction.atomic
def issue(plan: TentativePlan, what: str, *, by: User, at: datetime) -> tuple[int, Plan | None, list[str]]:
    """Put it down and in force what gates and order allow. (days written, the letter, why none was issued)"""
    written = put_down(plan, by=by, at=at)
    try:
        issued = issue_plan(what, by=by, at=at)
    except ValidationError as error:
        return written, None, error.messages
    TentativePlan.objects.filter(pk=plan.pk).update(plan=issued)
    return written, issued, []
