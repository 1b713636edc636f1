"""Signing in: guessing is slowed and nobody locked out; one answer for unknown name and wrong password."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from installs.people.models import SignedIn, SignInAttempt
from installs.people.services import sign_out_everywhere
from installs.people.throttle import OWN, Trying
from tests.make import alma
from tests.people.make_sign_ins import PASSWORD, URL, sign_in, with_password, wrong_tries

pytestmark = pytest.mark.django_db


@pytest.fixture
def ben():
    return with_password()


def ago(**span):
    return timezone.now() - timedelta(**span)


def test_a_person_signs_in_with_the_right_password(client, ben):
    response = client.post(URL, {"username": ben.username.upper(), "password": PASSWORD})
    assert response["Location"] == reverse("home")
    assert SignInAttempt.objects.get().succeeded


def test_unknown_name_and_wrong_password_get_the_same_answer(client, ben):
    wrong = client.post(URL, {"username": ben.username, "password": "x"})
    unknown = client.post(URL, {"username": "nobody", "password": "x"})
    assert wrong.status_code == unknown.status_code == 422
    assert b"Name and password do not match" in wrong.content
    assert b"Name and password do not match" in unknown.content


def test_a_few_slips_cost_nothing_and_then_each_waits_longer():
    waits = [OWN.wait_s(wrong) for wrong in range(12)]
    assert waits[:3] == [0, 0, 0]
    assert waits == sorted(waits) and waits[3] <= 5 and waits[-1] <= 60


def test_guessing_is_slowed_with_the_time_in_words_and_for_programs(client, ben):
    for _ in range(OWN.free):
        assert sign_in(client, ben, "x").status_code == 422
    early = sign_in(client, ben)
    assert early.status_code == 429
    seconds = int(early["Retry-After"])
    assert 0 < seconds <= 5
    assert f"Wait {seconds} second" in early.content.decode()
    assert ben.username in early.content.decode(), "what was typed is kept"


def test_a_try_that_was_not_looked_at_makes_nobody_wait_longer(client, ben):
    wrong_tries(ben.username, OWN.free, at=timezone.now())
    before = SignInAttempt.objects.count()
    for _ in range(5):
        assert sign_in(client, ben, "x").status_code == 429
    assert SignInAttempt.objects.count() == before


@pytest.mark.parametrize("wrong", [OWN.free, 10, 40])
def test_after_a_minute_at_most_the_right_password_is_taken(client, ben, wrong):
    wrong_tries(ben.username, wrong, at=ago(seconds=61))
    assert sign_in(client, ben).status_code == 302


def test_a_browser_that_knows_the_person_is_not_slowed_by_the_tries_of_others(client, ben):
    assert sign_in(client, ben).status_code == 302
    client.post(reverse("sign-out"))
    wrong_tries(ben.username, 50, at=timezone.now())
    wrong_tries("alma", 50, at=timezone.now())
    assert sign_in(Client(), ben).status_code == 429
    assert sign_in(client, ben).status_code == 302


def test_a_browser_that_knows_the_person_is_slowed_by_its_own_tries(client, ben):
    sign_in(client, ben)
    client.post(reverse("sign-out"))
    for _ in range(OWN.free):
        assert sign_in(client, ben, "x").status_code == 422
    assert sign_in(client, ben).status_code == 429


def test_a_browser_that_knows_one_person_knows_no_other(client, ben):
    sign_in(client, ben)
    tilda = with_password("Tilda Voss")
    wrong_tries(tilda.username, 50, at=timezone.now())
    assert sign_in(client, tilda).status_code == 429


def test_signed_out_everywhere_no_browser_knows_the_person(client, ben):
    sign_in(client, ben)
    sign_out_everywhere(ben, by=alma(), at=timezone.now() + timedelta(seconds=1))
    wrong_tries(ben.username, 50, at=timezone.now())
    assert sign_in(client, ben).status_code == 429


def test_a_cookie_that_we_did_not_sign_is_of_no_browser(client, ben):
    sign_in(client, ben)
    client.cookies["known"] = client.cookies["known"].value[:-2] + "xx"
    wrong_tries(ben.username, 50, at=timezone.now())
    assert sign_in(client, ben).status_code == 429


def test_one_address_holds_up_the_office_behind_it_for_seconds_only():
    """Thirty wrong tries for other names: a colleague on a new computer waits a breath."""
    now = timezone.now()
    for n in range(60):
        wrong_tries(f"name{n}", 1, at=now, address="10.0.0.1")
    behind = Trying("alma", "10.0.0.1")
    assert 0 < behind.wait_s(now) <= 5
    assert behind.wait_s(now + timedelta(seconds=6)) == 0
    assert Trying("alma", "10.0.0.2").wait_s(now) == 0


def test_one_name_tried_from_everywhere_is_slowed_too():
    now = timezone.now()
    for n in range(30):
        wrong_tries("ben", 1, at=now, address=f"10.0.1.{n}")
    assert Trying("ben", "10.0.9.9").wait_s(now) > 30


def test_the_right_password_ends_the_count(client, ben):
    wrong_tries(ben.username, OWN.free - 1, at=ago(minutes=1))
    sign_in(client, ben)
    assert sign_in(Client(), ben, "x").status_code == 422
    assert Trying(ben.username, "127.0.0.1").wait_s(timezone.now()) == 0


def test_sign_in_never_leads_to_another_site(client, ben):
    response = sign_in(client, ben, next="https://elsewhere.example/")
    assert response["Location"] == reverse("home")


def test_every_page_forbids_scripts_from_elsewhere(client):
    policy = client.get(URL)["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy


def test_what_was_typed_into_a_form_outlives_the_session(client, office):
    """Sent when the session had ended, it comes back with the sign-in, and goes on after it."""
    office.set_password(PASSWORD)
    office.save()
    client.force_login(office)
    SignedIn.objects.all().delete()
    typed = {"name": 'Plum & Sons "Erectors"', "stop_word": "halt", "most_percent": "80"}
    typed |= {"form_id": "e1a2d7f4-5c1f-4a57-9a53-52c5d9fd9f11"}
    page = client.post(reverse("firm"), typed)
    assert page.status_code == 401
    back = sign_in(client, office, next=page.context["next"], held=page.context["held"])
    assert back.status_code == 200 and back.context["onward"] == reverse("firm")
    assert dict(back.context["held"]) == typed
    assert "Plum &amp; Sons &quot;Erectors&quot;" in back.content.decode()


def test_a_password_typed_into_a_form_is_not_held_in_a_page(client):
    page = client.post(reverse("person-add"), {"full_name": "June Hazel", "password": "a secret of hers"})
    assert page.status_code == 401 and b"June Hazel" in page.content
    assert b"a secret of hers" not in page.content
    own = client.post(reverse("my-password"), {"present": PASSWORD})
    assert own.status_code == 302 and PASSWORD not in own["Location"]
