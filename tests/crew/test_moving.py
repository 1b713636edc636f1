"""A day that is moved takes along what must go with it, and says before what would not fit then."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest
from django.test import Client
from django.utils import timezone

from crew.days.moving import moves
from crew.plan.along import Slot, along
from crew.plan.models import CraneBooking, CrewDay
from crew.plan.order import CureTerms, JobPlan
from crew.plan.services import add_day, move_day
from tests.crew.order_checker import wrong_days
from tests.crew.season import Season, standing
from tests.house.page_forms import forms_of
from tests.make import as_drawn

TODAY = date(2031, 5, 5)


def season_of(random: Random) -> list[tuple[str, date]]:
    """A season in order, with gaps as they come."""
    days, at = [], TODAY + timedelta(days=random.randrange(1, 6))
    for phase, gap in (
        ("excavation", 0), ("excavation", 1), ("pour", 1), ("tower assembly", 1), ("ground station", 0),
        ("tower lift", 29), ("turbine lift", 1), ("commissioning", 1),
    ):  # fmt: skip
        at += timedelta(days=gap + random.choice([0, 0, 0, 1, 4]))
        days.append((phase, at))
    return days


def test_with_what_goes_along_a_season_in_order_stays_in_order():
    """For 2,000 seasons and a day of each moved later, by the other reading of the rules."""
    random, moved = Random(8), 0
    for _ in range(2_000):
        days = season_of(random)
        known = {
            "finished": set(),
            "under_way": set(),
            "today": TODAY,
            "cure_days": 28.0,
            "temperature_f": None,
        }
        assert wrong_days(days, **known) == set()  # type: ignore[arg-type]
        place = random.randrange(len(days))
        to = days[place][1] + timedelta(days=random.randrange(1, 30))
        work: dict[str, tuple[date, ...]] = {}
        for phase, on in days:
            work[phase] = (*work.get(phase, ()), on)
        plan = JobPlan(TODAY, work, cure=CureTerms(required_days=28.0))
        new = along(plan, [Slot(n, *day) for n, day in enumerate(days)], place, to, {})
        after = [(phase, new.get(n, on)) for n, (phase, on) in enumerate(days)]
        assert after[place][1] == to
        assert wrong_days(after, **known) == set(), (days, place, to)  # type: ignore[arg-type]
        assert all(on.weekday() < 5 for n, on in new.items() if n != place)
        assert all(on > days[n][1] for n, on in new.items())
        moved += len(new) > 1
    assert moved > 1_000


def test_nothing_goes_along_that_need_not():
    days = {"excavation": TODAY + timedelta(days=1), "pour": TODAY + timedelta(days=8)}
    plan = JobPlan(TODAY, {phase: (on,) for phase, on in days.items()})
    slots = [Slot(n, phase, on) for n, (phase, on) in enumerate(days.items())]
    assert along(plan, slots, 0, TODAY + timedelta(days=4), {}) == {0: TODAY + timedelta(days=4)}


def test_what_stood_behind_a_weather_day_stays_behind_it():
    monday = date(2031, 5, 12)
    day = [monday + timedelta(days=n) for n in range(14)]
    done = frozenset({"tower assembly", "pour", "excavation"})
    work = {"tower lift": (day[0],), "turbine lift": (day[2],)}
    plan = JobPlan(TODAY, work, begun=done, done=done, poured_on=TODAY, cured=True)
    kept_free = Slot(1, "tower lift", day[1], weather=True)
    slots = [Slot(0, "tower lift", day[0]), kept_free, Slot(2, "turbine lift", day[2])]
    assert along(plan, slots, 0, day[3], {}) == {0: day[3], 1: day[4], 2: day[7]}
    assert along(plan, slots, 0, day[1], {}) == {0: day[1]}  # the weather day is used up


def test_what_goes_along_passes_over_days_on_which_the_site_is_closed():
    monday = date(2031, 5, 12)
    plan = JobPlan(TODAY, {"excavation": (monday,), "pour": (monday + timedelta(days=1),)})
    slots = [Slot(0, "excavation", monday), Slot(1, "pour", monday + timedelta(days=1))]
    off = {monday + timedelta(days=n): "calving" for n in (3, 4)}
    assert along(plan, slots, 0, monday + timedelta(days=2), off)[1] == monday + timedelta(days=7)


# --- on the pages -----------------------------------------------------------------------------------


@pytest.fixture
def season(client: Client, db: None) -> Season:
    made = Season()
    client.force_login(made.office)
    return made


def sent_from(client: Client, path: str, action: str = "", query: str = "") -> dict[str, object]:
    """What the form on the page would send: hidden fields, ticked boxes, and what stands in it."""
    html = client.get(path + query).content.decode()
    form = next(f for f in forms_of(html, path) if f.action == (action or path))
    return form.filled()


def test_a_pour_that_slips_three_days_is_two_values_and_one_submit(client, season: Season):
    job = season.job()
    days = season.whole(job)
    path = f"/crew-days/{days['pour'].pk}/"
    to = season.on(7)  # three working days later
    read = client.get(path, {"on": to.isoformat()}, headers={"HX-Request": "true"}).content.decode()
    assert "Tower assembly, " in read and "Tower lift, " in read and "checked" in read
    data = sent_from(client, path, query=f"?on={to}")
    answer = client.post(path, {**data, "why": "Plant is down.", "do": "move"})
    assert answer.status_code == 302
    after = {phase: on for phase, on, kind in standing(job) if kind == "work"}
    assert after["pour"] == to and after["tower assembly"] == to + timedelta(days=1)
    assert after["tower lift"] >= to + timedelta(days=29)
    assert after["tower lift"] < after["turbine lift"] < after["commissioning"]
    struck = CrewDay.objects.exclude(struck_at=None)
    assert {day.struck_why for day in struck} == {"Plant is down."}
    assert {day.struck_by for day in struck} == {season.office}


def test_what_is_not_ticked_stays_and_is_a_conflict(client, season: Season):
    job = season.job()
    days = season.whole(job)
    path, to = f"/crew-days/{days['pour'].pk}/", season.on(7)
    data = sent_from(client, path, query=f"?on={to}")
    client.post(path, {**data, "along": [], "why": "Rain.", "do": "move"})
    days["assembly"].refresh_from_db()
    assert days["assembly"].struck_at is None
    assert "the first day for tower assembly" in client.get("/crew-days/").content.decode()


def test_without_a_script_what_goes_along_is_read_before_anything_moves(client, season: Season):
    job = season.job()
    days = season.whole(job)
    path, to = f"/crew-days/{days['pour'].pk}/", season.on(7)
    typed = {"on": to.isoformat(), "why": "Rain.", "do": "move"}
    first = client.post(path, {**sent_from(client, path), **typed})
    assert first.status_code == 422 and "read them below" in first.content.decode()
    assert 'value="Rain."' in first.content.decode()
    assert days["pour"].on in [on for _, on, _ in standing(job)]
    form = next(f for f in forms_of(first.content.decode(), path) if f.action == path)
    assert client.post(path, {**form.filled(), **typed}).status_code == 302


def test_what_changed_since_the_page_was_read_is_not_moved(client, season: Season):
    job = season.job()
    days = season.whole(job)
    path, to = f"/crew-days/{days['pour'].pk}/", season.on(7)
    data = sent_from(client, path, query=f"?on={to}")
    by = {"by": season.office, "at": timezone.now()}
    move_day(days["assembly"], season.on(4), "Steel comes Friday.", **by)
    answer = client.post(path, {**data, "why": "Rain.", "do": "move"})
    assert answer.status_code == 409
    days["pour"].refresh_from_db()
    assert days["pour"].struck_at is None


def test_a_move_says_what_would_conflict_and_nothing_that_does_already(client, season: Season):
    job, other = season.job(), season.job()
    days = season.whole(job)
    season.day(other, "survey", 9)
    found = moves(days["dig"], season.on(9), season.office, timezone.now())
    said = [clash.sentence for clash in found.conflicts]
    assert any(f"Ben Osgood is on {job.number} and {other.number}" in words for words in said)
    assert not any("building permit" in words for words in said)


def test_a_crane_that_is_not_booked_for_the_new_day_is_a_conflict_before_it_is_moved(season: Season):
    job = season.job()
    days = season.whole(job)
    CraneBooking.objects.create(
        crane=season.crane, first_on=season.on(35), last_on=season.on(37), made_at=timezone.now(),
        made_by=season.office, confirmed_at=timezone.now(), confirmed_by=season.office,
    )  # fmt: skip
    found = moves(days["tower lift"], season.on(42), season.office, timezone.now())
    assert any("is not booked" in clash.sentence for clash in found.conflicts)


def test_a_lift_that_is_blown_off_takes_its_weather_day_in_one_submit(client, season: Season):
    job = season.job()
    days = season.whole(job)
    lift = days["tower lift"]
    path = f"/crew-days/{lift.pk}/"
    data = sent_from(client, path, action=f"{path}blown-off/")
    answer = client.post(f"{path}blown-off/", data)
    assert answer.status_code == 302
    (new,) = CrewDay.objects.standing().filter(job=job, phase="tower lift")
    assert (new.on, new.kind, new.moved_from, new.crane) == (season.on(36), "work", lift, season.crane)
    for day in (lift, days["weather"]):
        day.refresh_from_db()
    assert lift.struck_why == "blown off" and lift.struck_by == season.office
    assert days["weather"].struck_why == "used for the tower lift"
    days["turbine lift"].refresh_from_db()
    assert days["turbine lift"].struck_at is None  # it stood behind the weather day already


def test_what_stands_on_the_weather_day_goes_along_with_a_lift_blown_off(client, season: Season):
    job = season.job()
    lift = season.day(job, "tower lift", 35, season.tower, crane=season.crane)
    season.day(job, "tower lift", 37, season.tower, crane=season.crane, kind="weather")
    season.day(job, "turbine lift", 35, season.tower, crane=season.crane)
    for phase, on in (("excavation", 0), ("pour", 1), ("tower assembly", 2), ("ground station", 3)):
        season.day(job, phase, on)
    path = f"/crew-days/{lift.pk}/"
    client.post(f"{path}blown-off/", sent_from(client, path, action=f"{path}blown-off/"))
    work = [(phase, on) for phase, on, kind in standing(job) if "lift" in phase]
    assert work == [("tower lift", season.on(37)), ("turbine lift", season.on(37))]


def test_a_lift_moves_onto_its_own_weather_day(client, season: Season):
    job = season.job()
    days = season.whole(job)
    path = f"/crew-days/{days['tower lift'].pk}/"
    data = sent_from(client, path, query=f"?on={season.on(36)}")
    assert client.post(path, {**data, "why": "Gusts.", "do": "move"}).status_code == 302
    lifts = [(on, kind) for phase, on, kind in standing(job) if phase == "tower lift"]
    assert lifts == [(season.on(36), "work")]


def test_a_day_behind_is_asked_for_and_one_press_says_that_it_was_worked(client, season: Season):
    job = season.job()
    now = timezone.now()
    yesterday = job.local(now).date() - timedelta(days=1)
    day = add_day(job, "pour", yesterday, season.pad, by=season.office, at=now)
    page = client.get("/crew-days/").content.decode()
    assert "Worked, moved or canceled?" in page
    look = client.get("/look-ahead/").content.decode()
    assert "worked, moved or canceled?" in look
    assert "pour, cure" not in look  # nobody poured: nothing is drawn
    action = f"/crew-days/{day.pk}/worked/"
    client.post(action, as_drawn(client, "/crew-days/", action))
    day.refresh_from_db()
    assert day.worked_by == season.office
    assert "Worked, moved or canceled?" not in client.get("/crew-days/").content.decode()
    assert "pour, cure" not in client.get("/look-ahead/").content.decode()  # nor now
