"""The office's page of phones: silence is told as silence; an ended phone is refused, and why is kept."""

from __future__ import annotations

import io
import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from crew.phone.ending import end_access
from installs.checklists.models import Device
from installs.files.models import StoredFile
from tests.make import alma, as_drawn, make_job, make_person, press

pytestmark = pytest.mark.django_db


def make_phone(person, *, silent=timedelta(0), **fields):
    return Device.objects.create(uuid=uuid.uuid4(), person=person, heard_at=timezone.now() - silent, **fields)


def words(client) -> str:
    return client.get(reverse("phones")).content.decode()


def test_a_phone_says_when_it_was_heard_what_waited_and_how_its_clock_runs(client, office):
    make_job()
    since = timezone.now() - timedelta(hours=20)
    make_phone(make_person(), silent=timedelta(hours=3), waiting=2, oldest_waiting_at=since, skew_s=-7500)
    page = words(client)
    assert "No contact since" in page
    assert "3 h 0 min ago" in page
    assert "2 entries unsent then" in page
    assert "2 h 5 min slow" in page
    assert "2 entries were unsent at last contact" in page


def test_a_silent_phone_is_never_said_to_have_sent_all(client, office):
    make_phone(make_person(), silent=timedelta(days=2))
    page = words(client)
    assert "No contact since" in page
    assert "2 d 0 h ago" in page
    assert "nothing unsent then" in page
    assert "all sent" not in page


def test_who_has_no_phone_on_record_is_named(client, office):
    make_person("Gus Lund", "crew")
    assert "No phone yet: Gus Lund." in words(client)


def test_ending_asks_why_and_keeps_what_was_typed(client, office):
    phone = make_phone(make_person())
    answer = client.post(reverse("phone-end", args=[phone.pk]), {"why": " ", "sign_out": "on"})
    assert answer.status_code == 422
    assert 'name="sign_out" checked' in answer.content.decode()
    phone.refresh_from_db()
    assert phone.ended_at is None


def test_ending_is_kept_with_who_when_and_why_and_the_phone_is_refused(client, office):
    ben = make_person()
    phone = make_phone(ben)
    page = reverse("phone-end", args=[phone.pk])
    client.post(page, {"why": "Lost at the quarry.", **as_drawn(client, page)})
    phone.refresh_from_db()
    assert (phone.ended_by, phone.ended_why) == (office, "Lost at the quarry.")
    assert timezone.now() - phone.ended_at < timedelta(minutes=1)
    assert "Lost at the quarry." in words(client)
    bens = Client()
    bens.force_login(ben)
    hello = bens.get(f"/api/hello/?device={phone.uuid}").json()
    assert hello["ended"] is True
    batch = {"device": str(phone.uuid), "entries": []}
    assert bens.post("/api/entries/", batch, content_type="application/json").status_code == 403


def test_an_ended_phone_sends_no_photo(client):
    ben = make_person()
    client.force_login(ben)
    phone = make_phone(ben, ended_at=timezone.now())
    assert send_photo(client, f"?device={phone.uuid}").status_code == 403
    assert not StoredFile.objects.exists()
    assert send_photo(client, f"?device={uuid.uuid4()}").status_code == 403, (
        "the session ended with its phone"
    )


def test_a_photo_names_its_phone(client):
    client.force_login(make_person())
    assert send_photo(client, "?device=nonsense").status_code == 400
    assert send_photo(client, f"?device={uuid.uuid4()}").status_code == 200


@pytest.fixture
def field(client, ben, job):
    """A phone of Ben's that was heard, in the session that he signed in by."""
    client.force_login(ben)
    device = uuid.uuid4()
    assert client.get(f"/api/hello/?device={device}").json()["refused"] == ""
    assert send(client, device).status_code == 200
    return Device.objects.get(uuid=device)


def send(client, device):
    return client.post(
        "/api/entries/", {"device": str(device), "entries": []}, content_type="application/json"
    )


def test_a_session_belongs_to_the_phone_that_first_spoke_in_it(client, field):
    another = uuid.uuid4()
    answer = send(client, another)
    assert (answer.status_code, "another phone" in answer.json()["error"]) == (403, True)
    assert send_photo(client, f"?device={another}").status_code == 403
    assert "another phone" in client.get(f"/api/hello/?device={another}").json()["refused"]
    assert not Device.objects.filter(uuid=another).exists()
    assert send(client, field.uuid).status_code == 200


