"""Who goes can be changed, one day or ten at once, and whoever is planned has every page of the day."""

from __future__ import annotations

import re
from datetime import date, timedelta
from unittest.mock import patch

import pytest
from django.test import Client
from django.utils import timezone

from crew.plan.clashes import PersonFact
from crew.plan.instead import Post, offers
from crew.plan.models import Absence, Crew, CrewDay
from installs.people.models import Certificate
from tests.crew.season import FAR, Season, at_noon, form_at, standing
from tests.make import as_drawn, make_card, make_person, press

DAY = date(2031, 5, 20)
BEN = PersonFact(1, "Ben", (), (("rigger", DAY),))
TILDA = PersonFact(2, "Tilda", (), (("rigger", DAY),))
GUS = PersonFact(3, "Gus", (), ())
PEOPLE = {1: BEN, 2: TILDA, 3: GUS}


def offered(post: Post, people=PEOPLE, busy=None) -> list[str]:
    (found,) = offers([post], BEN, people, busy or {})
    return [person.name for person in found.people]


def test_only_who_holds_the_card_that_nobody_else_holds_is_offered():
    assert offered(Post(1, "A", DAY, ("rigger",), ())) == ["Tilda"]
    assert offered(Post(1, "A", DAY, (), ())) == ["Gus", "Tilda"]
    assert offered(Post(1, "A", DAY, ("rigger",), (2,))) == ["Gus"]  # Tilda goes already, with her card
    assert offered(Post(1, "A", DAY + timedelta(days=1), ("rigger",), ())) == [
        "Gus",
        "Tilda",
    ]  # nor did Ben's count


def test_who_is_away_gone_or_on_another_job_is_not_offered():
    post = Post(1, "A", DAY, (), ())
    away = PersonFact(2, "Tilda", ((DAY, DAY, "calving"),), ())
    gone = PersonFact(3, "Gus", (), (), left=True)
    assert offered(post, {1: BEN, 2: away, 3: gone}) == []
    assert offered(post, busy={(2, DAY): frozenset({"B"}), (3, DAY): frozenset({"A"})}) == ["Gus"]


def test_who_can_go_on_most_of_the_days_comes_first():
    posts = [Post(n, "A", DAY + timedelta(days=n), (), ()) for n in range(3)]
    away = PersonFact(3, "Gus", ((DAY + timedelta(days=1), DAY + timedelta(days=1), ""),), ())
    found = offers(posts, BEN, {1: BEN, 2: TILDA, 3: away}, {})
    assert [offer.people[0].name for offer in found] == ["Tilda"] * 3


# --- on the pages -----------------------------------------------------------------------------------


@pytest.fixture
def season(client: Client, db: None) -> Season:
    made = Season()
    client.force_login(made.office)
    return made


def test_other_people_crew_and_note_stand_with_initials_and_the_day_as_it_was_stays(client, season: Season):
    job = season.job()
    day = season.day(job, "pour", 2, note="first truck 7:30")
    path = f"/crew-days/{day.pk}/"
    html = client.get(path).content.decode()
    form = form_at(html, path, f"{path}who/")
    typed = {"people": [str(season.gus.pk)], "crew": str(season.tower.pk), "note": "first truck 8:00"}
    assert client.post(f"{path}who/", {**form.filled(), **typed}).status_code == 302
    day.refresh_from_db()
    (new,) = CrewDay.objects.standing()
    assert (new.on, new.crew, new.note, list(new.people.all())) == (
        day.on, season.tower, "first truck 8:00", [season.gus],
    )  # fmt: skip
    assert day.struck_by == season.office
    assert day.struck_why == "Tower crew for Pad crew, Gus Pruitt for Ben Osgood, note"
    assert new.moved_from == day and day.note == "first truck 7:30"
    assert "first truck 8:00" in client.get(f"/next-day/?on={new.on}").content.decode()


def test_a_change_that_changes_nothing_is_said(client, season: Season):
    day = season.day(season.job(), "pour", 2)
    path = f"/crew-days/{day.pk}/"
    html = client.get(path).content.decode()
    form = form_at(html, path, f"{path}who/")
    answer = client.post(f"{path}who/", form.filled() | {"people": [str(season.ben.pk)]})
    assert answer.status_code == 422 and b"Nothing was changed" in answer.content


def ten_days(season: Season) -> list[CrewDay]:
    job = season.job()
    return [season.day(job, "tower lift", n, season.tower, crane=season.crane) for n in range(10)]


