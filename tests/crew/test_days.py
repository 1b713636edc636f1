"""Planning by hand: nothing before its gate, nothing erased, plans by letter."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from crew.plan.models import Crew, CrewDay
from crew.plan.services import add_day, issue_plan, move_day, strike_day
from installs.gates.services import GateClosed
from tests.make import AT, alma, as_drawn, make_job, make_person

pytestmark = pytest.mark.django_db
DAY = AT.date()


@pytest.fixture
def crew():
    return Crew.objects.create(name="Pad crew", foreman=make_person())


def add(job, crew, phase="survey", days=3, **fields):
    return add_day(job, phase, DAY + timedelta(days=days), crew, by=alma(), at=AT, **fields)


def test_a_day_is_tentative_until_a_plan_is_issued(crew):
    day = add(make_job(), crew)
    assert day.plan is None
    plan = issue_plan("Season opened", by=alma(), at=AT)
    day.refresh_from_db()
    assert (day.plan, plan.letter) == (plan, "A")
    with pytest.raises(ValidationError, match="nothing to issue"):
        issue_plan("Again", by=alma(), at=AT)
    add(make_job(), crew)
    assert issue_plan("Next", by=alma(), at=AT).letter == "B"


def test_a_day_behind_a_gate_that_waits_on_others_is_refused_in_the_gates_words(crew):
    with pytest.raises(GateClosed, match="building permit not requested"):
        add(make_job(), crew, phase="excavation")
    assert not CrewDay.objects.exists()


def test_a_day_before_the_gates_forecast_is_refused_and_on_it_taken(crew):
    job = make_job()
    job.permits.create(kind="building", asked_of="County", asked_on=DAY, promised_on=DAY + timedelta(days=10))
    with pytest.raises(GateClosed):
        add(job, crew, phase="excavation", days=9)
    assert add(job, crew, phase="excavation", days=10)


def test_a_moved_day_stays_struck_with_who_and_why_and_is_written_anew(crew):
    day = add(make_job(), crew)
    by = alma()
    new = move_day(day, DAY + timedelta(days=6), "gusts 31 mph", by=by, at=AT)
    day.refresh_from_db()
    assert (day.struck_by, day.struck_why) == (by, "gusts 31 mph")
    assert new.moved_from == day
    assert list(CrewDay.objects.standing()) == [new]


def test_a_move_before_the_gate_leaves_the_old_day_standing(crew):
    job = make_job()
    job.permits.create(kind="building", asked_of="County", asked_on=DAY, promised_on=DAY + timedelta(days=10))
    day = add(job, crew, phase="excavation", days=12)
    with pytest.raises(GateClosed):
        move_day(day, DAY + timedelta(days=5), "sooner", by=alma(), at=AT)
    day.refresh_from_db()
    assert day.struck_at is None


def test_a_day_is_struck_once_and_with_a_reason(crew):
    day = add(make_job(), crew)
    with pytest.raises(ValidationError):
        strike_day(day, " ", by=alma(), at=AT)
    strike_day(day, "owner away", by=alma(), at=AT)
    with pytest.raises(ValidationError):
        strike_day(day, "again", by=alma(), at=AT)


def test_the_same_crew_is_not_put_twice_on_one_phase_and_date(crew):
    job = make_job()
    add(job, crew)
    with pytest.raises(ValidationError):
        add(job, crew)


def test_the_page_says_a_closed_gate_at_the_date(client, crew):
    client.force_login(alma())
    job = make_job()
    form = {"job": job.pk, "phase": "excavation", "on": "2031-06-01", "crew": crew.pk, "kind": "work"}
    response = client.post("/crew-days/", form)
    assert response.status_code == 422
    assert b"building permit not requested" in response.content


@pytest.mark.parametrize("on", ["", "2031-13-01", "0001-01-01", "9999-12-31", "tomorrow"])
def test_a_date_that_is_none_is_said_at_its_field(client, crew, on):
    client.force_login(alma())
    job = make_job()
    form = {"job": job.pk, "phase": "survey", "on": on, "crew": crew.pk, "kind": "work"}
    assert client.post("/crew-days/", form).status_code == 422


def test_a_plan_that_is_refused_comes_back_with_what_was_typed(client, crew):
    add(make_job(), crew)
    client.force_login(alma())
    read = as_drawn(client, "/crew-days/", "/crew-days/issue/")
    response = client.post("/crew-days/issue/", {**read, "what": "Lifts moved \x07"})
    assert response.status_code == 422
    assert b"Lifts moved" in response.content
    assert CrewDay.objects.get().plan is None