def test_an_ended_phones_session_takes_nothing_by_any_way_in(client, field, job):
    """By the API, by another id in the same session, by the web form; it is told so, and can sign out."""
    end_access(field, "lost", by=alma(), at=timezone.now())
    for device in (field.uuid, uuid.uuid4()):
        assert send(client, device).status_code == 403
        assert send_photo(client, f"?device={device}").status_code == 403
    form = reverse("phone-list", args=[job.number, "excavation"])
    for answer in (client.get(form), client.post(form), client.get(reverse("my-sign-in"))):
        assert answer.status_code == 403 and "ended this phone" in answer.content.decode()
    assert client.post(reverse("sessions-end")).status_code == 403
    assert client.get(f"/api/hello/?device={field.uuid}").json()["ended"] is True
    assert client.post(reverse("sign-out")).status_code == 302


def test_the_persons_other_sessions_go_on_when_a_phone_ends(client, field):
    desk = Client()
    desk.force_login(field.person)
    end_access(field, "lost", by=alma(), at=timezone.now())
    assert desk.get(reverse("day-sheet")).status_code == 200


def test_signed_in_anew_on_an_ended_phone_it_is_ended_when_it_speaks(field):
    end_access(field, "lost", by=alma(), at=timezone.now())
    anew = Client()
    anew.force_login(field.person)
    assert anew.get(reverse("day-sheet")).status_code == 200
    assert anew.get(f"/api/hello/?device={field.uuid}").json()["ended"] is True
    assert anew.get(reverse("day-sheet")).status_code == 403


def test_who_signs_in_after_another_on_the_same_phone_has_a_session_of_it_too(client, field):
    tilda = make_person("Tilda Voss")
    client.force_login(tilda)
    assert send(client, field.uuid).status_code == 200
    field.refresh_from_db()
    assert field.person == tilda


def test_sign_out_everywhere_is_there_when_the_phone_ended_long_ago(client, office, ben):
    phone, bens = make_phone(ben), Client()
    bens.force_login(ben)
    url = reverse("phone-end", args=[phone.pk])
    press(client, url, {"why": "lost"})
    assert bens.get(reverse("day-sheet")).status_code == 200
    page = client.get(url).content.decode()
    assert "out everywhere" in page and url in words(client)
    assert press(client, url, {"sign_out_everywhere": ""}).status_code == 302
    assert bens.get(reverse("day-sheet")).status_code == 302
    phone.refresh_from_db()
    assert phone.ended_why == "lost"


def send_photo(client, query):
    picture = io.BytesIO()
    Image.new("RGB", (20, 10)).save(picture, "JPEG")
    picture.seek(0)
    picture.name = "photo.jpg"
    return client.post(f"/api/photos/{query}", {"photo": picture})


def test_access_ends_once_and_the_first_reason_stays():
    person = alma()
    phone = make_phone(make_person())
    end_access(phone, "lost", by=person, at=timezone.now())
    with pytest.raises(ValidationError, match="ended already"):
        end_access(phone, "found", by=person, at=timezone.now())
    phone.refresh_from_db()
    assert phone.ended_why == "lost"


@pytest.mark.parametrize("asked", [True, False])
def test_signing_out_everywhere_ends_that_persons_sessions_only_when_asked(client, office, asked):
    ben, tilda = make_person(), make_person("Tilda Voss")
    browsers = [Client(), Client(), Client()]
    for browser, person in zip(browsers, (ben, ben, tilda), strict=True):
        browser.force_login(person)
    given = {"why": "stolen", **({"sign_out": "on"} if asked else {})}
    page = reverse("phone-end", args=[make_phone(ben).pk])
    client.post(page, {**given, **as_drawn(client, page)})
    signed_in = [b.get(reverse("day-sheet")).status_code == 200 for b in browsers]
    assert signed_in == ([False, False, True] if asked else [True, True, True])
    assert client.get(reverse("phones")).status_code == 200


def test_the_people_page_leads_to_the_phones(client, office):
    assert reverse("phones").encode() in client.get(reverse("people")).content


def test_the_number_of_queries_does_not_grow_with_the_phones(client, office, django_assert_max_num_queries):
    for _ in range(12):
        make_phone(make_person(), ended_at=None)
    with django_assert_max_num_queries(8):
        words(client)
