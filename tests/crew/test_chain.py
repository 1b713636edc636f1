"""A job put down as a chain: at most four values and two submits for every day of it."""

from __future__ import annotations

from datetime import date, timedelta

import holidays
import pytest
from django.test import Client
from django.utils import timezone

from crew.plan.chain import USUAL, ChainCase, lay
from crew.plan.models import Absence, ClosedDays, CrewDay
from crew.plan.order import CureTerms, JobPlan
from sitecalc.workdays import day_off, holidays_of, later_by, next_working, working_between
from tests.crew.order_checker import wrong_days
from tests.crew.season import Season, form_at, standing
from tests.make import as_drawn

TODAY = date(2031, 5, 5)  # a Monday


def laid(first: date = TODAY, **fields) -> list[tuple[str, date, bool]]:
    crew = {phase: 1 if kind == "pad" else 2 for phase, (_, kind) in USUAL.items()}
    days = {phase: days for phase, (days, _) in USUAL.items()}
    case = {"plan": JobPlan(first), "first": first, "days": days, "crew": crew, **fields}
    return [(each.phase, each.on, each.weather) for each in lay(ChainCase(**case))]


def test_a_chain_of_may_by_hand():
    """Worked by hand on a calendar: poured Wed May 7, 28 curing days from the day after are over on Jun 4."""
    assert laid() == [
        ("excavation", date(2031, 5, 5), False),
        ("excavation", date(2031, 5, 6), False),
        ("pour", date(2031, 5, 7), False),
        ("tower assembly", date(2031, 5, 8), False),
        ("tower assembly", date(2031, 5, 9), False),
        ("ground station", date(2031, 5, 7), False),
        ("ground station", date(2031, 5, 12), False),
        ("tower lift", date(2031, 6, 5), False),
        ("tower lift", date(2031, 6, 6), True),
        ("turbine lift", date(2031, 6, 9), False),
        ("turbine lift", date(2031, 6, 10), True),
        ("commissioning", date(2031, 6, 11), False),
    ]


def test_no_day_of_a_chain_is_out_of_order_whenever_it_begins():
    """By the other reading of the rules, in a warm and a cold place, for every first day of a year."""
    for n in range(366):
        first = TODAY + timedelta(days=n)
        for temperature in (None, 41.0):
            normals = (temperature,) * 12 if temperature else None
            plan = JobPlan(first, cure=CureTerms(required_days=28.0, normals_f=normals))
            chain = laid(first, plan=plan)
            work = [(phase, on) for phase, on, weather in chain if not weather]
            assert wrong_days(work, set(), set(), first, 28.0, temperature) == set()
            assert all(on.weekday() < 5 for _, on, _ in chain)


def test_a_chain_passes_over_holidays_closed_days_and_days_on_which_the_crew_is_elsewhere():
    off = {TODAY + timedelta(days=1): "calving"}
    taken = {1: {TODAY + timedelta(days=2): "Pad crew is on 2031-009"}}
    days = [on.day for phase, on, _ in laid(off=off, taken=taken) if phase in ("excavation", "pour")]
    assert days == [5, 8, 9]


def test_nobody_is_in_two_places_on_one_day():
    """The crews of the pour and of the wiring share a hand: no day of one is a day of the other."""
    chain = laid(shares={1: frozenset({2}), 2: frozenset({1})})
    days = [on for _, on, _ in chain]
    assert len(days) == len(set(days)) == 12


def test_what_is_dug_and_poured_is_not_laid_again():
    done = frozenset({"excavation", "pour"})
    plan = JobPlan(TODAY, begun=done, done=done, poured_on=TODAY, cured_expected=TODAY + timedelta(days=40))
    chain = laid(plan=plan)
    assert {phase for phase, _, _ in chain} == set(USUAL) - done
    assert min(on for phase, on, _ in chain if phase == "tower lift") >= TODAY + timedelta(days=40)


def test_holidays_are_those_of_the_state():
    """Against the statute: 5 USC 6103(a), the federal holidays; in Texas too Mar 2, Government Code 662.003.

    From memory; the dates of 2031 read off a calendar.
    """
    federal = {
        date(2031, 1, 1), date(2031, 1, 20), date(2031, 2, 17), date(2031, 5, 26), date(2031, 6, 19),
        date(2031, 7, 4), date(2031, 9, 1), date(2031, 11, 11), date(2031, 11, 27), date(2031, 12, 25),
    }  # fmt: skip
    assert federal <= set(holidays_of("ND", 2031))
    assert date(2031, 3, 2) in holidays_of("TX", 2031) and date(2031, 3, 2) not in holidays_of("ND", 2031)
    assert dict(holidays_of("ZZ", 2031)) == dict(holidays.country_holidays("US", years=2031))


