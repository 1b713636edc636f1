"""Access: denied by default, a job's pages only for its members, and the written table holds."""

from __future__ import annotations

import inspect
import uuid

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from installs.people.access import ABILITIES, may
from installs.people.models import Role
from tests.make import alma, make_job, make_person

PUBLIC = {
    "first-start",  # while nobody is there, here, with the key
    "first-demo",
    "sign-in",
    "sign-in-link",
    "health",
    "service-worker",
    "web-manifest",
    "feed",  # by a secret address, tests/crew/test_feeds.py
}


def every_view(resolver=None, prefix=""):
    """(name, pattern's arguments, view) of every URL of the project."""
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from every_view(entry, prefix + str(entry.pattern))
        elif isinstance(entry, URLPattern):
            yield entry.name, prefix + str(entry.pattern), entry.callback


VIEWS = list(every_view())


def test_every_url_has_a_name_and_names_its_ability():
    for name, route, view in VIEWS:
        assert name, route
        ability = getattr(view, "ability", None)
        assert ability == "anyone" or ability in ABILITIES, f"{name} ({route}) answers nobody"


def test_only_sign_in_health_and_the_phones_shell_are_open_to_anyone():
    assert {name for name, _, view in VIEWS if view.ability == "anyone"} <= PUBLIC


def test_a_views_request_is_of_the_type_that_the_gate_makes_of_it():
    """``request.job`` stands only where the URL carries a job number, a person only behind an ability."""
    for name, route, view in VIEWS:
        asked = next(iter(inspect.signature(inspect.unwrap(view)).parameters.values())).annotation
        assert (asked == "HttpRequest") == (view.ability == "anyone"), f"{name}: {asked}"
        assert asked != "JobRequest" or "<str:number>" in route, f"{name} has no job"


def url_for(name: str, route: str, number: str) -> str:
    """A URL of the view with a real job number and otherwise things that do not exist."""
    arguments = {}
    for part in route.split("<")[1:]:
        kind, _, argument = part.split(">")[0].rpartition(":")
        if argument == "number":
            arguments[argument] = number
        elif kind == "int":
            arguments[argument] = 987654
        elif kind == "uuid":
            arguments[argument] = uuid.uuid4()
        else:
            arguments[argument] = "nothing"
    return reverse(name, kwargs=arguments)


def test_nobody_signed_out_gets_an_answer(client, job):
    for name, route, view in VIEWS:
        if view.ability == "anyone":
            continue
        url = url_for(name, route, job.number)
        for response in (client.get(url), client.post(url)):
            assert response.status_code in (302, 401), name
            if response.status_code == 302:
                assert response["Location"].startswith(reverse("sign-in")), name


@pytest.mark.parametrize("role", [r for r in Role.values if r != "office"])
def test_who_is_not_on_the_job_is_told_it_does_not_exist(client, job, role):
    client.force_login(make_person("Cleo Stranger", role))
    for name, route, _ in VIEWS:
        if "<str:number>" in route:
            url = url_for(name, route, job.number)
            assert client.get(url).status_code == 404, name
            assert client.post(url).status_code == 404, name


@pytest.mark.parametrize("role", Role.values)
def test_a_role_without_the_ability_is_refused_on_every_url(client, job, role):
    person = make_person("Ben Osgood", role)
    from installs.jobs.services import add_member
    from tests.make import AT

    add_member(job, person, by=person, at=AT)
    client.force_login(person)
    for name, route, view in VIEWS:
        if view.ability == "anyone" or may(person, view.ability):
            continue
        url = url_for(name, route, job.number)
        assert client.get(url).status_code == 403, name
        assert client.post(url).status_code == 403, name


@pytest.mark.parametrize("role", Role.values)
def test_no_page_breaks_for_whoever_may_see_it(client, job, role):
    """Things that do not exist are 404, wrong methods 405, empty forms 422 or a redirect; never a 500."""
    person = make_person("Ben Osgood", role)
    from installs.jobs.services import add_member
    from tests.make import AT

    add_member(job, person, by=person, at=AT)
    client.force_login(person)
    for name, route, view in VIEWS:
        if view.ability == "anyone" or not may(person, view.ability) or name == "sign-out":
            continue
        url = url_for(name, route, job.number)
        assert client.get(url).status_code < 500, name
        assert client.post(url).status_code < 500, name


def test_the_office_sees_every_job_and_others_their_own(db):
    from installs.jobs.models import Job
    from installs.jobs.services import add_member
    from tests.make import AT, alma

    ben, mine, other = make_person(), make_job(), make_job()
    add_member(mine, ben, by=ben, at=AT)
    assert set(Job.objects.visible_to(alma())) >= {mine, other}
    assert list(Job.objects.visible_to(ben)) == [mine]


def test_an_archived_person_has_no_ability(db):
    from datetime import date

    from installs.people.services import archive_person
    from tests.make import AT

    alma()  # one of the office remains
    ben = make_person(role="office")
    archive_person(ben, date(2031, 5, 5), by=alma(), at=AT)
    ben.refresh_from_db()
    assert not any(may(ben, ability) for ability in ABILITIES)


def test_archiving_ends_the_session_at_once(client, db):
    from datetime import date

    from installs.people.services import archive_person
    from tests.make import AT

    ben = make_person()
    client.force_login(ben)
    assert client.get(reverse("jobs")).status_code == 200
    archive_person(ben, date(2031, 5, 5), by=alma(), at=AT)
    assert client.get(reverse("jobs")).status_code == 302


def test_the_written_access_table_is_that_of_the_code(settings):
    """If this fails: .venv/bin/python manage.py access"""
    from installs.people.access import table

    assert table() in (settings.BASE_DIR / "DEVELOPERS.md").read_text()
