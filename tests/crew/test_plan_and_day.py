"""A gate is judged for the crew day's own date: a plan signed for Monday opens no Tuesday, on any page.

Common practice, no source: crane, cards and lift plan are good for the days that they name.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from random import Random

import pytest
from django.urls import reverse

from crew.morning.look_ahead import line
from crew.morning.next_day import sheets
from crew.morning.office import load_morning
from crew.phone.day import day_works
from crew.plan.clashes import clashes
from crew.plan.models import Crew, CrewDay
from installs.checklists.taking import take_entry
from installs.gates.facts import load_facts
from installs.gates.rules import gate, gate_ahead
from installs.jobs.kept import Kept
from installs.jobs.services import write_event
from installs.lift.models import TOWER_LIFT
from installs.lift.services import sign_plan
from tests.gates.test_rules import READY
from tests.lift.kit import Kit, make_kit
from tests.make import AT, sealed

pytestmark = pytest.mark.django_db
FIRST = date(2031, 5, 26)


@pytest.fixture
def kit() -> Kit:
    """Its tower lift is signed, and a crew is planned for it."""
    made = make_kit()
    made.release()
    for role, by in (("lift director", made.people["lift_director"]), ("operator", made.office)):
        sign_plan(made.job, TOWER_LIFT, "A", role, by=by, at=AT)
    Crew.objects.create(name="Tower crew", foreman=made.people["foreman"])
    return made


def at(kit: Kit, on: date) -> datetime:
    return datetime.combine(on, time(6, 30), kit.job.tz)


def put(kit: Kit, signed: date, weather: date | None, crew_days: list[date]) -> None:
    """Signed for these days, and the crew planned for those, as if it had been so from the beginning."""
    days = {"lift_on": signed.isoformat(), "weather_day": weather and weather.isoformat()}
    revision = kit.job.revisions.get(part=TOWER_LIFT)
    revision.inputs |= days
    sealed(revision)
    for given in revision.lift_signatures.all():
        told = {"which": TOWER_LIFT, "letter": "A", "role": given.role, "sha256": revision.sha256}
        by, at = given.recorded_by, given.signed_at
        write_event(kit.job, "lift plan signed", "For a test.", by=by, at=at, data=told)
    kit.lift.change(**days).save()
    CrewDay.objects.all().delete()
    crew = Crew.objects.get()
    for on in crew_days:
        day = CrewDay.objects.create(
            job=kit.job, phase=TOWER_LIFT, on=on, crew=crew, made_at=AT, made_by=kit.office
        )
        day.people.add(crew.foreman)
    Kept.forget()


def test_next_day_sheet_and_phone_say_what_the_gate_says_on_that_day(kit: Kit) -> None:
    """For 200 of signed day, weather day, crew day and today: 20 plans with 10 crew days each."""
    random, foreman = Random(2031), kit.people["foreman"]
    for _ in range(20):
        signed, today = (FIRST + timedelta(days=random.randrange(2, 7)) for _ in range(2))
        weather = random.choice([None, signed + timedelta(days=random.randrange(1, 4))])
        crew_days = [FIRST + timedelta(days=n) for n in range(10)]
        put(kit, signed, weather, crew_days)
        morning = load_morning(at(kit, today), kit.office)
        said = {on: sheet.gate for on in crew_days for sheet in sheets(morning, on)}
        for on, state in said.items():
            assert state is not None
            assert (on in (signed, weather)) != any("lift plan A is for" in words for words in state.missing)

        on = random.choice(crew_days)
        then = gate(TOWER_LIFT, load_facts([kit.job], at(kit, on))[kit.job.pk], on)
        (work,) = day_works(foreman, on, at(kit, on))
        ahead = gate_ahead(TOWER_LIFT, morning.jobs[0].facts, today)  # look-ahead, job book, lift card
        next_day = next(each for each in crew_days if each >= today)
        assert work.gate == then
        assert [said[on].missing, ahead.missing, ahead.day] == [
            then.missing,
            said[next_day].missing,
            next_day,
        ]


def test_with_all_else_in_order_the_gate_opens_on_the_plans_days_alone(kit: Kit) -> None:
    put(kit, FIRST, FIRST + timedelta(days=2), [])
    facts = load_facts([kit.job], at(kit, FIRST))[kit.job.pk]
    ready = replace(READY, lifts=facts.lifts)
    assert [gate(TOWER_LIFT, ready, FIRST + timedelta(days=n)).open for n in range(-1, 4)] == [
        False, True, False, True, False
    ]  # fmt: skip


def test_every_page_says_the_day_that_it_speaks_of(kit: Kit, client) -> None:
    put(kit, FIRST, None, [FIRST + timedelta(days=7)])
    today, words = FIRST - timedelta(days=3), "lift plan A is for Mon May 26, not for Mon Jun 2"
    morning = load_morning(at(kit, today), kit.office)
    (m,) = morning.jobs
    assert m.gate is not None
    assert "Tower lift: " + words in line(m, morning).expires
    (clash,) = [c for c in clashes(m.ahead, morning.people) if words in c.sentence]
    assert clash.on == FIRST + timedelta(days=7)
    client.force_login(kit.office)
    pages = [
        reverse("job-book", args=[kit.job.number]),
        reverse("lift-card", args=[kit.job.number, "tower"]),
        f"{reverse('next-day')}?on=2031-06-02",
    ]
    for path in pages:
        assert words in client.get(path).content.decode(), path
    gates = client.get(reverse("api-gates", args=[kit.job.number])).json()["gates"]
    (judged,) = [g for g in gates if g["key"] == TOWER_LIFT]
    assert judged["day"] == "2031-06-02" and words in judged["sentence"]


def test_what_is_recorded_late_is_judged_for_the_day_on_which_it_was_done(kit: Kit) -> None:
    """Sent three days after the lift, from a place without signal: the plan was of its day."""
    put(kit, FIRST, None, [])
    done = at(kit, FIRST)
    kept = take_entry(
        kit.job, code="H18", by=kit.office, taken_at=done, received_at=done + timedelta(days=3)
    ).entry
    (deviation,) = kept.deviations.all()
    assert "no pour recorded" in deviation.what and "lift plan" not in deviation.what
