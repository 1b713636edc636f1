"""Seasons made up at random, for tests and benchmark: jobs, two kinds of crews and electricians, cranes."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from crew.plan.chain import USUAL
from crew.plan.clashes import PersonFact
from crew.plan.crane_clashes import BookingFact, CraneFact, CraneFacts
from crew.plan.order import LIFTS, CureTerms, JobPlan
from crew.solver.season import Gang, Season, SeasonJob, Task
from installs.jobs.phases import BY_KEY, LIFT_SKILLS
from sitecalc.workdays import holidays_between

MONDAY = date(2031, 3, 3)
FAR = date(2099, 1, 1)
NORMALS_F = (12.0, 18.0, 30.0, 44.0, 56.0, 65.0, 71.0, 69.0, 59.0, 46.0, 30.0, 17.0)  # a cold plain, made up


def day(n: int) -> date:
    return MONDAY + timedelta(days=n)


def make_season(seed: int, jobs: int, **fields) -> Season:
    """``jobs`` jobs over some months, promised for dates of which not every one can be kept."""
    random = Random(f"{seed} {jobs}")
    gangs, people = _people(random)
    cranes = CraneFacts(
        {1: CraneFact(1, "Crane T-7", True), 2: CraneFact(2, "Crane T-9", True)},
        (BookingFact(1, 1, day(70), day(76), True, "swing motor"),),
    )
    made = tuple(_job(random, n, gangs, jobs) for n in range(1, jobs + 1))
    known = {
        "today": MONDAY,
        "first": MONDAY,
        "until": day(200),
        "jobs": made,
        "people": people,
        "cranes": cranes,
        "weather_days": (2, 2, 2, 1, 1, 1, 1, 1, 1, 1, 2, 2),
    }
    return Season(**{**known, **fields})


def _people(random: Random) -> tuple[dict[str, list[Gang]], dict[int, PersonFact]]:
    kinds = {"pad": (), "tower": (*LIFT_SKILLS, "climber"), "electric": ("electrician",)}
    gangs: dict[str, list[Gang]] = {}
    people: dict[int, PersonFact] = {}
    for kind, cards in kinds.items():
        for nth in range(1, 3):
            crew = len(gangs) * 10 + nth
            gangs.setdefault(kind, [])
            mine = tuple(crew * 10 + n for n in range(3))
            for key in mine:
                begin = day(random.randrange(10, 150))
                away = ((begin, begin + timedelta(days=random.randrange(3, 12)), "ill"),)
                held = tuple((card, FAR) for card in cards if key != mine[2])
                people[key] = PersonFact(key, f"Person {key}", away if random.random() < 0.4 else (), held)
            gangs[kind].append(Gang(crew=crew + 100 * len(gangs), name=f"{kind} crew {nth}", people=mine))
    return gangs, people


def _job(random: Random, n: int, gangs: dict[str, list[Gang]], jobs: int) -> SeasonJob:
    tasks = []
    for phase, (days, kind) in USUAL.items():
        many = max(1, days + random.choice([0, 0, 1, -1]))
        tasks.append(
            Task(
                phase=phase,
                days=many if phase not in (*LIFTS, "pour") else 1,
                gangs=tuple(random.sample(gangs[kind], 2)),
                skills=BY_KEY[phase].skills,
                cranes=tuple(random.sample([1, 2], random.choice([1, 2]))) if phase in LIFTS else (),
                not_before=day(random.randrange(0, 60)) if phase == "excavation" else None,
                not_before_why="the building permit is promised",
            )
        )
    off = dict(holidays_between("ND", MONDAY, day(700)))
    closed = random.randrange(150)
    off |= {day(closed + k): "the site is closed: calving" for k in range(random.choice([0, 0, 5]))}
    cure = CureTerms(required_days=28.0, normals_f=NORMALS_F, held_f=50.0, protection_days=7)
    return SeasonJob(
        key=n,
        number=f"2031-{n:03}",
        plan=JobPlan(MONDAY, cure=cure),
        tasks=tuple(tasks),
        off=off,
        promised=day(random.randrange(80, 120 + 3 * jobs)) if random.random() < 0.6 else None,
        area=random.randrange(4),
    )
