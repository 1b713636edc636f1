"""The first page of an empty database: only here, only with the key, only while nobody is there."""

from __future__ import annotations

import subprocess
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import override_settings
from django.urls import reverse

from installs.people import first_views
from installs.people.firm_log import firm_log_faults
from installs.people.first_key import address_of, make_key, opens
from installs.people.models import Firm, FirmEvent, User
from tests.house.page_forms import forms_of
from tests.make import make_person

pytestmark = pytest.mark.django_db
TYPED = {
    "firm_name": "Osier Wind",
    "town": "Osier, Juniper County",
    "license_number": "ND 4411",
    "full_name": "Pat Orme",
    "username": "pat",
    "new": "blue heron 4471 dusk",
    "again": "blue heron 4471 dusk",
}
MOST_TYPED = 8  # from a clone to signed in


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.VAR_DIR = tmp_path


def start(client, key: str, **more):
    """The page that was printed, filled in as a person does; what is typed over the form as it was drawn."""
    page = client.get(address_of(key, ""))
    assert page.status_code == 200, page.content.decode()
    form = next(f for f in forms_of(page.content.decode(), reverse("first-start")) if "firm_name" in f.names)
    return client.post(reverse("first-start"), {**form.filled(), **TYPED, **more})


def test_from_the_printed_address_to_signed_in_with_at_most_eight_values(client) -> None:
    key = make_key()
    page = client.get(address_of(key, "")).content.decode()
    form = next(f for f in forms_of(page, reverse("first-start")) if "firm_name" in f.names)
    assert form.names - set(form.hidden()) - {"key", "save"} == set(TYPED) and len(TYPED) <= MOST_TYPED
    answer = start(client, key)
    assert answer.status_code == 302 and answer.url == reverse("first-day")
    pat, firm = User.objects.get(), Firm.objects.get()
    assert (pat.role, pat.initials, pat.username, pat.must_change_password) == ("office", "PO", "pat", False)
    assert (firm.name, firm.town, firm.license_number) == ("Osier Wind", "Osier, Juniper County", "ND 4411")
    first_day = client.get(answer.url)
    assert first_day.status_code == 200 and b"OSIER" in first_day.content.upper()
    assert firm_log_faults(FirmEvent.objects.order_by("sequence")) == []
    told = list(FirmEvent.objects.values_list("verb", "who"))
    assert told == [
        ("person added", "on the server"),
        ("password set", "on the server"),
        ("firm added", "Pat Orme"),
        ("signed in", "Pat Orme"),
    ]


def test_the_key_opens_once_and_an_older_one_never(client) -> None:
    old, key = make_key(), make_key()
    assert not opens(old) and opens(key)
    assert client.get(address_of(old, "")).status_code == 403
    start(client, key)
    assert not opens(key)
    assert client.get(address_of(key, "")).status_code == 409
    assert User.objects.count() == 1


@pytest.mark.parametrize("key", ["", "x", "a" * 32])
def test_without_the_key_nobody_comes_in(client, key) -> None:
    make_key()
    assert client.get(address_of(key, "")).status_code == 403
    answer = client.post(reverse("first-start"), {**TYPED, "key": key, "form_id": ""})
    assert answer.status_code in (403, 422) and not User.objects.exists()
    demo = client.post(reverse("first-demo"), {"key": key})
    assert demo.status_code == 403 and not User.objects.exists()


def test_where_no_key_was_made_none_opens(client) -> None:
    assert not opens("") and client.get(reverse("first-start")).status_code == 403


def test_another_machine_is_refused_although_it_has_the_key(client) -> None:
    key = make_key()
    assert client.get(address_of(key, ""), REMOTE_ADDR="192.0.2.7").status_code == 403
    answer = client.post(reverse("first-start"), {**TYPED, "key": key}, REMOTE_ADDR="192.0.2.7")
    assert answer.status_code == 403 and not User.objects.exists()


