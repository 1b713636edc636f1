"""Why there is no plan: the demands that conflict are as few as can be, and are said in words.

Held by trying out every day for everything (small_seasons.py). Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from crew.solver.demands import demands_of
from crew.solver.hint import CannotLay, by_hand
from crew.solver.season import Season
from crew.solver.solving import Effort
from crew.solver.why_not import Conflict, Undecided, conflicts, explain
from tests.solver.seasons import MONDAY, make_season
from tests.solver.small_seasons import TOWER, cases, lift, one_job, possible, small

EFFORT = Effort(seconds=60.0, workers=1)
CASES = cases()
# what each of the cases must come down to: worked out by hand
CORES = {
    "two lifts and one crane": {"promise", "crane"},
    "the cure of a pad that is poured": {"promise", "cure"},
    "the cure of a pad to be poured": {"promise", "cure"},
    "one crew for two pads": {"promise", "crew"},
    "a gate": {"promise", "gate"},
    "an illness": {"promise", "absence", "crew"},
    "a card": {"promise", "card", "crew"},
    "a closed site": {"promise", "closed"},
    "a cancelled crane": {"promise", "cancelled", "crane"},
    "days kept free": {"promise", "weather"},
    "a pour on no record": {"promise", "record"},
    "a crane that stays elsewhere": {"promise", "crane"},
}


def why(season: Season) -> list[Conflict]:
    """As of a plan in which every promised job is late."""
    return conflicts(season, (), EFFORT)


@pytest.mark.parametrize("name", CASES)
def test_of_what_conflicts_none_can_be_spared(name: str):
    """All of it cannot be; without any one of it, it can; and every smaller set can be, each tried out."""
    season = CASES[name]
    conflict = why(season)[0]
    core = {said.demand for said in conflict.demands}
    assert conflict.sure
    assert not possible(season, core)
    for demand in core:
        assert possible(season, core - {demand}), demand
    assert {demand.kind for demand in core} == CORES[name]


@pytest.mark.parametrize("name", CASES)
def test_no_set_of_fewer_demands_conflicts(name: str):
    """Over every subset of the demands: the set that is told is among the smallest."""
    season = CASES[name]
    core = {said.demand for said in why(season)[0].demands}
    demands = demands_of(season, "promise")
    assert core <= set(demands)
    for many in range(len(core)):
        for some in combinations(demands, many):
            assert possible(season, some), some


def words(season: Season) -> list[tuple[str, str]]:
    return [(said.words, said.mend) for said in why(season)[0].demands]


def test_two_lifts_that_need_one_crane_are_said_with_their_day():
    said = words(CASES["a crane that stays elsewhere"])
    assert said[0][0] == "2031-001 is promised for Tue Mar 4."
    assert said[0][1] == "A later promise: Wed Mar 5 is the first day that can be held, all else as asked."
    assert "The lifts of 2031-001 and 2031-009 both need Crane T-7 on" in said[1][0]
    assert said[1][1] == "Another crane."


def test_a_cure_that_ends_behind_the_promise_is_said_with_its_day():
    said = dict(words(CASES["the cure of a pad that is poured"]))
    assert "The cure of 2031-001 ends Tue Mar 11, by forecast." in said
    assert (
        "A later promise: Tue Mar 11 is the first day that can be held, all else as asked." in said.values()
    )


def test_the_later_day_that_is_named_can_be_held_with_everything_that_is_asked():
    """The cure alone would let the lift be on Tuesday; with a day kept free before the turbine it is over on
    Thursday: that is the day to promise, as trying out every day for everything finds too."""
    season = CASES["the cure of a pad that is poured"]
    turbine = replace(season.jobs[0].tasks[0], phase="turbine lift")
    job = replace(season.jobs[0], tasks=(season.jobs[0].tasks[0], turbine))
    season = replace(season, jobs=(job,), weather_days=(1,) * 12)
    named = next(said.mend for said in why(season)[0].demands if said.demand.kind == "promise")
    assert named == "A later promise: Thu Mar 13 is the first day that can be held, all else as asked."
    for on, can in ((12, False), (13, True)):
        moved = replace(season, jobs=(replace(job, promised=MONDAY.replace(day=on)),))
        assert possible(moved, demands_of(moved, "promise")) is can


def test_what_is_promised_later_can_be_held():
    """The mend that is named for the promise mends it: no conflict is left."""
    season = CASES["one crew for two pads"]
    jobs = tuple(replace(job, promised=MONDAY.replace(day=11)) for job in season.jobs)
    assert why(season) and not why(replace(season, jobs=jobs))


def test_every_promise_that_cannot_be_held_is_told_of():
    """Two jobs apart from one another: two conflicts, each of its own."""
    season = small(one_job(1, lift(TOWER), due=-3), one_job(2, lift(TOWER, 2), due=-2))
    assert [conflict.jobs for conflict in why(season)] == [("2031-001",), ("2031-002",)]


def test_where_nobody_can_do_it_there_is_no_plan_and_why():
    season = make_season(1, 1)
    season = replace(season, people={k: replace(p, certificates=()) for k, p in season.people.items()})
    with pytest.raises(CannotLay):
        by_hand(season)
    found = conflicts(season, None, EFFORT)
    kinds = {said.demand.kind for said in found[0].demands}
    assert {"job", "card", "crew"} == kinds and found[0].jobs == ("2031-001",)


def test_what_can_be_planned_has_no_conflict():
    season = small(one_job(1, lift(TOWER), due=4))
    assert why(season) == []


def test_where_the_time_is_over_nothing_is_claimed():
    assert conflicts(CASES["a gate"], (), Effort(seconds=0.0)) == []


def test_a_set_is_made_smaller_by_asking_alone():
    """From memory of U. Junker's QUICKXPLAIN (AAAI 2004): of 40 demands the three that conflict."""
    asked = []

    def broken(held: tuple[int, ...]) -> bool:
        asked.append(held)
        return {3, 17, 31} <= set(held)

    assert set(explain(tuple(range(40)), broken)) == {3, 17, 31}  # type: ignore[arg-type]  # numbers for demands
    assert len(asked) < 40
    assert Undecided
