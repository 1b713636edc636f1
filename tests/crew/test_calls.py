"""Whom the look-ahead calls: to each thing on the first day that it bites, and not before; else to nothing.

How long a renewal takes is common practice, no source, where crew/morning/expiry.py names none. Working days
are counted here by numpy's business-day calendar, with the holidays of the state.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

import holidays
import numpy as np
import pytest
from django.utils import timezone

from crew.morning.expiry import expiries
from crew.morning.look_ahead import Line, calls, lines
from crew.morning.office import load_morning
from crew.plan.models import Crew
from crew.plan.services import add_day
from installs.emergency.models import EmergencyPlan
from installs.equipment.models import Crane, EquipmentRecord, Wrench
from installs.inspection.models import Inspection
from installs.jobs.kept import Kept
from installs.jobs.models import Job
from installs.jobs.phases import ENERGIZING, PHASES
from installs.lift.state import LiftState
from tests.crew.season import CARDS, FAR, Season, at_noon
from tests.make import make_card, make_person

pytestmark = pytest.mark.django_db

WEEK = timedelta(days=7)


def working_days_before(needed: date, days: int, state: str) -> date:
    off = list(holidays.country_holidays("US", subdiv=state, years=[needed.year - 1, needed.year]))
    return np.busday_offset(needed, -days, holidays=off).astype(object)


def held(job: Job, kind: str, until: date | None, **fields: Any) -> None:
    today = job.local(timezone.now()).date()
    given = {"number": "N-1", "asked_of": "County", "asked_on": today, "granted_on": today, **fields}
    job.permits.create(kind=kind, expires_on=until, **given)


def good_until(until: date, by: Any, **thing: Any) -> None:
    given = {"done_on": date(2020, 1, 2), "reference": "R-1", "recorded_by": by}
    EquipmentRecord.objects.create(expires_on=until, recorded_at=timezone.now(), **given, **thing)


def a_wrench(serial: str, until: date, by: Any, low: float = 100, high: float = 600) -> Wrench:
    wrench = Wrench.objects.create(serial=serial, name="click wrench", low_ft_lb=low, high_ft_lb=high)
    good_until(until, by, wrench=wrench)
    return wrench


@dataclass
class Seeded:
    """A job whose ``phase`` is planned on ``on``; everything that is not seeded lasts."""

    season: Season
    job: Job
    on: date
    rigger: Any

    @property
    def before(self) -> date:
        return self.on - timedelta(days=1)

    def plan(self, phase: str, **fields: Any) -> None:
        crew = Crew.objects.create(name="Seeded crew", foreman=self.rigger)
        add_day(self.job, phase, self.on, crew, by=self.season.office, at=timezone.now(), **fields)

    def cards(self, ending: str, until: date) -> None:
        for kind in CARDS:
            make_card(self.rigger, kind, until if kind == ending else FAR)


def locate(of: Seeded, phase: str) -> None:
    of.cards("", FAR)
    held(of.job, "building", FAR)
    held(of.job, "electrical", FAR)
    held(of.job, "locate", of.before, valid_from=of.before - timedelta(days=30))
    of.plan(phase)


def permit(kind: str, phase: str) -> Callable[[Seeded], None]:
    def seed(of: Seeded) -> None:
        of.cards("", FAR)
        for other in ("building", "electrical", "locate"):
            if other != kind:
                held(of.job, other, FAR)
        held(of.job, kind, of.before)
        of.plan(phase)

    return seed


def card(kind: str, phase: str) -> Callable[[Seeded], None]:
    def seed(of: Seeded) -> None:
        of.cards(kind, of.before)
        good_until(FAR, of.season.office, crane=of.season.crane)
        lifts = phase in ("tower lift", "turbine lift")
        of.plan(phase, **({"crane": of.season.crane} if lifts else {}))

    return seed


def wrench(of: Seeded) -> None:
    of.cards("", FAR)
    a_wrench("W-7", of.before, of.season.office)
    a_wrench("W-8", FAR, of.season.office, low=20, high=120)  # too small to do for it
    of.plan("tower assembly")


def crane(of: Seeded) -> None:
    of.cards("", FAR)
    good_until(of.before, of.season.office, crane=of.season.crane)
    of.plan("tower lift", crane=of.season.crane)


# what is seeded, how its call begins, working days before the day on which it is first said
SEEDED: dict[str, tuple[Callable[[Seeded], None], str, int]] = {
    "locate ticket of the dig": (lambda of: locate(of, "excavation"), "Renew the locate ticket", 4),
    "locate ticket of the trench": (lambda of: locate(of, "ground station"), "Renew the locate ticket", 4),
    "building permit": (permit("building", "excavation"), "Renew the building permit", 10),
    "conditional use permit": (permit("conditional use", "excavation"), "Renew the conditional use", 20),
    # 45 days before work begins: 14 CFR 77.7(b)
    "airspace": (permit("airspace", "excavation"), "Renew the airspace notice", 33),
    "electrical permit": (permit("electrical", "ground station"), "Renew the electrical permit", 10),
    "calibration of a wrench": (wrench, "Send wrench W-7", 10),
    "inspection of the crane": (crane, "Have 55-ton truck crane", 10),
    "card of the rigger": (card("rigger", "tower lift"), "Renew Rick Only's card as rigger", 20),
    "card of the climber": (card("climber", "turbine lift"), "Renew Rick Only's card as climber", 20),
    "card of the electrician": (card("electrician", "commissioning"), "Renew Rick Only's card as elec", 20),
}


def line_on(day: date, job: Job, person: Any) -> Line:
    found = lines(load_morning(at_noon(day, job), person))
    return next(line for line in found if line.morning.job.pk == job.pk)


@pytest.mark.parametrize("name", SEEDED)
def test_what_ends_before_it_is_needed_is_called_on_the_first_day_that_it_bites(name: str) -> None:
    seed, begins, lead = SEEDED[name]
    season = Season()
    season.crane.name = "55-ton truck crane"
    season.crane.save()
    job = season.job()
    on = working_days_before(season.monday + 12 * WEEK, 1, job.state)
    seed(Seeded(season, job, on, make_person("Rick Only")))
    bites = working_days_before(on, lead, job.state)
    before, at_last = (line_on(day, job, season.office) for day in (bites - timedelta(days=1), bites))
    assert before.calls == ()
    assert [call for call in at_last.calls if call.startswith(begins)] == list(at_last.calls) != []
    assert len(before.expires) == 1  # it stands there all the while
    assert any(call.startswith(begins) for call in line_on(on, job, season.office).calls)


def test_the_twelfth_a_yearly_inspection_is_called_a_month_before_it_is_due_until_it_is_planned() -> None:
    season = Season()
    job, office = season.job(), season.office
    on = job.local(now := timezone.now()).date()
    begun = now - timedelta(days=300)
    for phase in PHASES[:-1]:
        job.phases.create(
            key=phase.key, started_at=begun, started_by=office, finished_at=begun, finished_by=office
        )
    for step in ENERGIZING:
        job.phases.get_or_create(key=step, defaults={"started_at": begun, "started_by": office})
    due = job.local(begun).date() + timedelta(days=365)
    month = due - timedelta(days=30)
    assert line_on(month - timedelta(days=1), job, office).calls == ()
    assert [c[:26] for c in line_on(month, job, office).calls] == ["Plan the yearly inspection"]
    add_day(job, "maintenance", due, season.pad, by=office, at=timezone.now())
    assert line_on(month, job, office).calls == ()
    Inspection.objects.create(
        job=job, kind="annual", inspector="B. Osgood", inspected_on=on, passed=True, number="Y-1",
        recorded_by=office, recorded_at=now,
    )  # fmt: skip
    job.crew_days.update(struck_at=now, struck_by=office, struck_why="done already")
    assert line_on(due, job, office).calls == ()


def test_a_sling_that_a_lift_plan_names_is_called_ten_working_days_before() -> None:
    season = Season()
    job = season.job()
    on = working_days_before(season.monday + 12 * WEEK, 1, job.state)
    plan = LiftState("A", True, {on: ("S-12: inspection expired Jan 5, 2031",)})
    bites = working_days_before(on, 10, job.state)
    for day, called in ((bites - timedelta(days=1), 0), (bites, 1)):
        morning = load_morning(at_noon(day, job), season.office)
        m = replace(morning.jobs[0], facts=replace(morning.jobs[0].facts, lifts={"tower lift": plan}))
        ending = expiries(m, morning)
        assert ["S-12" in each.words for each in ending] == [True]
        assert len(calls(m, ending)) == called


def test_a_ticket_is_not_renewed_so_early_that_it_would_be_dead_again_on_the_day() -> None:
    """One that lives three days is renewed three days before at the earliest."""
    season = Season()
    job = season.job()
    on = working_days_before(season.monday + 12 * WEEK, 1, job.state)
    of = Seeded(season, job, on, make_person("Rick Only"))
    held(job, "building", FAR)
    today = job.local(timezone.now()).date()
    held(job, "locate", today + timedelta(days=3))
    of.plan("excavation")
    assert line_on(on - timedelta(days=4), job, season.office).calls == ()
    assert len(line_on(on - timedelta(days=3), job, season.office).calls) == 1


def test_a_renewal_that_was_asked_for_is_waited_for_and_calls_nobody() -> None:
    season = Season()
    job = season.job()
    on = working_days_before(season.monday + 12 * WEEK, 1, job.state)
    of = Seeded(season, job, on, make_person("Rick Only"))
    held(job, "building", FAR)
    held(job, "locate", of.before)
    of.plan("excavation")
    bites = working_days_before(on, 4, job.state)
    job.permits.create(kind="locate", asked_of="One-call", asked_on=bites)
    line = line_on(bites, job, season.office)
    assert line.calls == () and "Locate ticket" in line.expires[0]


def test_a_card_calls_nobody_where_somebody_else_of_the_crew_holds_one() -> None:
    season = Season()
    job = season.job()
    on = working_days_before(season.monday + 12 * WEEK, 1, job.state)
    of = Seeded(season, job, on, make_person("Rick Only"))
    of.cards("rigger", of.before)
    good_until(FAR, season.office, crane=season.crane)
    crew = Crew.objects.create(name="Two riggers", foreman=of.rigger)
    crew.people.add(season.ben)
    add_day(job, "tower lift", on, crew, crane=season.crane, by=season.office, at=timezone.now())
    line = line_on(working_days_before(on, 5, job.state), job, season.office)
    assert line.calls == () and line.expires == ()


def test_waits_for_names_what_holds_the_next_step_and_not_what_was_asked_first() -> None:
    season = Season()
    job = season.job()
    season.day(job, "excavation", 0)
    today = job.local(timezone.now()).date()
    job.permits.create(kind="utility application", asked_of="Co-op", asked_on=today - timedelta(days=90))
    job.permits.create(kind="building", asked_of="Juniper County", asked_on=today - timedelta(days=9))
    line = line_on(today, job, season.office)
    assert line.waits.startswith("Building permit from Juniper County, requested")
    assert line.days == 9


def test_a_clean_season_of_forty_jobs_calls_nobody() -> None:
    season = Season()
    a_wrench("W-7", FAR, season.office)
    for n in range(40):
        job = season.job()
        for kind in ("building", "electrical", "locate", "airspace"):
            held(job, kind, FAR)
        clean(season, job, n)
    first = job.local(timezone.now()).date()
    days = (season.monday - first).days + 1
    assert days > 7
    for day in (first + timedelta(days=n) for n in range(days)):
        at: datetime = at_noon(day, job)
        found = lines(load_morning(at, season.office))
        assert len(found) == 40
        assert [(line.morning.job.number, line.calls) for line in found if line.calls] == []
        assert [line.expires for line in found if line.expires] == []


def clean(season: Season, job: Job, n: int) -> None:
    """Every day of a job, by a crew and a crane of its own, some of them a week later than others."""
    foreman = make_person()
    for kind in CARDS:
        make_card(foreman, kind, FAR)
    own: Crane = season.another_crane(f"U-{n}")
    good_until(FAR, season.office, crane=own)
    season.pad = season.tower = Crew.objects.create(name=f"Crew {n}", foreman=foreman)
    season.crane = own
    away = 7 * (n % 8)
    for phase, day in (("excavation", 0), ("pour", 2), ("tower assembly", 3), ("ground station", 7)):
        season.day(job, phase, day + away)
    for phase, day in (("tower lift", 35), ("turbine lift", 37)):
        season.day(job, phase, day + away, crane=own)
    season.day(job, "commissioning", 38 + away)


@pytest.mark.parametrize("phase", ["excavation", "tower lift"])
def test_an_emergency_card_that_is_not_complete_is_called_before_a_crew_works_there(phase: str) -> None:
    season = Season()
    job = season.job()
    season.day(job, "survey", 0)
    season.day(job, phase, 7, crane=season.crane if phase == "tower lift" else None)
    needed = season.on(7)
    first = working_days_before(needed, 3, job.state)

    def called(on: date) -> list[str]:
        Kept.forget()
        line = next(
            line for line in lines(load_morning(at_noon(on, job), season.office)) if line.morning.job == job
        )
        return [words for words in line.calls if "emergency card" in words]

    assert called(first) == []
    EmergencyPlan.objects.filter(job=job).update(hospital="", drive_min=None)
    assert called(first - timedelta(days=1)) == []
    [words] = called(first)
    assert "emergency room, drive to it" in words
    EmergencyPlan.objects.filter(job=job).delete()
    assert "nothing told yet" in called(first)[0]
