"""The first person of a firm whose database is empty, by the command that compose file and guide name."""

from __future__ import annotations

import pytest
from django.core.management import call_command
from django.urls import reverse

from installs.people.models import User

pytestmark = pytest.mark.django_db


def test_the_command_makes_an_office_person_who_signs_in_and_brings_in_others(client, monkeypatch) -> None:
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", "a long word for one")
    call_command("createsuperuser", interactive=False, username="Pat", full_name="Pat Orme", verbosity=0)
    pat = User.objects.get()
    assert (pat.role, pat.initials, pat.is_active) == ("office", "PO", True)
    typed = {"username": "pat", "password": "a long word for one"}
    assert client.post(reverse("sign-in"), typed).status_code == 302
    assert client.get(reverse("person-add")).status_code == 200
