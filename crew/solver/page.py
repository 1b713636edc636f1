"""A tentative plan as its page shows it: beside the plan that stands, and what moves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from crew.plan.models import Crew
from crew.solver.models import TentativePlan
from crew.solver.plan_strip import Day, JobRow, Strip, plan_strip
from installs.equipment.models import Crane
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from sitecalc.wording import day_words


@dataclass(frozen=True)
class Line:
    """One aim: what one of it weighs, and what the plan that stands, that by hand and this come to."""

    title: str
    weight: str
    stands: str
    hand: str
    this: str
    beside: str = ""


@dataclass(frozen=True)
class Kept:
    """A job's promised date, or the day by which it is wanted, and when it ends."""

    number: str
    wanted: date
    promised: bool
    stands: str
    this: str


@dataclass(frozen=True)
class Row:
    """A day of the plan. ``was``: the date that stands, where it is another."""

    title: str
    on: date
    was: date | None
    new: bool
    crew: str
    crane: str


COMPARED = 20  # plans, the newest, among which others of the same jobs are looked for
AIMS = (
    ("late", "Days late against the promised dates, all jobs", "late"),
    (
        "mobilizations",
        "Crane mobilizations: weeks in which a crane goes to near sites",
        "mobilization",
    ),
    ("signed", "Lift days off the days their signed plan is for", "signed"),
    ("moved", "Days that get another date", "moved"),
    ("shifted", "Days by which they move, in all", "shifted"),
    ("ends", "Days from the first to the end of each job, in all", "ends"),
)


def aims(plan: TentativePlan, beside: TentativePlan | None = None) -> list[Line]:
    told: dict[str, Any] = plan.told
    if "score" not in told:
        return []
    stands = told["stands"]
    other: dict[str, Any] = beside.told if beside else {}

    def of(key: str) -> tuple[str, str, str, str]:
        scores = (stands, told["hand"], told["score"], other.get("score"))
        return tuple(f"{each[key]:,}" if each else "" for each in scores)  # type: ignore[return-value]  # four

    lines = [Line(title, f"{told['weights'][weight]:,}", *of(key)) for key, title, weight in AIMS]
    kept = [_kept(told, "stands") if stands else "", "", _kept(told, "ends")]
    kept.append(_kept(other, "ends") if other else "")
    days = [told["stands_crane_days"] if stands else "", told["hand_crane_days"], told["crane_days"]]
    days.append(other.get("crane_days", ""))
    return [
        Line("Promised dates kept", "", *kept),
        *lines,
        Line("Crane days, weather days with them", "", *(str(each) for each in days)),
        Line("Points in all: less is better", "", *of("total")),
    ]


def _kept(told: dict[str, Any], which: str) -> str:
    promised = [job for job in told["jobs"] if job["promised"]]
    kept = sum(job[which] <= job["promised"] for job in promised if job[which])
    return f"{kept} of {len(promised)}" if promised else "none promised"


def promises(plan: TentativePlan) -> list[Kept]:
    return [
        Kept(
            job["number"],
            date.fromisoformat(job["wanted"]),
            bool(job["promised"]),
            _against(job["stands"], job["wanted"]),
            _against(job["ends"], job["wanted"]),
        )
        for job in plan.told.get("jobs", ())
    ]


def not_held(plan: TentativePlan) -> list[str]:
    """The jobs that end after their promised date."""
    jobs = plan.told.get("jobs", ())
    return [job["number"] for job in jobs if job["promised"] and job["ends"] > job["promised"]]


def _against(ends: str, wanted: str) -> str:
    """ "Tue Jun 9, kept", "Tue Jun 9, 4 days late" """
    if not ends:
        return "not planned"
    on, by = date.fromisoformat(ends), date.fromisoformat(wanted)
    late = (on - by).days
    said = "kept" if late <= 0 else f"{late} day{'s' if late > 1 else ''} late"
    return f"{day_words(on, weekday=True, beside=(by,))}, {said}"


def rows(plan: TentativePlan) -> list[tuple[str, list[Row]]]:
    """By job the days in their order."""
    crews, cranes = Crew.objects.in_bulk(), Crane.objects.in_bulk()
    days = sorted(plan.days, key=lambda day: (day["number"], day["on"], day["weather"]))
    found = []
    for number, mine in groupby(days, key=lambda day: day["number"]):
        found.append((number, [_row(day, crews, cranes) for day in mine]))
    return found


