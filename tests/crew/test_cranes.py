"""Cranes are booked, confirmed and cancelled, and a lift without one is named. Common practice, no source."""

from __future__ import annotations

from datetime import date, timedelta
from unittest.mock import patch

import pytest
from django.test import Client
from django.utils import timezone

from crew.cranes.services import book, cancel
from crew.morning.office import load_morning
from crew.plan.clashes import Clash, DayFact
from crew.plan.crane_clashes import BookingFact, CraneFact, CraneFacts, crane_clashes
from crew.plan.models import CraneBooking
from installs.jobs.models import Event
from tests.crew.season import Season, at_noon
from tests.make import as_drawn, press

DAY = date(2031, 5, 20)
LATER = DAY + timedelta(days=1)
RENTED, OURS = CraneFact(1, "55-ton truck crane", True), CraneFact(2, "our own crane", False)
CRANES = {1: RENTED, 2: OURS}


def lift(pk: int, job: str, crane: int | None = 1, **fields) -> DayFact:
    given = {
        "pk": pk, "job": job, "phase": "tower lift", "phase_title": "Tower lift", "on": DAY, "weather": False,
        "people": (1,), "skills": (), "started": False, "gate_open": True, "gate_expected": None,
        "gate_waits_outside": False, "crew": "Tower crew", "crane": crane, **fields,
    }  # fmt: skip
    return DayFact(**given)


def booked(**fields) -> BookingFact:
    return BookingFact(**{"pk": 1, "crane": 1, "first": DAY, "last": DAY, "confirmed": True, **fields})


def said(days: list[DayFact], *bookings: BookingFact) -> list[str]:
    found: list[Clash] = list(crane_clashes(days, CraneFacts(CRANES, bookings), DAY - timedelta(days=9)))
    return sorted(clash.sentence for clash in found)


def test_a_lift_with_a_confirmed_crane_and_one_with_our_own_have_no_conflict():
    assert said([lift(1, "A")], booked()) == []
    assert said([lift(1, "A", crane=2)]) == []


@pytest.mark.parametrize(
    ("days", "bookings", "words"),
    [
        ([lift(1, "A", crane=None)], [], "no crane is named for this lift"),
        ([lift(1, "A")], [], "55-ton truck crane is not booked"),
        ([lift(1, "A")], [booked(confirmed=False)], "55-ton truck crane is requested and not confirmed"),
        (
            [lift(1, "A", on=DAY + timedelta(days=1))],
            [booked(), booked(pk=2, cancelled="sold")],
            "not booked",
        ),
        (
            [lift(1, "A")],
            [booked(cancelled="broken down")],
            "55-ton truck crane was cancelled (broken down) and is not booked again",
        ),
        ([lift(1, "A"), lift(2, "B")], [booked()], "55-ton truck crane is on A and B the same day"),
        ([], [booked()], "55-ton truck crane is booked Tue May 20, and no lift is planned with it then"),
        ([lift(1, "A")], [booked(), booked(pk=2)], "55-ton truck crane is booked twice on Tue May 20"),
    ],
)
def test_what_does_not_fit_between_lifts_and_cranes_is_named(days, bookings, words: str):
    assert any(words in each for each in said(days, *bookings))


def test_both_lifts_of_a_job_on_one_day_are_one_use_of_its_crane():
    assert said([lift(1, "A"), lift(2, "A", phase="turbine lift")], booked()) == []


def test_a_booking_whose_days_are_behind_asks_for_no_lift():
    past = DAY - timedelta(days=30)
    assert said([], booked(first=past, last=past)) == []


# --- on the pages -----------------------------------------------------------------------------------


@pytest.fixture
def season(client: Client, db: None) -> Season:
    made = Season()
    client.force_login(made.office)
    return made


def page(client: Client, path: str = "/crew-days/") -> str:
    return client.get(path).content.decode()


def typed(season: Season, **fields) -> dict[str, str]:
    given = {
        "crane": season.crane.pk,
        "first_on": season.on(35),
        "last_on": season.on(36),
        "state": "requested",
    }
    return {name: str(value) for name, value in {**given, **fields}.items()}


