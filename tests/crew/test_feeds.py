"""Calendar addresses: what they give out, to whom, and how they end; the days as CSV, the week for the wall.

The calendar is read by the rules of RFC 5545: lines of at most 75 octets that end in CRLF (3.1), one UID and
one DTSTAMP an event (3.6.1), DTEND of a whole day is the day after it.
"""

from __future__ import annotations

import csv
import io
from datetime import timedelta

import pytest
from django.utils import timezone
from icalendar import Calendar

from crew.feeds.models import Feed
from crew.feeds.services import end_feed, make_feed
from crew.plan.services import strike_day
from installs.people.models import FirmEvent
from installs.people.services import archive_person
from tests.crew.season import Season

pytestmark = pytest.mark.django_db


@pytest.fixture
def season(client) -> Season:
    found = Season()
    client.force_login(found.office)
    return found


def given(client, token: str):
    client.logout()
    answer = client.get(f"/calendar/{token}.ics")
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/calendar")
    return answer.content


def secret(of, season: Season) -> str:
    return make_feed(of, by=season.office, at=timezone.now())


def events(content: bytes) -> list:
    return list(Calendar.from_ical(content).walk("VEVENT"))


def test_a_stranger_with_the_address_has_the_days_without_signing_in(client, season):
    job = season.job(owner="Orrin Secretive", place="Elk Ridge")
    days = season.whole(job)
    content = given(client, secret(season.pad, season))
    found = events(content)
    assert [e["dtstart"].dt for e in found] == [days[k].on for k in ("dig", "dig 2", "pour")]
    assert all(e["dtend"].dt - e["dtstart"].dt == timedelta(days=1) for e in found)
    assert str(found[0]["summary"]) == f"{job.number} Excavation and rebar: Pad crew"
    assert "Elk Ridge" in str(found[0]["location"])
    assert {str(e["status"]) for e in found} == {"TENTATIVE"}


def test_it_is_written_as_the_standard_has_it(client, season):
    season.whole(season.job(place="A place with a name that is very long, with commas; and more of them"))
    content = given(client, secret(season.tower, season))
    lines = content.split(b"\r\n")
    assert lines[0] == b"BEGIN:VCALENDAR" and lines[-2:] == [b"END:VCALENDAR", b""]
    assert max(map(len, lines)) <= 75 and b"\n" not in content.replace(b"\r\n", b"")
    unfolded = content.replace(b"\r\n ", b"")
    assert unfolded.count(b"\r\nUID:") == unfolded.count(b"\r\nDTSTAMP") == unfolded.count(b"BEGIN:VEVENT")
    assert b"commas\\; and" in unfolded and len({e["uid"] for e in events(content)}) == len(events(content))


def test_it_says_days_places_and_crews_and_nothing_else(client, season):
    job = season.job(owner="Orrin Secretive")
    season.day(job, "pour", 2, note="Gate code 4471")
    content = given(client, secret(season.pad, season))
    for words in (b"Orrin", b"4471", b"Osgood"):
        assert words not in content


def test_of_a_person_and_of_a_crane_the_days_that_name_them(client, season):
    job = season.job()
    days = season.whole(job)
    of_crane = events(given(client, secret(season.crane, season)))
    assert [e["dtstart"].dt for e in of_crane] == [
        days[k].on for k in ("tower lift", "weather", "turbine lift")
    ]
    assert "weather day" in str(of_crane[1]["summary"])
    assert len(events(given(client, secret(season.ben, season)))) == 3


def test_a_day_that_is_struck_is_gone(client, season):
    day = season.day(season.job(), "pour", 2)
    token = secret(season.pad, season)
    assert len(events(given(client, token))) == 1
    strike_day(day, "Rain.", by=season.office, at=timezone.now())
    assert events(given(client, token)) == []


def test_an_address_that_was_ended_made_anew_or_never_made_answers_that_there_is_nothing(client, season):
    first = secret(season.pad, season)
    second = secret(season.pad, season)
    assert client.get(f"/calendar/{first}.ics").status_code == 404
    assert client.get(f"/calendar/{second}.ics").status_code == 200
    end_feed(Feed.objects.get(ended_at=None), by=season.office, at=timezone.now())
    assert client.get(f"/calendar/{second}.ics").status_code == 404
    assert client.get("/calendar/nothing.ics").status_code == 404


def test_who_leaves_the_firm_has_no_calendar_any_more(client, season):
    token = secret(season.gus, season)
    archive_person(season.gus, timezone.localdate(), by=season.office, at=timezone.now())
    assert client.get(f"/calendar/{token}.ics").status_code == 404


def test_only_the_hash_is_kept_and_the_firms_log_tells_of_making_and_ending(client, season):
    answer = client.post("/calendars/", {"crew": season.pad.pk})
    address = answer.context["address"]
    token = address.rpartition("/")[2].removesuffix(".ics")
    feed = Feed.objects.get()
    assert len(token) >= 43 and token not in str(feed.__dict__)
    told = FirmEvent.objects.filter(verb="calendar made").get()
    assert token not in told.what + str(told.data)
    assert token.encode() not in client.get("/calendars/").content
    end_feed(feed, by=season.office, at=timezone.now())
    assert FirmEvent.objects.filter(verb="calendar ended").count() == 1


@pytest.mark.parametrize(("typed", "field"), [({}, "person"), ({"crew": "1", "crane": "1"}, "crane")])
def test_whose_calendar_is_asked_at_its_field(client, season, typed, field):
    ids = {"crew": season.pad.pk, "crane": season.crane.pk}
    answer = client.post("/calendars/", {name: ids[name] for name in typed})
    assert answer.status_code == 422 and answer.context["form"].errors[field]
    assert not Feed.objects.exists()


def test_the_days_as_csv_are_those_of_the_filter(client, season):
    job, other = season.job(owner="=Orrin"), season.job()
    season.whole(job)
    season.day(other, "pour", 2, season.tower)
    rows = list(csv.DictReader(io.StringIO(client.get("/crew-days/days.csv").content.decode())))
    assert len(rows) == 10 and rows[0]["owner"] == "'=Orrin"
    found = client.get("/crew-days/days.csv", {"of_job": job.pk, "of_phase": "pour"}).content.decode()
    (only,) = csv.DictReader(io.StringIO(found))
    assert (only["job"], only["work"], only["crew"]) == (job.number, "Pour", "Pad crew")
    assert only["date"] == season.on(2).isoformat()


def test_the_week_for_the_wall_has_every_crew_and_the_days_of_that_week_only(client, season):
    job = season.job()
    season.whole(job)
    page = client.get("/crew-days/wall/", {"week": season.on(3).isoformat()}).content.decode()
    assert page.count(job.number) == 4
    assert "Pad crew" in page and "Tower crew" in page
    assert client.get("/crew-days/wall/", {"week": "soon"}).context["form"].errors["week"]