def _row(day: dict[str, Any], crews: dict[int, Crew], cranes: dict[int, Crane]) -> Row:
    on, was = date.fromisoformat(day["on"]), date.fromisoformat(day["was"]) if day["was"] else None
    crane = cranes.get(day["crane"]) if day["crane"] else None
    return Row(
        title=BY_KEY[day["phase"]].title + (", weather day" if day["weather"] else ""),
        on=on,
        was=was if was != on else None,
        new=was is None,
        crew=crews[day["crew"]].name if day["crew"] in crews else "",
        crane=str(crane) if crane else "",
    )


# --- strips ---------------------------------------------------------------------------------------------


def others(plan: TentativePlan) -> list[TentativePlan]:
    """The newest other plans of the same jobs."""
    mine = _numbers(plan)
    made = TentativePlan.objects.exclude(pk=plan.pk).exclude(days=[])[:COMPARED]
    return [other for other in made if mine and _numbers(other) == mine]


def _numbers(plan: TentativePlan) -> set[str]:
    return {job["number"] for job in plan.told.get("jobs", ())}


def strips(plan: TentativePlan, today: date, beside: TentativePlan | None = None) -> list[tuple[str, Strip]]:
    """What stands, where it has days, the plan ``beside`` it and this one, over the same days."""
    if not plan.days or "jobs" not in plan.told:
        return []
    crews, cranes = Crew.objects.in_bulk(), Crane.objects.in_bulk()
    numbers = sorted({day["number"] for day in plan.days})
    owners = dict(Job.objects.filter(number__in=numbers).values_list("number", "owner"))
    told = {job["number"]: job for job in plan.told["jobs"]}
    this = [_drawn(day, day["on"], crews, cranes) for day in plan.days]
    stood = [_drawn({**day, "was": ""}, day["was"], crews, cranes) for day in plan.days if day["was"]]
    those = [_drawn(day, day["on"], crews, cranes) for day in beside.days] if beside else []
    shown = [d.on for d in (*this, *stood, *those)]
    over = (min(shown), max(shown))
    found = []
    if stood:
        jobs = [_job_row(told[n], owners[n], "stands") for n in numbers]
        found.append(("What stands", plan_strip(jobs, stood, today, "What stands", over)))
    if beside:
        named = str(beside).capitalize()
        of_it = {job["number"]: job for job in beside.told["jobs"]}
        jobs = [_job_row(of_it[n], owners[n], "ends") for n in numbers]
        found.append((named, plan_strip(jobs, those, today, named, over)))
    jobs = [_job_row(told[n], owners[n], "ends") for n in numbers]
    title = str(plan).capitalize()
    found.append(("This plan", plan_strip(jobs, this, today, title, over)))
    return found


def _drawn(day: dict[str, Any], on: str, crews: dict[int, Crew], cranes: dict[int, Crane]) -> Day:
    crane = cranes.get(day["crane"]) if day["crane"] else None
    return Day(
        job=day["number"],
        phase=day["phase"],
        on=date.fromisoformat(on),
        weather=day["weather"],
        crew=crews[day["crew"]].name if day["crew"] in crews else "",
        crane=str(crane) if crane else "",
        moved_from=date.fromisoformat(day["was"]) if day["was"] and day["was"] != on else None,
    )


def _job_row(told: dict[str, Any], owner: str, which: str) -> JobRow:
    promised = date.fromisoformat(told["promised"]) if told["promised"] else None
    ends = date.fromisoformat(told[which]) if told[which] else None
    cured = told.get("cured", "") if which == "ends" else ""
    return JobRow(
        number=told["number"],
        owner=owner,
        promised=promised,
        cured=date.fromisoformat(cured) if cured else None,
        late=(ends - promised).days if ends and promised else None,
    )


# --- chance ---------------------------------------------------------------------------------------------


def kept_words(share: float, on: date) -> tuple[int, str]:
    """Of a hundred how many, never rounded up: 99.9 percent are 99; and the sentence."""
    kept = math.floor(100 * share + 1e-9)
    said = "Fewer than 1" if not kept and share > 0 else f"{kept}"
    return kept, f"{said} of 100 seasons keep {day_words(on)}"


def protect_words(told: dict[str, Any] | None) -> str:
    if told is None:
        return ""
    on = day_words(date.fromisoformat(told["on"]), weekday=True)
    lost = 100 * told["lost"]
    many = f"{lost:.0f}" if lost >= 1 else "fewer than 1"
    title = BY_KEY[told["phase"]].title
    what = f"{title} of {told['number']} on {on}"
    return f"{what}: if it comes a day later, 100 seasons lose {many} kept promises more"
