"""The emergency card: what is read to the dispatcher is there, what is not known is named as missing."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from crew.plan.models import Crew, CrewDay
from installs.emergency.facts import ASKED, card_of
from installs.emergency.models import EmergencyPlan
from installs.jobs.models import Job
from installs.people.models import Certificate, User
from installs.site.models import SiteDesign
from tests.make import alma, as_drawn, make_job, make_person

pytestmark = pytest.mark.django_db

ON = date(2031, 5, 6)
TOLD = {
    "way_in": "County Road 9, second gate", "hospital": "Alder County Hospital",
    "hospital_address": "4 Mill Street, Alder", "hospital_phone": "555-0140", "drive_min": "22",
    "muster": "Shed, east door", "landing": "Pasture north of the lane", "utility_phone": "555-0178 x 9",
}  # fmt: skip


@pytest.fixture
def office(client: Client) -> User:
    person = alma()
    client.force_login(person)
    return person


@pytest.fixture
def job(office: User) -> Job:
    return make_job(by=office, address="9 Osier Rd")


def told(client: Client, job: Job, **typed: str) -> int:
    page = reverse("emergency-edit", args=[job.number])
    return int(client.post(page, {**as_drawn(client, page), **TOLD, **typed, "save": ""}).status_code)


def first_aid(job: Job, name: str, expires_on: date | None, number: str = "FA-1") -> User:
    person = make_person(name, "crew")
    job.members.create(person=person, since=timezone.now())
    Certificate.objects.create(
        person=person, kind="first aid", number=number, expires_on=expires_on,
        recorded_by=alma(), recorded_at=timezone.now(),
    )  # fmt: skip
    return person


def test_of_a_new_job_everything_that_is_not_known_is_named(client: Client, job: Job) -> None:
    card = card_of(job, ON)
    assert set(card.missing) == {
        *(words for _column, words in ASKED),
        "coordinates of the tower",
        "anybody with a first-aid card in date",
    }
    page = client.get(reverse("emergency", args=[job.number])).content.decode()
    assert "9 Osier Rd" in page and "Missing: how to get in" in page
    assert "Nobody on this job has a first-aid card in date." in page
    assert 'href="tel:911"' in page


def test_what_the_office_tells_stands_on_card_phone_and_paper_and_every_number_dials(
    client: Client, job: Job
) -> None:
    SiteDesign.objects.create(job=job, value={"latitude_deg": 47.12345, "longitude_deg": -98.5})
    assert told(client, job) == 302
    for page in (
        reverse("emergency", args=[job.number]),
        reverse("emergency", args=[job.number]) + "?paper",
        reverse("emergency-card", args=[job.number]),
    ):
        text = client.get(page).content.decode()
        for words in (*(v for k, v in TOLD.items() if k != "drive_min"), "22 min by road"):
            assert words in text, (page, words)
        assert "47.12345 north, 98.50000 west" in text
        for number in ("5550140", "5550178,9", "18002221222", "911"):
            assert f'href="tel:{number}"' in text, (page, number)
    assert job.events.filter(verb="emergency card").count() == 1


def test_a_first_aid_card_counts_on_its_last_day_and_not_after_nor_without_an_end(job: Job) -> None:
    first_aid(job, "Iver Good", ON)
    first_aid(job, "Olga Old", ON - timedelta(days=1))
    first_aid(job, "Nils Never", None)
    first_aid(job, "Nora None", ON, number="")
    assert [aider.name for aider in card_of(job, ON).first_aiders] == ["Iver Good"]
    assert card_of(job, ON + timedelta(days=1)).first_aiders == ()


def test_who_left_the_job_holds_first_aid_for_it_no_more(job: Job) -> None:
    gone = first_aid(job, "Iver Good", ON)
    job.members.filter(person=gone).update(until=timezone.now())
    assert card_of(job, ON).first_aiders == ()


@pytest.mark.parametrize(
    ("typed", "said"), [({"drive_min": "0"}, "drive_min"), ({"hospital_phone": "ask Joe"}, "hospital_phone")]
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_is_kept(
    client: Client, job: Job, typed: dict[str, str], said: str
) -> None:
    assert told(client, job, **typed) == 422
    assert not EmergencyPlan.objects.exists()


def test_each_change_stands_in_the_log_with_what_it_was(client: Client, job: Job) -> None:
    assert told(client, job) == 302 and told(client, job, muster="Milk house") == 302
    line = job.events.filter(verb="emergency card").order_by("-pk")[0]
    assert line.data["muster"] == ["Shed, east door", "Milk house"] and len(line.data) == 1


def test_of_two_who_begin_it_at_once_the_second_is_told_and_keeps_what_was_typed(
    client: Client, job: Job
) -> None:
    page = reverse("emergency-edit", args=[job.number])
    drawn = as_drawn(client, page)
    assert told(client, job, muster="Milk house") == 302
    answer = client.post(page, {**drawn, "muster": "Shed, east door", "save": ""})
    text = answer.content.decode()
    assert answer.status_code == 409 and "Shed, east door" in text and "Milk house" in text
    assert EmergencyPlan.objects.get().muster == "Milk house"


def test_the_day_sheet_leads_to_it_and_holds_it(client: Client, job: Job) -> None:
    foreman = make_person("Ben Osgood")
    job.members.create(person=foreman, since=timezone.now())
    today = job.local(timezone.now()).date()
    day = CrewDay.objects.create(
        job=job, phase="survey", on=today, crew=Crew.objects.create(name="Pad", foreman=foreman),
        made_at=timezone.now(), made_by=foreman,
    )  # fmt: skip
    day.people.add(foreman)
    client.force_login(foreman)
    link = reverse("emergency-card", args=[job.number])
    assert f'data-hold href="{link}"' in client.get(reverse("day-sheet")).content.decode()
    assert client.get(link)["X-Person"] == str(foreman.pk)