def test_working_days_are_counted_one_by_one():
    off = {date(2031, 5, 26): "Memorial Day"}
    assert day_off(date(2031, 5, 24), off) == "Saturday" and day_off(date(2031, 5, 26), off) == "Memorial Day"
    assert next_working(date(2031, 5, 24), off) == date(2031, 5, 27)
    assert later_by(date(2031, 5, 23), 1, off) == date(2031, 5, 27)
    assert working_between(date(2031, 5, 23), date(2031, 5, 28), off) == 2
    assert working_between(date(2031, 5, 28), date(2031, 5, 23), off) == -2


# --- on the pages -----------------------------------------------------------------------------------


@pytest.fixture
def season(client: Client, db: None) -> Season:
    made = Season()
    client.force_login(made.office)
    return made


PATH = "/crew-days/chain/"


def shown(client: Client, season: Season, job, **typed):
    given = {"job": job.pk, "first": season.on(0), "pad": season.pad.pk, "tower": season.tower.pk, **typed}
    given.setdefault("electric", season.tower.pk)
    return client.get(PATH, {name: str(value) for name, value in given.items()})


def test_a_job_is_put_down_with_four_values_and_two_submits(client, season: Season):
    """Job, first day and two crews are chosen; the third crew stands as it is used or can wire."""
    job = season.job()
    empty = client.get(PATH).content.decode()
    assert f'<option value="{season.pad.pk}" selected>' in empty
    page = shown(client, season, job)
    assert page.status_code == 200 and not CrewDay.objects.exists()
    form = form_at(page.content.decode(), PATH)
    answer = client.post(PATH, form.filled())
    assert answer.status_code == 302
    days = standing(job)
    assert len(days) == 12
    assert days[0] == ("excavation", season.on(0), "work")
    assert sum(kind == "weather" for _, _, kind in days) == 2
    work = [(phase, on) for phase, on, kind in days if kind == "work"]
    assert wrong_days(work, set(), set(), timezone.now().date(), 28.0, None) == set()
    listed = client.get("/crew-days/").content.decode()
    assert "the first day for" not in listed and "is planned before it" not in listed


def test_durations_typed_after_the_days_were_read_are_shown_first(client, season: Season):
    job = season.job()
    form = form_at(shown(client, season, job).content.decode(), PATH)
    longer = form.filled() | {"days-excavation": ["4"]}
    answer = client.post(PATH, longer)
    assert answer.status_code == 422 and not CrewDay.objects.exists()
    form = form_at(answer.content.decode(), PATH)
    assert client.post(PATH, form.filled()).status_code == 302
    assert sum(phase == "excavation" for phase, _, _ in standing(job)) == 4


def test_a_chain_that_would_be_another_by_now_is_read_again(client, season: Season):
    job = season.job()
    form = form_at(shown(client, season, job).content.decode(), PATH)
    Absence.objects.create(person=season.ben, first_on=season.on(0), last_on=season.on(4))
    answer = client.post(PATH, form.filled())
    assert answer.status_code == 409 and not CrewDay.objects.exists()


def test_pressed_twice_it_is_one_chain(client, season: Season):
    job = season.job()
    form = form_at(shown(client, season, job).content.decode(), PATH)
    assert [client.post(PATH, form.filled()).status_code for _ in range(2)] == [302, 302]
    assert len(standing(job)) == 12


def test_a_job_that_has_its_days_says_so(client, season: Season):
    job = season.job()
    season.whole(job)
    answer = shown(client, season, job)
    assert "has its days already" in answer.content.decode()


def test_closed_days_of_a_site_are_passed_over_named_and_taken_back(client, season: Season):
    job = season.job()
    day = season.day(job, "survey", 1)
    typed = {"job": job.pk, "first_on": season.on(0), "last_on": season.on(2), "why": "calving"}
    answer = client.post("/crew-days/closed/add/", {name: str(value) for name, value in typed.items()})
    assert answer.status_code == 302
    assert "The site is closed: calving" in client.get("/crew-days/").content.decode()
    page = shown(client, season, job).content.decode()
    assert "The site is closed: calving" in page
    form = form_at(page, PATH)
    client.post(PATH, form.filled())
    assert min(on for phase, on, _ in standing(job) if phase == "excavation") == season.on(3)
    row = ClosedDays.objects.get()
    action = f"/crew-days/closed/{row.pk}/open/"
    client.post(action, as_drawn(client, "/crew-days/", action))
    row.refresh_from_db()
    assert row.withdrawn_by == season.office and day.pk
    assert "The site is closed" not in client.get("/crew-days/").content.decode()


@pytest.mark.parametrize(
    "wrong", [{"first": "soon"}, {"days-pour": "99"}, {"pad": "9" * 30}, {"job": "\x00"}]
)
def test_what_cannot_be_is_said_at_its_field(client, season: Season, wrong):
    answer = client.post(
        PATH,
        {"job": season.job().pk, "first": season.on(0).isoformat(), "pad": season.pad.pk,
         "tower": season.tower.pk, "electric": season.tower.pk, **wrong},
    )  # fmt: skip
    assert answer.status_code == 422 and b"errorlist" in answer.content
