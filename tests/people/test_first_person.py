"""The first person of a firm whose database is empty, by the command that compose file and guide name."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from installs.people.firm_log import firm_log_faults
from installs.people.models import FirmEvent, User
from tests.make import make_person

pytestmark = pytest.mark.django_db
PASSWORD = "a long word for one"


def first_person(monkeypatch, password: str = PASSWORD, **options: object) -> str:
    out = StringIO()
    monkeypatch.setattr("sys.stdin", StringIO(password + "\n"))
    call_command("first_person", stdout=out, **options)
    return out.getvalue()


def signs_in(client, username: str, password: str = PASSWORD) -> bool:
    answer = client.post(reverse("sign-in"), {"username": username, "password": password})
    return bool(answer.status_code == 302)


def lines() -> list[tuple[str, str]]:
    assert firm_log_faults(FirmEvent.objects.order_by("sequence")) == []
    return list(FirmEvent.objects.values_list("verb", "who"))


ON_SERVER = [("person added", "on the server"), ("password set", "on the server")]


def test_the_command_makes_an_office_person_who_signs_in_and_brings_in_others(client, monkeypatch) -> None:
    said = first_person(monkeypatch, name="Pat Orme", sign_in="Pat")
    pat = User.objects.get()
    assert (pat.role, pat.initials, pat.username, pat.is_active) == ("office", "PO", "pat", True)
    assert "Pat Orme signs in as pat" in said and lines() == ON_SERVER
    assert signs_in(client, "pat")
    assert client.get(reverse("person-add")).status_code == 200


def test_djangos_own_command_does_so_too_and_is_in_the_log(client, monkeypatch) -> None:
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", PASSWORD)
    call_command("createsuperuser", interactive=False, username="Pat", full_name="Pat Orme", verbosity=0)
    pat = User.objects.get()
    assert (pat.role, pat.initials, pat.is_active) == ("office", "PO", True) and lines() == ON_SERVER
    assert signs_in(client, "pat")


def test_where_somebody_of_the_office_signs_in_it_is_refused_unless_it_is_to_recover(monkeypatch) -> None:
    first_person(monkeypatch, name="Pat Orme", sign_in="pat")
    with pytest.raises(CommandError, match="Pat Orme of the office signs in"):
        first_person(monkeypatch, name="Quin Ash", sign_in="quin")
    assert User.objects.count() == 1
    first_person(monkeypatch, name="Quin Ash", sign_in="quin", recover=True)
    assert User.objects.of_the_office().count() == 2 and lines() == ON_SERVER * 2


@pytest.mark.parametrize(
    "left",
    [{"role": "crew"}, {"is_active": False}, {"password": None}],
    ids=["another role", "may not sign in", "no password"],
)
def test_who_cannot_bring_in_others_does_not_stand_in_the_way(monkeypatch, left) -> None:
    make_person("Old Hand", **{"role": "office", "password": PASSWORD, **left})
    first_person(monkeypatch, name="Pat Orme", sign_in="pat")
    assert [p.username for p in User.objects.of_the_office()] == ["pat"]


def test_to_recover_gives_who_is_there_a_new_password_and_the_office_again(client, monkeypatch) -> None:
    ann = make_person("Ann Voss", "engineer", is_active=False)
    first_person(monkeypatch, sign_in=ann.username, recover=True)
    ann.refresh_from_db()
    assert (ann.full_name, ann.role, signs_in(client, ann.username)) == ("Ann Voss", "office", True)
    changed = FirmEvent.objects.get(verb="person changed")
    assert changed.who == "on the server" and changed.data["changed"]["role"] == ["engineer", "office"]


@pytest.mark.parametrize(
    "given, said",
    [
        ({"sign_in": "pat orme"}, "Sign-in name: Letters a to z"),
        ({"name": ""}, "Name"),
        ({"password": "short"}, "Password: This password is too short"),
        ({"password": "mastwright patorme"}, "Password: That is mostly the name"),
    ],
)
def test_what_is_not_right_is_said_and_nobody_is_made(monkeypatch, given, said) -> None:
    with pytest.raises(CommandError, match=said):
        first_person(monkeypatch, **{"name": "Pat Orme", "sign_in": "pat", **given})
    assert not User.objects.exists() and not FirmEvent.objects.exists()


def test_who_is_archived_is_not_brought_back_by_it(monkeypatch) -> None:
    from datetime import date

    ann = make_person("Ann Voss", "office", is_active=False, archived_on=date(2031, 5, 5))
    with pytest.raises(CommandError, match="Ann Voss is archived"):
        first_person(monkeypatch, sign_in=ann.username, recover=True)