def test_ten_days_of_who_is_away_are_one_page_and_one_submit_without_a_choice(client, season: Season):
    days = ten_days(season)
    typed = {"person": season.tilda.pk, "first_on": season.on(0), "last_on": season.on(9), "why": "calving"}
    answer = press(client, "/crew-days/absences/add/", {n: str(v) for n, v in typed.items()})
    path = f"/crew-days/instead/{season.tilda.pk}/"
    assert answer.url == path
    html = client.get(path).content.decode()
    form = form_at(html, path)
    assert len([f for f in form.fields if f.kind == "select"]) == 10
    assert client.post(path, form.filled()).status_code == 302
    now = CrewDay.objects.standing()
    assert [list(day.people.all()) for day in now] == [[season.ben]] * 10
    assert [day.on for day in now.order_by("on")] == [day.on for day in days]
    assert not any("Tilda" in line for line in _conflicts(client))


def _conflicts(client: Client) -> list[str]:
    html = client.get("/crew-days/").content.decode()
    return re.findall(r'<p class="clash">(.*?)</p>', html, re.S)


def test_nobody_is_offered_who_cannot_go_and_one_who_became_busy_is_refused(client, season: Season):
    (day,) = ten_days(season)[:1]
    Absence.objects.create(person=season.tilda, first_on=day.on, last_on=day.on)
    path = f"/crew-days/instead/{season.tilda.pk}/"
    form = form_at(client.get(path).content.decode(), path)
    gus = form.filled() | {f"day-{day.pk}": [str(season.gus.pk)]}
    answer = client.post(path, gus)
    assert answer.status_code == 422 and b"is not free any more" in answer.content  # no card
    season.day(season.job(), "survey", 0)  # Ben has another job now
    answer = client.post(path, form.filled())
    assert answer.status_code == 422 and standing(day.job)


def test_who_leaves_the_firm_is_named_on_every_day_ahead_and_replaced_on_one_page(client, season: Season):
    ten_days(season)
    person = season.tilda
    type(person).objects.filter(pk=person.pk).update(archived_on=timezone.now().date(), is_active=False)
    page = client.get("/crew-days/").content.decode()
    assert "is named on 10 days and works with us no more" in page
    assert page.count("Tilda Marsh works with us no more") == 1  # of all ten days, by their dates
    assert f"/crew-days/instead/{person.pk}/" in page
    path = f"/crew-days/instead/{person.pk}/"
    client.post(path, form_at(client.get(path).content.decode(), path).filled())
    assert "Tilda Marsh works with us no more" not in client.get("/crew-days/").content.decode()


def test_days_that_changed_meanwhile_are_read_again(client, season: Season):
    days = ten_days(season)
    Absence.objects.create(person=season.tilda, first_on=season.on(0), last_on=season.on(9))
    path = f"/crew-days/instead/{season.tilda.pk}/"
    read = form_at(client.get(path).content.decode(), path).filled()
    CrewDay.objects.filter(pk=days[3].pk).update(struck_at=timezone.now(), struck_why="Rain.")
    assert client.post(path, read).status_code == 409


@pytest.mark.parametrize(("back", "left"), [(0, []), (3, [(0, 2)])])
def test_an_absence_ends_early_and_what_it_was_stays(client, season: Season, back: int, left):
    row = Absence.objects.create(person=season.gus, first_on=season.on(0), last_on=season.on(9), why="ill")
    path = f"/crew-days/absences/{row.pk}/"
    answer = client.post(path, {**as_drawn(client, path), "back_on": season.on(back).isoformat()})
    assert answer.status_code == 302
    row.refresh_from_db()
    assert row.withdrawn_on is not None and row.last_on == season.on(9)
    now = Absence.objects.filter(withdrawn_on=None).values_list("first_on", "last_on")
    assert list(now) == [(season.on(first), season.on(last)) for first, last in left]


def test_every_link_of_every_planned_persons_day_sheet_answers(client, season: Season):
    """Of people who were on no job before they were planned, on every day of a whole chain."""
    hand = make_person("Ines Moor", "crew")
    wired = make_person("Nadia Brandt", "electrician")
    make_card(wired, "electrician", FAR)
    crew = Crew.objects.create(name="Third crew", foreman=season.ben)
    crew.people.set([hand, wired])
    job = season.job()
    days = season.whole(job)
    for day in days.values():
        day.people.set([])
    made = [season.day(job, "survey", 20, crew)]
    made += [season.day(job, day.phase, 50 + n, crew, kind=day.kind) for n, day in enumerate(days.values())]
    asked = 0
    for day in made:
        for person in day.people.all():
            phone = Client()
            with patch("django.utils.timezone.now", return_value=at_noon(day.on, job)):
                phone.force_login(person)
                sheet = phone.get("/day/")
                assert sheet.status_code == 200 and job.number in sheet.content.decode()
                links = set(re.findall(r'<a [^>]*href="(/[^"#]*)"', sheet.content.decode()))
                answers = {link: phone.get(link).status_code for link in links}
                asked += len(links)
            assert set(answers.values()) == {200}, (day.phase, person, answers)
    assert asked > 100
    assert Certificate.objects.exists()
