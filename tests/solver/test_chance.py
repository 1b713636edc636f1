"""How many seasons keep a promised date: of a plan, by what is assumed, the same each time.

Common practice, no source, where nothing is named; the drawing of seasons itself is held to closed forms in
tests/sitecalc/season.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crew.plan.order import JobPlan
from crew.solver.chance import LIFT_PCT, POUR_PCT, Assumed, chance, digest, from_allowance, laid
from crew.solver.drawing import tally_svg
from crew.solver.hint import by_hand
from crew.solver.models import PromisedDate, SeasonChance
from crew.solver.page import kept_words, protect_words
from crew.solver.season import Placed, Season, Task
from installs.work.models import State
from installs.work.runner import work_one
from tests.crew.season import Season as Board
from tests.crew.season import form_at
from tests.solver.seasons import MONDAY, day, make_season
from tests.solver.small_seasons import OTHERS, TOWER, lift, one_job, small
from tests.solver.test_pages import asked, made, season, text

assert season  # the fixture
SURE = Assumed(
    lift_pct=(100.0,) * 12,
    pour_pct=(100.0,) * 12,
    strength_mean_pct=200.0,
    strength_spread_pct=0.0,
    inspector_most=0.0,
)
HALF = replace(SURE, lift_pct=(50.0,) * 12)
PATH = "/chances/"


def lifted(n: int, on: int, crew: int, crane: int = 1) -> Placed:
    return Placed(on=day(on), job=n, phase="tower lift", weather=False, crew=crew, crane=crane)


def shares(plan: Season, days: tuple[Placed, ...], assumed: Assumed) -> list[float]:
    who = {(j.key, t.phase): t.gangs[0].people for j in plan.jobs for t in j.tasks}
    return [each["share"] for each in chance(laid(plan, days, who, assumed), assumed)["promises"]]


def test_where_nothing_is_in_doubt_a_plan_keeps_what_it_keeps():
    """By hand plans end as planned: a date is kept in all seasons or in none."""
    plan = make_season(1, 6)
    days = by_hand(plan)
    who = {(j.key, t.phase): t.gangs[0].people for j in plan.jobs for t in j.tasks}
    found = laid(plan, days, who, SURE)
    told = chance(found, SURE)
    for each in told["promises"]:
        assert each["share"] == (1.0 if each["ends"] <= each["on"] else 0.0)


def test_a_lift_with_a_week_to_spare_keeps_its_date_by_the_closed_form():
    """Monday to Friday to lift in, half of the days fit: 1 - (1/2)^5, within 4 deviations of 10,000."""
    plan = small(one_job(1, lift(TOWER), due=4))
    assert shares(plan, (lifted(1, 0, 2),), HALF)[0] == pytest.approx(1 - 0.5**5, abs=0.007)


def test_one_crane_that_is_late_is_late_at_its_next_job():
    """Two lifts by one crane, Monday and Tuesday: the second by Wednesday needs two fit days of three."""
    plan = small(one_job(1, lift(TOWER)), one_job(2, lift(OTHERS), due=2))
    plan = replace(plan, jobs=(plan.jobs[0], replace(plan.jobs[1], area=0)))
    days = (lifted(1, 0, 2), lifted(2, 1, 3))
    # near sites have one sky. Monday fit (1/2): Tuesday or Wednesday, 3/4; else both of them, 1/4
    closed = 0.5 * 0.75 + 0.5 * 0.25
    assert shares(plan, days, HALF)[0] == pytest.approx(closed, abs=0.02)
    other = (days[0], replace(days[1], crane=2))
    assert shares(plan, other, HALF)[0] == pytest.approx(0.75, abs=0.02)


def test_a_pad_whose_cure_is_not_foreseen_keeps_no_date():
    plan = small(one_job(1, lift(TOWER), due=30, plan=JobPlan(MONDAY, poured_on=day(-9))))
    assert shares(plan, (lifted(1, 0, 2),), SURE) == [0.0]


def test_a_pour_that_slips_takes_the_lift_with_it_by_its_cure():
    """Poured Monday, 7 curing days: the lift of the Tuesday after is kept only where Monday was fit."""
    pour = Task(phase="pour", days=1, gangs=(OTHERS,))
    done = frozenset({"excavation", "tower assembly"})
    job = one_job(1, pour, lift(TOWER), due=8, plan=JobPlan(MONDAY, done=done))
    job = replace(job, plan=replace(job.plan, cure=replace(job.plan.cure, required_days=7.0)))
    days = (
        Placed(on=MONDAY, job=1, phase="pour", weather=False, crew=3),
        lifted(1, 8, 2),
    )
    half = replace(SURE, pour_pct=(50.0,) * 12)
    assert shares(small(job), days, half)[0] == pytest.approx(0.5, abs=0.02)


def test_the_day_to_protect_is_the_one_that_most_wait_for():
    """A crane that goes on from job to job, each due on its day: the first of them costs all three."""
    jobs = (
        one_job(1, lift(TOWER), due=0),
        one_job(2, lift(TOWER), due=1),
        one_job(3, lift(TOWER), due=2),
    )
    days = (lifted(1, 0, 2), lifted(2, 1, 2), lifted(3, 2, 2))
    plan = small(*jobs)
    who = {(n, "tower lift"): TOWER.people for n in (1, 2, 3)}
    told = chance(laid(plan, days, who, SURE), SURE)
    assert told["protect"] == {
        "number": "2031-001",
        "phase": "tower lift",
        "on": MONDAY.isoformat(),
        "lost": 3.0,
    }
    assert protect_words(told["protect"]) == (
        "Tower lift of 2031-001 on Mon Mar 3: "
        "if it comes a day later, 100 seasons lose 300 kept promises more"
    )


def test_the_same_inputs_give_the_same_seasons_and_any_other_another_hash():
    plan = make_season(2, 3)
    days = by_hand(plan)
    who = {(j.key, t.phase): t.gangs[0].people for j in plan.jobs for t in j.tasks}
    assumed = Assumed(lift_pct=LIFT_PCT, pour_pct=POUR_PCT)
    network = laid(plan, days, who, assumed)
    assert chance(network, assumed) == chance(network, assumed)
    first = digest(plan, days, who, assumed)
    assert first == digest(plan, tuple(reversed(days)), who, assumed)
    later = replace(plan.jobs[0], promised=day(99))
    others = [
        digest(replace(plan, jobs=(later, *plan.jobs[1:])), days, who, assumed),
        digest(plan, days[1:], who, assumed),
        digest(plan, days, who, replace(assumed, inspector_most=6.0)),
        digest(plan, days, who | {(1, "pour"): (1,)}, assumed),
    ]
    assert len({first, *others}) == 5


def test_an_allowance_of_days_is_the_wait_of_a_geometric_distribution():
    """One day lost on the mean: every second is fit; two: every third. None is no allowance."""
    assert (from_allowance(1), from_allowance(2), from_allowance(0)) == (50.0, pytest.approx(33.3), None)


@pytest.mark.parametrize(
    ("share", "kept", "words"),
    [
        (0.8349, 83, "83 of 100 seasons keep Jun 14"),
        (0.9999, 99, "99 of 100 seasons keep Jun 14"),
        (1.0, 100, "100 of 100 seasons keep Jun 14"),
        (0.002, 0, "Fewer than 1 of 100 seasons keep Jun 14"),
        (0.0, 0, "0 of 100 seasons keep Jun 14"),
        (0.29, 29, "29 of 100 seasons keep Jun 14"),
    ],
)
def test_a_share_is_never_rounded_up(share: float, kept: int, words: str):
    assert kept_words(share, MONDAY.replace(month=6, day=14)) == (kept, words)


def test_a_hundred_tally_marks_are_drawn_and_the_kept_are_heavy():
    drawn = tally_svg(83, "83 of 100 seasons keep Jun 14")
    assert drawn.count('stroke-width="2"') == 83 and drawn.count("stroke-dasharray") == 17
    assert 'aria-label="83 of 100 seasons keep Jun 14"' in drawn


# --- form to page ---------------------------------------------------------------------------------------


def send(client: Any, plan: str = "", **typed: Any) -> Any:
    form = form_at(client.get(f"{PATH}?of={plan}").content.decode(), PATH)
    return client.post(PATH, form.filled() | typed)


def promise(season: Board, job: Any, days: int) -> None:
    on = season.on(days)
    PromisedDate.objects.create(job=job, on=on, made_at=job.created_at, made_by=season.office)


def test_a_tentative_plan_is_asked_worked_and_told(client, season: Board):
    job = season.job()
    promise(season, job, 120)
    plan = made(asked(client, season))
    answer = send(client, str(plan.pk))
    row = SeasonChance.objects.get()
    page = reverse("chance", args=[row.pk])
    assert answer.status_code == 302 and answer.url == page
    assert f'hx-get="{page}state/"' in client.get(page).content.decode()
    assert work_one("plans")
    shown = text(client.get(page))
    assert re.search(r"\d+ of 100 seasons keep", shown) and "The day most worth protecting" in shown
    assert f"tentative plan {plan.pk} keeps" in shown and "assumed: common practice, no source" in shown
    row.refresh_from_db()
    assert row.told["seasons"] == 10_000 and len(row.asked) == 64


def test_asked_twice_it_is_one_and_with_another_assumption_another(client, season: Board):
    job = season.job()
    season.whole(job)
    promise(season, job, 60)
    for _ in range(2):
        assert send(client).status_code == 302
    assert SeasonChance.objects.count() == 1
    assert send(client, inspector_most="9").status_code == 302
    assert SeasonChance.objects.count() == 2
    row = SeasonChance.objects.first()
    assert work_one("plans") and work_one("plans")
    shown = text(client.get(reverse("chance", args=[row.pk])))
    assert f"as typed by {season.office.initials}" in shown and "seasons keep" in shown
    again = client.get(f"{PATH}?again={row.pk}").content.decode()
    assert re.search(r'name="inspector_most"[^>]*value="9', again) or 'value="9.0"' in again


def test_what_changed_since_it_was_asked_is_not_worked(client, season: Board):
    job = season.job()
    season.whole(job)
    promise(season, job, 60)
    assert send(client).status_code == 302
    promise(season, job, 90)
    assert work_one("plans")
    row = SeasonChance.objects.get()
    assert row.work.state == State.FAILED and not row.told
    assert "have changed since" in text(client.get(reverse("chance", args=[row.pk])))


def test_without_a_promise_there_is_nothing_to_keep(client, season: Board):
    season.whole(season.job())
    answer = send(client)
    assert answer.status_code == 422 and "promised date" in text(answer)
    assert not SeasonChance.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"lift_3": "0"},
        {"pour_4": "110"},
        {"strength_gain_pct": "0"},
        {"inspector_usual": "9", "inspector_most": "5"},
        {"of": "9" * 30},
        {"lift_1": "nan"},
    ],
)
def test_what_cannot_be_is_said_at_its_field(client, season: Board, wrong: dict[str, str]):
    job = season.job()
    season.whole(job)
    promise(season, job, 60)
    answer = send(client, **wrong)
    assert answer.status_code == 422 and b"errorlist" in answer.content
    assert not SeasonChance.objects.exists()


def test_pages_ask_few_questions_however_many_jobs(client, season: Board):
    """At most 40 queries to show any of them."""
    for n in range(2):
        promise(season, season.job(number=f"2031-02{n}"), 60 + n)
    plan = made(asked(client, season))
    send(client, str(plan.pk))
    row = SeasonChance.objects.get()
    for path in (PATH, f"{PATH}?of={plan.pk}", reverse("chance", args=[row.pk])):
        with CaptureQueriesContext(
            connection,
        ) as asked_of:
            client.get(path)
        assert len(asked_of) <= 40, (path, len(asked_of))
