"""A plan by the machine can be worked, is never worse than that by hand, and keeps what stands near.

Held by a second reading (season_checker.py) that shares no code. Common practice, no source, where nothing is
named.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import pytest

from crew.plan.order import LIFTS
from crew.solver.hint import CannotLay, by_hand
from crew.solver.making import planned
from crew.solver.model import Build
from crew.solver.season import DAY, Season, score
from crew.solver.solving import Effort, Sofar
from tests.house.arrows import ROOT
from tests.solver.season_checker import faults
from tests.solver.seasons import day, make_season

SHORT = Effort(seconds=2.0)


@pytest.mark.parametrize("seed", range(6))
def test_the_plan_by_hand_and_that_by_the_machine_can_be_worked(seed: int):
    season = make_season(seed, 3)
    hand = by_hand(season)
    assert faults(season, hand) == []
    found = planned(season, SHORT)
    assert faults(season, found.days) == []
    assert found.score.total <= found.hand.total == score(season, hand).total
    assert found.bound <= found.score.total


@pytest.mark.prove
@pytest.mark.parametrize("seed", range(200))
def test_every_plan_of_200_seasons_can_be_worked(seed: int):
    season = make_season(seed, 2 + seed % 9)
    found = planned(season, Effort(seconds=1.0))
    assert faults(season, found.days) == []
    assert found.score.total <= found.hand.total


def test_the_second_reading_finds_what_is_wrong():
    """Each fault put into a plan that can be worked is named."""
    season = make_season(1, 2)
    plan = by_hand(season)
    lift = next(d for d in plan if d.phase == "tower lift" and not d.weather)
    pour = next(d for d in plan if d.phase == "pour" and d.job == lift.job)
    wrong = {
        "not worked": replace(pour, on=pour.on + timedelta(days=5 - pour.on.weekday())),
        "curing days": replace(lift, on=pour.on + timedelta(days=14)),
        "is not behind": replace(pour, on=lift.on + timedelta(days=7)),
    }
    for words, bad in wrong.items():
        was = pour if bad.phase == "pour" else lift
        said = faults(season, tuple(bad if d == was else d for d in plan))
        assert any(words in each for each in said), (words, said)
    other = next(d for d in plan if d.job != pour.job and d.crew == pour.crew)
    assert any(
        "is on" in f for f in faults(season, tuple(replace(d, on=pour.on) if d == other else d for d in plan))
    )
    assert any("has 0 days" in f for f in faults(season, tuple(d for d in plan if d != pour)))


def test_every_value_of_the_hint_is_one_that_the_model_allows():
    """Fixed to the plan by hand the model still has a solution, of the total that the plan comes to."""
    from ortools.sat.python import cp_model

    season = make_season(4, 4)
    hand = by_hand(season)
    build = Build(season, hand)
    build.aims()
    build.hint(hand)
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    assert solver.solve(build.model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    assert round(solver.objective_value) == score(season, hand).total
    assert build.read(solver) == hand


def test_a_small_season_is_solved_to_the_end_and_its_total_is_that_of_the_solver():
    """The total is added up from the days a second time, and is the bound of what was proven."""
    season = make_season(5, 1)
    found = planned(season, Effort(seconds=60.0, workers=2))
    assert found.proven and found.bound == found.score.total


def test_lifts_of_neighbors_come_into_one_week_where_nothing_is_late_by_it():
    season = make_season(2, 2, until=day(300))
    near = tuple(
        replace(j, area=0, promised=None, tasks=tuple(replace(t, cranes=t.cranes and (1,)) for t in j.tasks))
        for j in season.jobs
    )
    season = replace(season, jobs=near)
    found = planned(season, Effort(seconds=20.0))
    assert faults(season, found.days) == []
    assert found.score.mobilizations < found.hand.mobilizations


def test_what_stands_stays_where_nothing_is_against_it():
    """A plan that was solved, given back as the one that stands, is changed by no day."""
    season = make_season(3, 2)
    first = planned(season, SHORT).days
    again = standing(season, first)
    found = planned(again, SHORT)
    assert found.score.moved == 0 and found.score.shifted == 0


def test_a_lift_stays_on_the_days_of_its_signed_plan_where_it_can():
    """Earlier would do, and is done without a signature: ten days are fewer points than one of them."""
    season = make_season(3, 1)
    job = season.jobs[0]
    later = replace(job, tasks=tuple(replace(t, not_before=season.first + 40 * DAY) for t in job.tasks))
    signed_for = {}
    for d in planned(replace(season, jobs=(later,)), SHORT).days:
        if d.phase in LIFTS and not d.weather:
            signed_for[d.phase] = (d.on,)
    signed = replace(job, tasks=tuple(replace(t, signed_for=signed_for.get(t.phase, ())) for t in job.tasks))
    found = planned(replace(season, jobs=(signed,)), Effort(seconds=20.0))
    lifts = {d.phase: (d.on,) for d in found.days if d.phase in LIFTS and not d.weather}
    assert lifts == signed_for and found.score.signed == 0
    free = planned(season, Effort(seconds=20.0))
    assert min(d.on for d in free.days if d.phase in LIFTS) < min(min(days) for days in signed_for.values())


def standing(season: Season, plan) -> Season:
    """The season with this plan as the one that stands."""
    jobs = []
    for job in season.jobs:
        tasks = []
        for task in job.tasks:
            mine = [d for d in plan if d.job == job.key and d.phase == task.phase]
            work = tuple(sorted(d.on for d in mine if not d.weather))
            free = tuple(sorted(d.on for d in mine if d.weather))
            gangs = tuple(sorted(task.gangs, key=lambda g: g.crew != mine[0].crew))
            cranes = tuple(sorted(task.cranes, key=lambda c: c != mine[0].crane))
            tasks.append(replace(task, stood=work, stood_free=free, gangs=gangs, cranes=cranes))
        jobs.append(replace(job, tasks=tuple(tasks)))
    return replace(season, jobs=tuple(jobs))


def test_a_phase_that_nobody_can_do_is_said():
    season = make_season(1, 1)
    nobody = {k: replace(p, certificates=()) for k, p in season.people.items()}
    with pytest.raises(CannotLay, match="2031-001"):
        by_hand(replace(season, people=nobody))


def test_what_asks_for_progress_can_stop_it():
    season, heard = make_season(1, 3), []

    def told(sofar: Sofar) -> None:
        heard.append(sofar)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        planned(season, Effort(seconds=600.0), told)
    assert len(heard) == 1


def test_the_core_runs_without_django():
    script = (
        "import sys\nsys.modules['django'] = None\n"
        "import crew.solver.making, crew.solver.rcpsp, crew.solver.why_not, crew.solver.chance\n"
        "assert not {'ortools', 'pandas'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True)
