"""Tentative plans: asked for, made by a worker, set beside what stands, put down once, issued by the rules.

Common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from crew.cranes.services import book, cancel
from crew.plan.models import Absence, CraneBooking, CrewDay, Plan
from crew.plan.services import add_day, move_day
from crew.solver import kinds
from crew.solver.gathering import Terms, gather, miles
from crew.solver.models import PromisedDate, TentativePlan
from installs.jobs.models import Event
from installs.work.models import State, WorkRequest
from installs.work.runner import Cancelled, work_one
from tests.crew.order_checker import wrong_days
from tests.crew.season import Season, form_at, standing
from tests.make import as_drawn
from tests.solver.season_checker import faults


@pytest.fixture
def season(client: Client, db: None, monkeypatch: pytest.MonkeyPatch) -> Season:
    monkeypatch.setattr(kinds, "SECONDS", 2.0)
    monkeypatch.setattr(kinds, "REPAIR_SECONDS", 4.0)
    made = Season()
    client.force_login(made.office)
    return made


PATH = "/tentative-plans/"


def asked(client: Client, season: Season, **typed: Any) -> TentativePlan:
    form = form_at(client.get(PATH).content.decode(), PATH)
    answer = client.post(PATH, form.filled() | {"until": season.on(150).isoformat(), **typed})
    assert answer.status_code == 302, answer.content.decode()
    return TentativePlan.objects.order_by("pk").last()


def repaired(client: Client, **typed: str) -> TentativePlan:
    action = f"{PATH}repair/"
    form = form_at(client.get(PATH).content.decode(), PATH, action)
    answer = client.post(action, form.filled() | {f"repair-{k}": v for k, v in typed.items()})
    assert answer.status_code == 302, answer.content.decode()
    return made(TentativePlan.objects.order_by("pk").last())


def made(plan: TentativePlan) -> TentativePlan:
    assert work_one("plans")
    plan.refresh_from_db()
    assert plan.is_made, (plan.work.state, plan.work.error)
    return plan


def press(client: Client, plan: TentativePlan, do: str) -> Any:
    page = reverse("tentative-plan", args=[plan.pk])
    action = f"{page}put-down/"
    return client.post(action, as_drawn(client, page, action) | {"do": do})


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_two_jobs_are_planned_put_down_and_in_order(client, season: Season):
    """Nothing stands before it is put down; then every day does, tentative, and nobody is twice on a day."""
    jobs = [season.job(), season.job(number="2031-002")]
    plan = asked(client, season)
    assert not CrewDay.objects.exists()
    made(plan)
    page = text(client.get(reverse("tentative-plan", args=[plan.pk])))
    assert "Side by side" in page and "Issue it under the next letter" in page
    assert press(client, plan, "put").status_code == 302
    for job in jobs:
        work = [(phase, on) for phase, on, kind in standing(job) if kind == "work"]
        assert len(work) == 10
        assert wrong_days(work, set(), set(), timezone.now().date(), 28.0, None) == set()
    days = CrewDay.objects.standing().prefetch_related("people")
    where = {(p.pk, d.on): set() for d in days for p in d.people.all()}
    for day in days:
        for person in day.people.all():
            where[person.pk, day.on].add(day.job_id)
    assert all(len(found) == 1 for found in where.values())
    assert {d.plan_id for d in days} == {None}


def test_put_down_twice_is_once(client, season: Season):
    job = season.job()
    plan = made(asked(client, season))
    page = reverse("tentative-plan", args=[plan.pk])
    action = f"{page}put-down/"
    one, other = (as_drawn(client, page, action) | {"do": "put"} for _ in range(2))
    assert client.post(action, one).status_code == 302
    assert client.post(action, one).status_code == 302
    assert client.post(action, other).status_code == 409
    assert len(standing(job)) == 12 or len(standing(job)) == 14


def test_asked_twice_by_two_people_it_is_one_plan(client, season: Season):
    season.job()
    first, second = asked(client, season), asked(client, season)
    assert first == second and WorkRequest.objects.filter(kind="plans.tentative").count() == 1


def test_a_plan_says_when_what_it_was_made_from_has_changed(client, season: Season):
    job = season.job()
    plan = made(asked(client, season))
    Absence.objects.create(person=season.ben, first_on=season.on(0), last_on=season.on(9))
    page = text(client.get(reverse("tentative-plan", args=[plan.pk])))
    assert "Changed since it was made: absences" in page and "Issue it" not in page
    action = reverse("tentative-put-down", args=[plan.pk])
    assert client.post(action, {"do": "put"}).status_code in (409, 422)
    assert standing(job) == []
    again = reverse("tentative-again", args=[plan.pk])
    answer = client.post(again, as_drawn(client, reverse("tentative-plan", args=[plan.pk]), again))
    fresh = TentativePlan.objects.order_by("pk").last()
    assert answer.status_code == 302 and fresh != plan
    assert press(client, made(fresh), "put").status_code == 302 and standing(job)


def test_what_changes_while_it_waits_fails_in_words(client, season: Season):
    season.job()
    plan = asked(client, season)
    Absence.objects.create(person=season.ben, first_on=season.on(0), last_on=season.on(9))
    assert work_one("plans")
    plan.refresh_from_db()
    assert plan.work.state == State.FAILED and "absences" in plan.work.error
    assert "Make it again" in text(client.get(reverse("tentative-plan", args=[plan.pk])))


def test_a_plan_that_waits_is_followed_and_cancelled(client, season: Season):
    season.job()
    plan = asked(client, season)
    page = reverse("tentative-plan", args=[plan.pk])
    assert f'hx-get="{page}state/"' in client.get(page).content.decode()
    answer = client.get(f"{page}state/", headers={"hx-request": "true"})
    assert "Waiting for the worker" in text(answer) and "<html" not in text(answer)
    assert client.get(f"{page}state/").status_code == 302
    client.post(f"{page}stop/", as_drawn(client, page, f"{page}stop/"))
    plan.refresh_from_db()
    assert plan.work.state == State.CANCELLED and not work_one("plans")
    assert "It was cancelled" in text(client.get(page))


def test_one_that_is_cancelled_while_it_is_made_stops(client, season: Season, monkeypatch):
    season.job()
    plan = asked(client, season)

    def stopped(*args: Any, **kwargs: Any) -> None:
        raise Cancelled

    monkeypatch.setattr(kinds, "planned", stopped)
    assert work_one("plans")
    plan.refresh_from_db()
    assert plan.work.state == State.CANCELLED
    assert plan.days and "By hand" in text(client.get(reverse("tentative-plan", args=[plan.pk])))


def test_what_is_worked_stays_and_what_gates_do_not_allow_is_named(client, season: Season):
    job = season.job()
    survey = season.day(job, "survey", 1)
    plan = made(asked(client, season))
    answer = press(client, plan, "issue")
    assert answer.status_code == 302
    survey.refresh_from_db()
    issued = Plan.objects.get()
    assert survey.struck_at is None and survey.plan == issued
    page = text(client.get("/crew-days/"))
    assert "Not issued: " in page and "is in force" in page
    assert {d.phase for d in CrewDay.objects.filter(plan=issued)} == {"survey"}


def test_a_repair_after_an_illness_moves_few_days_and_strikes_with_the_reason(client, season: Season):
    """Ben, alone on the pad crew, is ill on the two days of the dig: what stands behind need not all move."""
    job = season.job()
    season.whole(job)
    before = standing(job)
    Absence.objects.create(person=season.ben, first_on=season.on(0), last_on=season.on(1))
    plan = repaired(client, why="Ben is ill.")
    assert press(client, plan, "put").status_code == 302
    after = standing(job)
    assert len(after) >= len(before)
    work = [(phase, on) for phase, on, kind in after if kind == "work"]
    assert wrong_days(work, set(), set(), timezone.now().date(), 28.0, None) == set()
    assert not {on for phase, on in work if phase == "excavation"} & {season.on(0), season.on(1)}
    # dig, dig and pour must move; at most five beyond those
    assert plan.told["score"]["moved"] <= 3 + 5
    struck = CrewDay.objects.exclude(struck_at=None)
    assert struck and {d.struck_why for d in struck} == {"Ben is ill."}


def test_a_cancelled_crane_is_not_planned_on_its_days(client, season: Season):
    job = season.job()
    found = season.whole(job)
    lift = found["tower lift"]
    row = CraneBooking(crane=season.crane, first_on=lift.on, last_on=lift.on)
    book(row, confirmed=True, by=season.office, at=timezone.now())
    cancel(row, "swing motor", [], by=season.office, at=timezone.now())
    plan = repaired(client, why="crane cancelled")
    lifts = [d for d in plan.days if d["phase"] == "tower lift" and not d["weather"]]
    assert lifts and all(d["on"] != lift.on.isoformat() for d in lifts)
    assert plan.told["score"]["moved"] <= 3 + 5


def test_a_slip_is_said_on_the_page(client, season: Season):
    job = season.job()
    found = season.whole(job)
    to = found["pour"].on + timedelta(days=5)
    typed = {"job": str(job.pk), "phase": "pour", "not_before": to.isoformat()}
    plan = repaired(client, why="no concrete that week", **typed)
    assert min(d["on"] for d in plan.days if d["phase"] == "pour") >= to.isoformat()


def test_promised_dates_are_kept_in_the_log_and_the_newest_stands(client, season: Season):
    job = season.job()
    action = f"{PATH}promised/"
    for on in (season.on(90), season.on(100)):
        form = form_at(client.get(PATH).content.decode(), PATH, action)
        typed = {"promise-job": str(job.pk), "promise-on": on.isoformat()}
        assert client.post(action, form.filled() | typed).status_code == 302
    assert PromisedDate.objects.count() == 2
    assert Event.objects.filter(job=job, verb="date promised").count() == 2
    plan = made(asked(client, season))
    assert [j["promised"] for j in plan.told["jobs"]] == [season.on(100).isoformat()]


def test_a_season_from_the_database_is_planned_so_that_the_second_reading_finds_nothing(season: Season):
    from crew.solver.making import planned
    from crew.solver.solving import Effort

    jobs = [season.job(number=f"2031-01{n}") for n in range(3)]
    add_day(jobs[0], "survey", season.on(3), season.pad, by=season.office, at=timezone.now())
    found = gather(jobs, Terms(until=season.on(120), free=1, winter_free=1), timezone.now())
    plan = planned(found, Effort(seconds=2.0))
    assert faults(found, plan.days) == []
    assert {(season.ben.pk, season.on(3))} <= set(found.busy)


def test_the_days_of_a_job_that_was_moved_by_hand_are_what_stands(season: Season):
    job = season.job()
    pour = season.whole(job)["pour"]
    move_day(pour, season.on(4), "rain", by=season.office, at=timezone.now())
    found = gather([job], Terms(until=season.on(90)), timezone.now())
    assert next(t.stood for t in found.jobs[0].tasks if t.phase == "pour") == (season.on(4),)


@pytest.mark.parametrize(
    "wrong", [{"until": "soon"}, {"jobs": ["9" * 30]}, {"jobs": []}, {"free": "99"}, {"first": "2099-01-01"}]
)
def test_what_cannot_be_is_said_at_its_field(client, season: Season, wrong: dict[str, Any]):
    season.job()
    form = form_at(client.get(PATH).content.decode(), PATH)
    answer = client.post(PATH, form.filled() | {"until": season.on(50).isoformat(), **wrong})
    assert answer.status_code == 422 and b"errorlist" in answer.content
    assert not TentativePlan.objects.exists()


def test_half_of_a_slip_is_asked_for_at_its_field(client, season: Season):
    job = season.job()
    season.whole(job)
    action = f"{PATH}repair/"
    form = form_at(client.get(PATH).content.decode(), PATH, action)
    answer = client.post(action, form.filled() | {"repair-why": "rain", "repair-job": str(job.pk)})
    assert answer.status_code == 422 and "belong together" in text(answer)


def test_miles_between_two_towns():
    """Fargo (46.877, -96.789) to Bismarck (46.808, -100.784): 189 miles by a map, from memory, within 2 %."""
    assert miles((46.877, -96.789), (46.808, -100.784)) == pytest.approx(189, rel=0.02)
