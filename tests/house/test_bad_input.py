"""Every form of every page, given what no field can hold: said in words, nothing saved, never a 500.

The forms are read from the pages of the demo as a browser reads them, so that a new field is tried
without a word here.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client, override_settings
from django.urls import resolve, reverse
from hypothesis import settings

from crew.plan.models import Absence, CraneBooking, Crew, CrewDay
from installs.equipment.models import Crane, Sling, Wrench
from installs.jobs.models import Job
from installs.people.models import User
from installs.turbine.models import TurbineModel
from tests.house.page_forms import Field, PageForm, forms_of
from tests.people.test_access import VIEWS

pytestmark = [
    pytest.mark.deep,
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="the demo is copied by SQLite"),
]

BAD: dict[str, list[Any]] = {
    "number": ["NaN", "1e999", "-inf", "12,5", "９９", "1\x00", "9" * 5000, "1e308", ",", "0x10", "²"],
    "text": ["a\x00b", "bell\x07", "x" * 20_001, "\x1b[31mred"],
    "date": ["9999-12-31", "2031-02-30", "soon", "0001-01-01", "9" * 5000, "\x00"],
    "select": ["nothing", str(10**30), "-1", "\x00", "9" * 5000],
    "file": [
        ("x.jpg", b"not a picture"),
        ("x.csv", b"\xff\xfe\x00junk"),
        ("x.pdf", b"%PDF-1.7\n1 0 obj <<"),
        ("x.png", b"\x89PNG\r\n\x1a\n" + b"\0" * 200),
        ("x.csv", b"radius_ft;10;20\n1;2;3"),
        ("x.csv", b"a," * 1_000_000),
        ("x.csv", b"radius_ft,10\n" + b"1,2\n" * 300_000),
        ("x.jpg", b""),
    ],
}
KINDS = {"text": "text", "textarea": "text", "tel": "text", "email": "text", "password": "text"} | {
    "datetime-local": "date",
    "time": "date",
    "date": "date",
    "select": "select",
    "number": "number",
    "file": "file",
}
JOB_PAGES = ("job-edit", "permit-add", "inspections", "papers", "job-book", "pour", "site", "foundation")
DESIGNS = ("tower", "turbine", "ground-station", "lift", "turbine-lift")
FIRM_PAGES = ("job-open", "crane-add", "wrench-add", "sling-add", "turbine-model-add", "person-add")
CREW_PAGES = ("crew-days", "crew-add", "absence-add", "site-closed", "crane-bookings")
THINGS = {
    "crane": Crane, "wrench": Wrench, "sling": Sling, "turbine-model": TurbineModel, "person": User,
    "crew": Crew, "crew-day": CrewDay, "absence-back": Absence, "crane-cancel": CraneBooking,
}  # fmt: skip
PAPERS = ("permit",)  # that one already in the job
PHONE = ("pour-card", "torque-log", "torque-key-in", "pour-key-in", "cure-key-in")
SLOW = {"pour", "foundation"}  # whose pages take longest to draw
PROVE = settings.get_current_profile_name() == "prove"
WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|REPLACE)", re.I)


@pytest.fixture(scope="module")
def in_the_database(django_db_setup: None, django_db_blocker: Any, prepared_demo: Any) -> Iterator[None]:
    """The demo once for all tests here; each puts back what it changed."""
    with django_db_blocker.unblock():
        connection.ensure_connection()
        with closing(sqlite3.connect(":memory:")) as empty:
            connection.connection.backup(empty)
            prepared_demo.put()
            yield
            empty.backup(connection.connection)


@pytest.fixture
def demo(in_the_database: None, prepared_demo: Any) -> Iterator[None]:
    with override_settings(STORAGES=prepared_demo.storages):
        yield


def counts() -> dict[str, int]:
    """Rows of every table, in one question: it is asked after each of thousands of requests."""
    tables = {m._meta.label: m._meta.db_table for m in apps.get_models(include_auto_created=True)}
    each = ", ".join(f'(SELECT COUNT(*) FROM "{table}")' for table in tables.values())
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {each}")
        return dict(zip(tables, cursor.fetchone(), strict=True))


def signed_in(role: str) -> Client:
    client = Client()
    if role == "nobody":
        return client
    client.force_login(User.objects.filter(role=role, is_active=True, archived_on=None).first())
    return client


def the_job(name: str = "") -> Job:
    """The demo's job on whose page most can be recorded; for its book, one with a deviation to answer."""
    jobs = list(Job.objects.active())
    if name == "job-book":
        jobs = [job for job in jobs if any(d.is_open for d in job.deviations.all())]
    return max(jobs, key=lambda job: (job.revisions.count(), job.pk))


def kind_of(field: Field) -> str:
    return KINDS.get(field.kind, "")


def worse(form: PageForm, kind: str, turn: int) -> dict[str, Any]:
    """The form as it stood, with a bad value in every field of the kind."""
    data: dict[str, Any] = form.filled()
    for name, value in form.buttons:
        if name and value in ("keep", "save"):
            data[name] = [value]
    for place, field in enumerate(f for f in form.fields if kind_of(f) == kind):
        value = BAD[kind][(turn + place) % len(BAD[kind])]
        data[field.name] = SimpleUploadedFile(*value) if kind == "file" else [value]
    return data


