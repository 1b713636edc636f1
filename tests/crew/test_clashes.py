"""Crew days that do not fit: a person twice, a certificate that expires, a day before its gate."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from crew.plan.clashes import DayFact, PersonFact, clashes

DAY = date(2031, 5, 20)
BEN = PersonFact(1, "Ben Osgood", (), (("rigger", date(2031, 6, 30)),))
TILDA = PersonFact(2, "Tilda Marsh", (), ())
PEOPLE = {1: BEN, 2: TILDA}
LIFT = DayFact(
    pk=10,
    job="2031-001",
    phase="tower lift",
    phase_title="Tower lift",
    on=DAY,
    weather=False,
    people=(1, 2),
    skills=("rigger",),
    started=False,
    gate_open=True,
    gate_expected=None,
    gate_waits_outside=False,
    crew="Tower crew",
)


def said(days, people=PEOPLE):
    return [c.sentence for c in clashes(days, people)]


def test_a_day_that_fits_has_no_clash():
    assert said([LIFT]) == []


def test_people_on_two_jobs_the_same_day_are_named_once_together():
    other = replace(LIFT, pk=11, job="2031-002")
    found = clashes([LIFT, other], PEOPLE)
    assert [c.sentence for c in found] == [
        "Ben Osgood and Tilda Marsh are on 2031-001 and 2031-002 the same day"
    ]
    assert found[0].days == (10, 11)


def test_two_phases_of_one_job_on_one_day_are_no_clash():
    assert said([LIFT, replace(LIFT, pk=11, phase="turbine lift")]) == []


def test_a_weather_day_kept_free_counts_as_taken():
    other = replace(LIFT, pk=11, job="2031-002", weather=True)
    assert said([LIFT, other])


def test_a_certificate_that_expires_before_the_day_is_said_with_its_date():
    people = {1: replace(BEN, certificates=(("rigger", DAY - timedelta(days=1)),))}
    assert said([replace(LIFT, people=(1,))], people) == [
        "Ben Osgood's certificate as rigger expires Mon May 19"
    ]


def test_a_certificate_is_good_on_its_last_day():
    people = {1: replace(BEN, certificates=(("rigger", DAY),))}
    assert said([replace(LIFT, people=(1,))], people) == []


def test_a_certificate_without_an_expiry_on_record_does_not_count():
    people = {1: replace(BEN, certificates=(("rigger", None),))}
    assert "no expiry on record" in said([replace(LIFT, people=(1,))], people)[0]


def test_a_skill_nobody_holds_is_said():
    assert said([replace(LIFT, people=(2,))]) == ["no rigger with a certificate is named"]


def test_a_person_who_is_away_is_said():
    people = {1: replace(BEN, away=((DAY - timedelta(days=2), DAY, "calving"),))}
    assert said([replace(LIFT, people=(1,))], people) == [
        "Ben Osgood is away (calving) Sun May 18 to Tue May 20"
    ]


def test_a_day_before_the_gates_forecast_is_said():
    closed = replace(LIFT, gate_open=False, gate_expected=DAY + timedelta(days=7))
    assert said([closed]) == ["before the gate of tower lift is expected open, Tue May 27"]
    assert said([replace(closed, on=DAY + timedelta(days=7))]) == []


def test_a_gate_that_waits_on_others_without_a_date_is_said():
    closed = replace(LIFT, gate_open=False, gate_waits_outside=True)
    assert said([closed]) == ["gate of tower lift is closed and has no expected date"]


def test_a_day_with_nobody_named_is_said():
    assert "nobody is named for this day" in said([replace(LIFT, people=())])
