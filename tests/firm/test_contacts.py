"""Whom to call: on the job book, the next-day sheet and the day sheet, where numbers dial."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from crew.plan.models import Crew, CrewDay
from installs.firm.facts import contacts_of, drafted_place, map_address
from installs.firm.models import Contact
from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.people.models import FirmEvent, User
from tests.make import alma, as_drawn, make_job, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client: Client) -> User:
    person = alma()
    client.force_login(person)
    return person


@pytest.fixture
def job(office: User) -> Job:
    return make_job(by=office, address="9 Osier Rd", utility="Prairie Electric", authority="Juniper County")


def add(client: Client, page: str, **typed: str) -> int:
    return int(client.post(page, {**as_drawn(client, page), **typed, "save": ""}).status_code)


def test_a_contact_goes_from_its_form_to_the_book_the_sheets_and_the_log(
    client: Client, office: User, job: Job
) -> None:
    assert add(client, reverse("job-contact-add", args=[job.number]), kind="owner", name="Orrin Test",
               phone="(701) 555-0161 x 4", mail="orrin@example.com") == 302  # fmt: skip
    assert (
        add(client, reverse("contact-add"), kind="plant", name="Alder Ready Mix", phone="701-555-0160") == 302
    )
    foreman = make_person("Ben Osgood")
    crew = Crew.objects.create(name="Pad crew", foreman=foreman)
    job.members.create(person=foreman, since=timezone.now())
    today = job.local(timezone.now()).date()
    for on in (today, today + timedelta(days=1)):
        CrewDay.objects.create(
            job=job, phase="ground station", on=on, crew=crew, made_at=timezone.now(), made_by=office
        ).people.add(foreman)
    tomorrow = f"{reverse('next-day')}?on={today + timedelta(days=1)}"
    pages = [client.get(reverse("job-book", args=[job.number])), client.get(tomorrow)]
    phone = Client()
    phone.force_login(foreman)
    pages.append(phone.get(reverse("day-sheet")))
    for page in pages:
        html = page.content.decode()
        assert 'href="tel:7015550161,4"' in html and 'href="tel:7015550160"' in html
        assert 'href="mailto:orrin@example.com"' in html
        assert 'href="geo:0,0?q=9%20Osier%20Rd%2C%20Plum%20Twp' in html
    assert job.events.filter(verb="contact added").count() == 1
    assert FirmEvent.objects.filter(verb="contact added").count() == 2


def test_a_kept_page_shows_a_new_number_at_once(client: Client, office: User, job: Job) -> None:
    crew = Crew.objects.create(name="Pad crew", foreman=make_person())
    on = job.local(timezone.now()).date() + timedelta(days=1)
    CrewDay.objects.create(
        job=job, phase="ground station", on=on, crew=crew, made_at=timezone.now(), made_by=office
    )
    page = f"{reverse('next-day')}?on={on}"
    assert b"tel:" not in client.get(page).content
    Contact.objects.create(kind="lab", name="Harrow Testing", phone="555-0170")
    assert b"tel:5550170" in client.get(page).content


def test_the_firms_utility_and_authority_stand_at_the_jobs_that_name_them(job: Job, office: User) -> None:
    for kind, name in (
        ("utility", "prairie electric"),
        ("utility", "Another"),
        ("authority", "Juniper County"),
    ):
        Contact.objects.create(kind=kind, name=name, phone="555-0100")
    other = make_job(by=office)
    Contact.objects.create(kind="neighbor", name="Next door", phone="555-0101", job=other)
    assert [c.name for c in contacts_of(job)] == ["Juniper County", "prairie electric"]
    assert [c.name for c in contacts_of(other)] == ["Next door"]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"phone": "call Ida"}, "phones dial it"),
        ({"phone": "", "mail": ""}, "no way to reach them"),
        ({"phone": "", "mail": "ida at mill"}, "valid email"),
        ({"name": ""}, "required"),
        ({"kind": "owner"}, "not one of the available choices"),
    ],
)
def test_what_nobody_can_dial_is_refused_at_its_field(
    client: Client, office: User, typed: dict[str, str], words: str
) -> None:
    page = reverse("contact-add")
    sent = {"kind": "lab", "name": "Harrow Testing", "phone": "555-0170", "note": "open at six", "save": ""}
    answer = client.post(page, {**as_drawn(client, page), **sent, **typed})
    assert answer.status_code == 422 and words in answer.content.decode()
    assert 'value="open at six"' in answer.content.decode() and not Contact.objects.exists()


def test_the_map_opens_the_tower_where_the_site_has_it(job: Job) -> None:
    assert map_address(job, drafted_place(job)).startswith("geo:0,0?q=9%20Osier%20Rd")
    draft = TABLE["site"].draft_of(job).change(latitude_deg=46.81, longitude_deg=-100.78)
    draft.save()
    assert map_address(job, drafted_place(job)) == "geo:46.810000,-100.780000?q=46.810000,-100.780000"


def test_a_stranger_to_the_job_gets_no_number(job: Job) -> None:
    client = Client()
    client.force_login(make_person("Cleo Stranger", "crew"))
    assert client.get(reverse("contacts", args=[job.number])).status_code == 404
    assert client.get(reverse("contact-add")).status_code == 403


def test_a_job_is_opened_with_a_number_proposed_and_names_from_the_firms_list(
    client: Client, office: User, job: Job
) -> None:
    Contact.objects.create(kind="authority", name="Alder County", phone="555-0100", county="Alder County")
    Contact.objects.create(kind="utility", name="Alder Power", phone="555-0101")
    year = timezone.localdate().year
    make_job(by=office, number=f"{year}-007")
    page = client.get(reverse("job-open")).content.decode()
    assert f'value="{year}-008"' in page
    for name in ("Alder County", "Alder Power", "Prairie Electric"):
        assert f'<option value="{name}">' in page
    assert 'list="known-county"' in page and 'list="known-utility"' in page
