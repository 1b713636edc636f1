"""Signing in: slowed-down guessing, one answer for unknown name and wrong password."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.people.models import SignInAttempt
from installs.people.services import TRIES_PER_NAME, too_many_tries
from tests.make import make_person

URL = "/sign-in/"


@pytest.fixture
def ben(db):
    person = make_person()
    person.set_password("hay-rake-41-fence")
    person.save()
    return person


def test_a_person_signs_in_with_the_right_password(client, ben):
    response = client.post(URL, {"username": ben.username.upper(), "password": "hay-rake-41-fence"})
    assert response["Location"] == reverse("home")
    assert SignInAttempt.objects.get().succeeded


def test_unknown_name_and_wrong_password_get_the_same_answer(client, ben):
    wrong = client.post(URL, {"username": ben.username, "password": "x"})
    unknown = client.post(URL, {"username": "nobody", "password": "x"})
    assert wrong.status_code == unknown.status_code == 422
    assert b"Name and password do not match" in wrong.content
    assert b"Name and password do not match" in unknown.content


def test_guessing_is_stopped_for_a_while_even_with_the_right_password(client, ben):
    for _ in range(TRIES_PER_NAME):
        client.post(URL, {"username": ben.username, "password": "x"})
    response = client.post(URL, {"username": ben.username, "password": "hay-rake-41-fence"})
    assert response.status_code == 429
    later = timezone.now() + timedelta(minutes=16)
    assert not too_many_tries(ben.username, "127.0.0.1", later)


def test_one_office_address_is_not_locked_by_one_forgetful_person(ben):
    now = timezone.now()
    for _ in range(TRIES_PER_NAME):
        SignInAttempt.objects.create(username=ben.username, address="10.0.0.1", at=now, succeeded=False)
    assert too_many_tries(ben.username, "10.0.0.1", now)
    assert not too_many_tries("alma", "10.0.0.1", now)


def test_sign_in_never_leads_to_another_site(client, ben):
    response = client.post(
        URL, {"username": ben.username, "password": "hay-rake-41-fence", "next": "https://elsewhere.example/"}
    )
    assert response["Location"] == reverse("home")


def test_every_page_forbids_scripts_from_elsewhere(client, db):
    policy = client.get(URL)["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