def post(client: Client, form: PageForm, data: dict[str, Any]) -> tuple[Any, str, bool]:
    """Answer, its page's text, and whether anything was kept; all of it is put back."""
    wrote = False
    before = counts()

    def watch(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        nonlocal wrote
        wrote = wrote or bool(WRITES.match(sql))
        return execute(sql, params, many, context)

    htmx = {"HTTP_HX_REQUEST": "true"} if ("do", "look") in form.buttons else {}
    with transaction.atomic():
        with connection.execute_wrapper(watch):
            answer = client.post(form.action, data, **htmx)
        kept = wrote and counts() != before
        page = client.get(answer["Location"]) if answer.status_code == 302 else answer
        transaction.set_rollback(True)
    return answer, page.content.decode(), kept


def turns(name: str, kind: str) -> int:
    """How often a form is sent with other bad values; by "make prove" until each was in each field."""
    if PROVE:
        return len(BAD[kind])
    return 1 if name in SLOW else 2


def pages() -> list[tuple[str, str]]:
    offices = (*JOB_PAGES, *PAPERS, *DESIGNS, *FIRM_PAGES, *CREW_PAGES, *THINGS)
    named = [("office", name) for name in offices]
    return [*named, ("nobody", "sign-in"), *(("foreman", name) for name in (*PHONE, "phone-list", "key-in"))]


def addresses(role: str, name: str) -> list[str]:
    """Where the page stands; the phone's list once for every kind of item."""
    job = the_job(name)
    if name in PAPERS:
        return [reverse(name, args=[job.number, job.permits.first().pk])]
    if name == "key-in":
        return [reverse(name, args=[job.number, "assembly"])]
    if name == "phone-list":
        found = {}
        for kept in job.lists.prefetch_related("items"):
            url = reverse(name, args=[job.number, kept.key])
            found.update({item.kind: f"{url}?item={item.code}" for item in kept.items.all()})
        return list(found.values())
    if name in THINGS:
        return [reverse(name, args=[THINGS[name].objects.order_by("pk").last().pk])]
    per_job = name in (*JOB_PAGES, *DESIGNS, *PHONE)
    return [reverse(name, args=[job.number] if per_job else [])]


@pytest.mark.parametrize(("role", "name"), pages(), ids=lambda word: word)
def test_no_field_of_the_page_takes_what_it_cannot_hold(demo, role, name):
    client = signed_in(role)
    tried = set()
    for address in addresses(role, name):
        page = client.get(address)
        assert page.status_code == 200, address
        for form in forms_of(page.content.decode(), address):
            view = resolve(urlsplit(form.action).path).url_name
            for kind in sorted({kind_of(field) for field in form.fields} - {""}):
                if (view, kind, form.names) in tried or (view == "torque-log" and kind == "select"):
                    continue
                tried.add((view, kind, form.names))
                for turn in range(turns(name, kind)):
                    answer, text, kept = post(client, form, worse(form, kind, turn))
                    where = f"{view}: {kind} {turn}"
                    assert answer.status_code == 422, where
                    assert 'class="errorlist' in text or 'class="said' in text or 'class="fault' in text, (
                        where
                    )
                    assert not kept, f"{where} was kept"


GARBAGE = ("", "\x00", "9" * 5000, str(10**30), "-1", "NaN", "²", "%", "日本", "9999-12-31", "[]", "' OR 1=1")
ASKED = ("item", "correct", "on", "joint", "bolt", "truck", "code", "page", "letter", "paper", "next", "job")


@pytest.mark.parametrize("role", ["office", "foreman"])
def test_nonsense_in_an_address_is_never_a_fault_of_ours(demo, role):
    client, job = signed_in(role), the_job()
    plain = ("home", "look-ahead", "next-day", "crew-days", "day-sheet", "sign-in")
    of_job = ("job-book", "pour", "pour-card", "torque-log", "tower-torque", "materials", "job-lists",
              "torque-key-in")  # fmt: skip
    urls = [reverse(name) for name in plain] + [reverse(name, args=[job.number]) for name in of_job]
    urls.append(reverse("phone-list", args=[job.number, job.lists.first().key]))
    for url in urls:
        for turn in range(3):
            asked = {name: GARBAGE[(turn * 4 + place) % len(GARBAGE)] for place, name in enumerate(ASKED)}
            assert client.get(url, asked).status_code < 500, (url, asked)
            if "/day/" in url:
                told = asked | {"pass": "9" * 5000, "uuid": "\x00", "corrects": "\x00", "do": "torqued"}
                assert client.post(url, told).status_code < 500, (url, told)


@pytest.mark.parametrize("key", [10**30, 2**63, 2**63 - 1], ids=["1e30", "2^63", "2^63-1"])
def test_a_number_that_is_no_key_is_not_found(demo, key):
    client, job = signed_in("office"), the_job()
    for name, route, _view in VIEWS:
        if "<int:" not in route:
            continue
        words = {part.split(">")[0] for part in route.split("<")[1:]}
        given = {w.split(":")[1]: key if w.startswith("int") else job.number for w in words}
        url = reverse(name, kwargs=given)
        assert client.get(url).status_code in (302, 404, 405), url
        assert client.post(url).status_code in (302, 404, 405), url
