"""The order of a job's days: what cannot be worked when, said in words, and never put in force.

Common practice, no source, where nothing is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import settings

from crew.plan.order import (
    LIFTS,
    PLANNABLE,
    CureTerms,
    JobPlan,
    Pencilled,
    earliest,
    held_back,
    out_of_order,
    unsaid,
)
from tests.crew.order_checker import wrong_days

TODAY = date(2031, 5, 5)
PHASES = [phase.key for phase in PLANNABLE]
PROVE = settings.get_current_profile_name() == "prove"


def on(days: int) -> date:
    return TODAY + timedelta(days=days)


def planned(*days: tuple[str, int], **fields) -> JobPlan:
    work: dict[str, tuple[date, ...]] = {}
    for phase, day in days:
        work[phase] = tuple(sorted((*work.get(phase, ()), on(day))))
    return JobPlan(TODAY, work, **fields)


def test_nobody_is_planned_to_wait_for_a_permit_or_a_cure():
    assert not {"cure", "permits"} & set(PHASES)


@pytest.mark.parametrize(
    ("days", "phase", "said"),
    [
        ([("tower lift", 2)], "tower lift", "no pour is planned before it"),
        (
            [("tower assembly", 1), ("pour", 9)],
            "tower assembly",
            "before Thu May 15, the first day for tower assembly",
        ),
        ([("commissioning", 2)], "commissioning", "no turbine lift is planned before it"),
        ([("turbine lift", 3), ("tower lift", 4)], "turbine lift", "tower lift is on Fri May 9"),
        ([("pour", 5)], "pour", "no excavation and rebar is planned before it"),
    ],
)
def test_the_wrong_days_of_a_season_are_named(days: list[tuple[str, int]], phase: str, said: str):
    plan = planned(*days)
    assert said in out_of_order(plan, phase, plan.work[phase][0])


def test_a_season_in_order_has_nothing_to_say():
    plan = planned(
        ("excavation", 1), ("excavation", 2), ("pour", 3), ("tower assembly", 4), ("ground station", 5),
        ("tower lift", 32), ("turbine lift", 32), ("commissioning", 33),
    )  # fmt: skip
    assert {out_of_order(plan, p, d) for p, days in plan.work.items() for d in days} == {""}


def test_a_pour_of_may_cures_28_days_and_one_of_december_as_long_as_its_month_asks():
    """At 41 F a day counts (41 - 32)/18 = 0.5 by the rule of the glossary: 28 curing days are 56 days."""
    warm = CureTerms(required_days=28.0, normals_f=(60.0,) * 12)
    cold = CureTerms(required_days=28.0, normals_f=(41.0,) * 12)
    assert warm.cured_on(on(0)) == on(29)  # the pour's own day counts nothing; the 28th ends on day 28
    assert cold.cured_on(on(0)) == on(57)
    assert CureTerms(required_days=28.0).cured_on(on(0)) == on(29)
    assert CureTerms(required_days=28.0, normals_f=(10.0,) * 12).cured_on(on(0)) is None
    kept_warm = CureTerms(required_days=28.0, normals_f=(41.0,) * 12, held_f=50.0, protection_days=14.0)
    assert kept_warm.cured_on(on(0)) == on(14 + 28 + 1)


def test_a_pad_that_was_poured_goes_by_its_own_forecast():
    plan = planned(poured_on=on(-20), cured_expected=on(9), done=frozenset({"tower assembly"}))
    assert earliest(plan, "tower lift").on == on(9)
    ready = planned(poured_on=on(-30), cured=True, done=frozenset({"tower assembly"}))
    assert earliest(ready, "tower lift").on == TODAY


def test_a_pour_that_never_was_is_no_pour():
    plan = planned(("pour", -3), ("tower assembly", 4))
    assert "pour of Fri May 2 is not on record" in out_of_order(plan, "tower assembly", on(4))


def random_plan(random: Random) -> tuple[list[tuple[str, date]], JobPlan, dict[str, object]]:
    """Any days of any phases, most of them near to an order, some behind, some work done."""
    order = [p for p in PHASES if p != "survey"]
    finished = set(order[: random.choice([0, 0, 0, 0, 1, 2, 3])])
    under_way = {random.choice(order)} - finished if random.random() < 0.2 else set()
    days, at = [], random.randrange(-3, 4)
    for phase in order:
        at += random.choice([0, 1, 1, 1, 2, 30, 58])
        for n in range(random.choice([0, 1, 1, 1, 2])):
            days.append((phase, on(at + n + random.choice([0] * 8 + [-40, -1, 1, 40]))))
    temperature = random.choice([None, 60.0, 50.0, 45.5, 41.0])
    required = random.choice([28.0, 35.0])
    work: dict[str, tuple[date, ...]] = {}
    for phase, day in days:
        work[phase] = tuple(sorted((*work.get(phase, ()), day)))
    normals = (temperature,) * 12 if temperature else None
    done = frozenset(finished)
    poured = on(-60) if "pour" in finished else None
    plan = JobPlan(
        TODAY,
        work,
        begun=frozenset(finished | under_way),
        done=done,
        poured_on=poured,
        cured=poured is not None,
        cure=CureTerms(required_days=required, normals_f=normals),
    )
    known = {
        "finished": finished,
        "under_way": under_way,
        "cure_days": required,
        "temperature_f": temperature,
    }
    return days, plan, known


def agree(days: Sequence[tuple[str, date]], plan: JobPlan, known: dict[str, object]) -> bool:
    said = {n for n, (phase, day) in enumerate(days) if out_of_order(plan, phase, day)}
    return said == wrong_days(list(days), today=TODAY, **known)  # type: ignore[arg-type]


@pytest.mark.deep
def test_another_reading_of_the_rules_agrees_on_every_random_plan():
    random, wrong, seen = Random(8133), 0, 0
    for _ in range(100_000 if PROVE else 10_000):
        days, plan, known = random_plan(random)
        assert agree(days, plan, known), (days, plan)
        bad = wrong_days(days, today=TODAY, **known)  # type: ignore[arg-type]
        wrong, seen = wrong + len(bad), seen + len(days)
    assert 0.2 < wrong / seen < 0.8  # right and wrong days were both asked often


def test_what_is_put_in_force_is_in_order_by_itself():
    """Whatever gates are closed: with the days held back taken away no other day is out of order."""
    random, issued = Random(31), 0
    for _ in range(2_000):
        days, plan, known = random_plan(random)
        ahead = [(n, phase, day) for n, (phase, day) in enumerate(days) if day >= TODAY]
        closed = {n for n, _, _ in ahead if random.random() < 0.1}
        held = held_back(plan, [Pencilled(n, p, d, "closed" if n in closed else "") for n, p, d in ahead])
        assert closed <= set(held)
        left = [each for n, each in enumerate(days) if n not in held]
        assert wrong_days(left, today=TODAY, **known) == set()  # type: ignore[arg-type]
        issued += len(ahead) - len(held)
    assert issued > 2_000


def test_a_day_behind_is_asked_for_until_something_says_what_became_of_it():
    plan = planned(("pour", -3))
    asked = {"begun_on": None, "worked": False}
    assert unsaid(plan, "pour", on(-3), **asked)
    assert not unsaid(plan, "pour", on(0), **asked)
    assert not unsaid(plan, "pour", on(-3), begun_on=on(-3), worked=False)
    assert unsaid(plan, "pour", on(-3), begun_on=on(-1), worked=False)
    assert not unsaid(plan, "pour", on(-3), begun_on=None, worked=True)
    assert not unsaid(planned(("pour", -3), poured_on=on(-2)), "pour", on(-3), **asked)


def test_lifts_are_the_phases_that_ask_for_a_crane():
    assert set(LIFTS) < set(PHASES)
