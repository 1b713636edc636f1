"""Planning by hand: anything in pencil, nothing in force before its gate, nothing erased, plans by letter."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from crew.plan.issuing import issue_plan, left_tentative
from crew.plan.models import Crew, CrewDay
from crew.plan.services import add_day, move_day, strike_day
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


def issued(*days):
    for day in days:
        day.refresh_from_db()
    return [day.plan is not None for day in days]


def test_a_day_behind_a_closed_gate_is_tentative_and_is_not_issued_in_the_gates_words(crew):
    dig = add(make_job(), crew, phase="excavation")
    with pytest.raises(ValidationError, match="building permit not requested"):
        issue_plan("Season", by=alma(), at=AT)
    assert issued(dig) == [False]


def test_what_is_allowed_is_issued_beside_what_is_not(crew):
    dig, survey = add(make_job(), crew, phase="excavation"), add(make_job(), crew)
    issue_plan("Season", by=alma(), at=AT)
    assert issued(dig, survey) == [False, True]
    (words,) = left_tentative(AT)
    assert "building permit not requested" in words and dig.job.number in words


def test_a_day_before_the_gates_forecast_is_not_issued_and_one_on_it_is(crew):
    job = make_job()
    job.permits.create(kind="building", asked_of="County", asked_on=DAY, promised_on=DAY + timedelta(days=10))
    early = add(job, crew, phase="excavation", days=9)
    on_it = add(job, crew, phase="excavation", days=10)
    issue_plan("Season", by=alma(), at=AT)
    assert issued(early, on_it) == [False, True]


def test_nobody_pours_into_a_hole_that_is_not_allowed_yet(crew):
    job = make_job()
    dig, pour = add(job, crew, phase="excavation"), add(job, crew, phase="pour", days=5)
    survey = add(job, crew, phase="survey", days=1)
    issue_plan("Season", by=alma(), at=AT)
    assert issued(dig, pour, survey) == [False, False, True]
    held = {words.split(",")[1].split(" on ")[0].strip(): words for words in left_tentative(AT)}
    assert "excavation and rebar of" in held["pour"] and "not allowed yet" in held["pour"]


def test_a_day_out_of_order_is_not_issued(crew):
    job = make_job()
    lift, commission = add(job, crew, phase="tower lift"), add(job, crew, phase="commissioning", days=2)
    add(job, crew)
    issue_plan("Season", by=alma(), at=AT)
    assert issued(lift, commission) == [False, False]


@pytest.mark.parametrize("phase", ["cure", "permits"])
def test_no_crew_is_planned_to_wait(client, crew, phase):
    with pytest.raises(ValidationError, match="No crew is planned for this"):
        add(make_job(), crew, phase=phase)
    client.force_login(alma())
    page = client.get("/crew-days/").content.decode()
    assert f'<option value="{phase}"' not in page and '<option value="pour"' in page


def test_whoever_is_planned_sees_the_job(client, crew):
    job = make_job()
    client.force_login(crew.foreman)
    assert client.get(f"/jobs/{job.number}/").status_code == 404
    add(job, crew)
    assert client.get(f"/jobs/{job.number}/").status_code == 200


def test_a_moved_day_stays_struck_with_who_and_why_and_is_written_anew(crew):
    day = add(make_job(), crew)
    by = alma()
    new = move_day(day, DAY + timedelta(days=6), "gusts 31 mph", by=by, at=AT)
    day.refresh_from_db()
    assert (day.struck_by, day.struck_why) == (by, "gusts 31 mph")
    assert new.moved_from == day
    assert list(CrewDay.objects.standing()) == [new]


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


def test_what_is_put_down_is_said_with_what_forbids_it_and_stands_so_in_the_list(client, crew):
    """In winter for May: nothing is asked but the day."""
    client.force_login(alma())
    job = make_job()
    on = (timezone.now() + timedelta(days=150)).date().isoformat()
    form = {"job": job.pk, "phase": "excavation", "on": on, "crew": crew.pk, "kind": "work"}
    page = client.post("/crew-days/", form, follow=True).content.decode()
    assert page.count("building permit not requested") == 2  # said at once, and beside the day
    assert CrewDay.objects.get().plan is None
    form |= {"phase": "commissioning"}
    page = client.post("/crew-days/", form, follow=True).content.decode()
    assert "Conflict: no turbine lift is planned before it." in page
    assert "Not allowed: no turbine lift is planned before it." in page


def test_issuing_names_what_it_leaves(client, crew):
    client.force_login(alma())
    job, other = make_job(), make_job()
    now = timezone.now()
    on = now.date() + timedelta(days=9)
    add_day(job, "excavation", on, crew, by=alma(), at=now)
    add_day(other, "survey", on, crew, by=alma(), at=now)
    read = as_drawn(client, "/crew-days/", "/crew-days/issue/")
    page = client.post("/crew-days/issue/", {**read, "what": "Season"}, follow=True).content.decode()
    assert "Plan A is in force." in page
    assert f"Not issued: {job.number}, excavation and rebar on" in page
    again = as_drawn(client, "/crew-days/", "/crew-days/issue/")
    refused = client.post("/crew-days/issue/", {**again, "what": "Season"})
    assert refused.status_code == 422 and b"building permit not requested" in refused.content


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