def test_on_a_firms_server_the_key_counts_from_anywhere_and_without_it_nothing_does(client) -> None:
    key = make_key()
    with override_settings(PRODUCTION=True):
        assert client.get(reverse("first-start")).status_code == 403
        page = client.get(address_of(key, ""), REMOTE_ADDR="192.0.2.7")
        assert page.status_code == 200 and b"demo" not in page.content
        assert client.post(reverse("first-demo"), {"key": key}).status_code == 403


@pytest.mark.parametrize("kept", [{}, {"is_active": False}, {"role": "crew"}])
def test_where_anybody_is_the_page_is_closed_whatever_the_key(client, kept) -> None:
    key = make_key()
    make_person("Old Hand", **{"role": "office", **kept})
    assert client.get(address_of(key, "")).status_code == 409
    answer = client.post(reverse("first-start"), {**TYPED, "key": key})
    assert answer.status_code == 409 and User.objects.count() == 1


@pytest.mark.parametrize(
    "wrong, said",
    [
        ({"firm_name": ""}, "Name of the firm"),
        ({"username": "pat orme"}, "Letters a to z"),
        ({"new": "short", "again": "short"}, "too short"),
        ({"again": "another one of them"}, "The two are not the same"),
        ({"new": "osier wind pat", "again": "osier wind pat"}, "mostly the name"),
    ],
)
def test_what_is_not_right_is_said_at_its_field_and_nothing_typed_is_lost(client, wrong, said) -> None:
    answer = start(client, make_key(), **wrong)
    page = answer.content.decode()
    assert answer.status_code == 422 and said in page
    assert not User.objects.exists() and not Firm.objects.exists() and not FirmEvent.objects.exists()
    assert 'value="Pat Orme"' in page and 'value="ND 4411"' in page


def test_pressed_twice_it_is_one_person(client) -> None:
    key = make_key()
    page = client.get(address_of(key, "")).content.decode()
    form = next(f for f in forms_of(page, reverse("first-start")) if "firm_name" in f.names)
    data = {**form.filled(), **TYPED}
    client.post(reverse("first-start"), data)
    again = client.post(reverse("first-start"), data)
    assert again.status_code in (302, 409) and User.objects.count() == 1


def test_the_demo_is_loaded_by_its_own_command_and_its_sign_ins_are_shown_once(client, monkeypatch) -> None:
    key, asked = make_key(), []

    def demo(command, **options):
        asked.append(command)
        make_person("Alma Reyes", "office")
        return subprocess.CompletedProcess(command, 0, "Demo sign-ins:\n  alma  k3-word   office\n", "")

    monkeypatch.setattr(first_views.subprocess, "run", demo)
    page = client.post(reverse("first-demo"), {"key": key})
    assert page.status_code == 200 and b"k3-word" in page.content
    assert [command[-2:] for command in asked] == [["manage.py", "demo"]]
    assert client.post(reverse("first-demo"), {"key": key}).status_code == 409 and len(asked) == 1


def test_a_demo_that_fails_says_why(client, monkeypatch) -> None:
    failed = subprocess.CompletedProcess([], 1, "", "Traceback\nOSError: disk full\n")
    monkeypatch.setattr(first_views.subprocess, "run", lambda *a, **k: failed)
    page = client.post(reverse("first-demo"), {"key": make_key()})
    assert page.status_code == 500 and b"disk full" in page.content


def test_the_sign_in_page_of_an_empty_database_says_where_to_begin(client) -> None:
    words = b"printed where Mastwright was started"
    assert words in client.get(reverse("sign-in")).content
    make_person("Pat Orme", "office")
    assert words not in client.get(reverse("sign-in")).content


def test_the_command_prints_the_address_while_nobody_is_there(client) -> None:
    out = StringIO()
    call_command("first_key", stdout=out)
    said = out.getvalue().strip()
    assert said.startswith("http://127.0.0.1:8000/start/?key=") and opens(said.partition("key=")[2])
    with override_settings(PRODUCTION=True, ALLOWED_HOSTS=["jobs.example.com"]):
        call_command("first_key", stdout=(at_the_firm := StringIO()))
    assert at_the_firm.getvalue().startswith("https://jobs.example.com/start/?key=")
    make_person("Pat Orme", "office")
    with pytest.raises(CommandError, match="Somebody is here"):
        call_command("first_key")