def test_a_booking_goes_from_its_form_to_the_conflicts_and_the_next_day_sheet(client, season: Season):
    job = season.job()
    season.whole(job)
    assert "truck crane is not booked" in page(client)
    more = {"cancel_by_on": season.on(34), "cancel_by_at": "14:00", "dollars": "2850.50", "phone": "555-0142"}
    answer = press(client, "/crane-bookings/", typed(season, **more))
    assert answer.status_code == 302
    assert "requested and not confirmed" in page(client)
    booking = CraneBooking.objects.get()
    assert (booking.cost_cents, booking.cost, booking.made_by) == (285_050, "$2,850.50", season.office)
    press(client, f"/crane-bookings/{booking.pk}/confirm/", page="/crane-bookings/")
    booking.refresh_from_db()
    assert booking.state == "confirmed" and booking.confirmed_by == season.office
    assert "requested and not confirmed" not in page(client)
    sheet = page(client, f"/next-day/?on={season.on(35)}")
    assert "confirmed" in sheet and "2:00 PM" in sheet and "555-0142" in sheet
    with patch("django.utils.timezone.now", return_value=at_noon(season.on(35), job)):
        client.force_login(season.tilda)
        assert f"Crane: {season.crane}" in page(client, "/day/")


def test_a_crane_that_is_cancelled_is_one_submit_that_names_every_day_it_hits(client, season: Season):
    job, other = season.job(), season.job()
    season.whole(job)
    season.day(other, "tower lift", 36, crane=season.crane)
    booking = CraneBooking(crane=season.crane, first_on=season.on(35), last_on=season.on(37))
    book(booking, confirmed=True, by=season.office, at=timezone.now())
    path = f"/crane-bookings/{booking.pk}/cancel/"
    before = page(client, path)
    answer = client.post(path, {**as_drawn(client, path), "why": "Down with a swing motor."}, follow=True)
    said_after = answer.content.decode()
    for number, phase in ((job, "tower lift"), (job, "turbine lift"), (other, "tower lift")):
        assert f"{number.number}, {phase} on" in said_after
    assert before.count(job.number) == 3 and before.count(other.number) == 1
    booking.refresh_from_db()
    assert (booking.state, booking.cancelled_by, booking.cancelled_why) == (
        "cancelled", season.office, "Down with a swing motor.",
    )  # fmt: skip
    assert "was cancelled (Down with a swing motor)" in page(client)
    told = Event.objects.filter(verb="crane cancelled").values_list("job__number", flat=True)
    assert sorted(told) == sorted([job.number, other.number])
    assert page(client, "/crane-bookings/").count("<s>") == 1  # it stays, struck


def test_a_booking_is_cancelled_once(season: Season):
    booking = CraneBooking(crane=season.crane, first_on=season.on(35), last_on=season.on(35))
    by = {"by": season.office, "at": timezone.now()}
    book(booking, confirmed=False, **by)
    cancel(booking, "sold", [], **by)
    with pytest.raises(Exception, match="cancelled already"):
        cancel(booking, "sold", [], **by)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"last_on": "2031-01-01", "first_on": "2031-01-02"}, "before the first day"),
        ({"dollars": "-3"}, "greater than or equal to 0"),
        ({"cancel_by_at": "14:00", "cancel_by_on": ""}, "On which day is that hour?"),
        ({"first_on": "9999-12-31"}, "A date between"),
    ],
)
def test_a_booking_that_cannot_be_is_said_at_its_field(client, season: Season, wrong, words: str):
    answer = press(client, "/crane-bookings/", typed(season, **wrong))
    assert answer.status_code == 422 and words in answer.content.decode()
    assert not CraneBooking.objects.exists()


def test_a_lift_day_names_the_crane_that_is_booked_for_it(season: Season):
    booking = CraneBooking(crane=season.crane, first_on=season.on(35), last_on=season.on(36))
    book(booking, confirmed=True, by=season.office, at=timezone.now())
    season.another_crane("T-8")
    job = season.job()
    assert season.day(job, "tower lift", 35).crane == season.crane
    assert season.day(job, "tower lift", 40).crane is None
    assert season.day(job, "pour", 35).crane is None


def test_a_booking_for_nothing_is_told_to_the_office_alone(season: Season):
    booking = CraneBooking(crane=season.crane, first_on=season.on(35), last_on=season.on(36))
    book(booking, confirmed=True, by=season.office, at=timezone.now())
    season.job()
    assert len(load_morning(timezone.now(), season.office).of_no_job) == 1
    assert load_morning(timezone.now(), season.gus).of_no_job == ()
