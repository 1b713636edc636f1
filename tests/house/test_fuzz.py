"""Every form, every address and the phone's API, sent at random what they do not expect, with a fixed seed.

Never a fault of ours; what is refused leaves no row behind; and what was taken spoils no page. The forms are
found by walking through the demo's pages as its people do. ``FUZZ=200`` sets the requests of each seed.
"""

from __future__ import annotations

import json
import os
import random
import re
import sqlite3
import uuid
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client, override_settings
from django.urls import Resolver404, resolve, reverse
from django.utils import timezone

from installs.checklists.models import Item
from installs.jobs.kept import Kept
from installs.jobs.models import Job
from tests.house.page_forms import Field, PageForm, forms_of
from tests.house.test_bad_input import BAD, PROVE, WRITES, counts, kind_of, signed_in

pytestmark = [
    pytest.mark.deep,
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="the demo is copied by SQLite"),
]

SEEDS, REQUESTS = (40, 100) if PROVE else (1, 100)
REQUESTS = int(os.environ.get("FUZZ", REQUESTS))
ROLES = ("office", "foreman", "engineer", "electrician", "crew")
PAGES_OF_A_VIEW = 2 if PROVE else 1
LINK = re.compile(r'(?:href|hx-get|src)="(/[^"#]*)')
LEFT_OUT = {"sign-out", "paper-file", "entry-photo", "sealed-file"}
ODD = [
    "", " ", "0", "-1", "00", "1e308", "-0.0", "1e-320", "NaN", "Infinity", "1,234.5", "12 ft", "½", "٣",
    "<script>alert(1)</script>", "{{ 7*7 }}", "../../etc/passwd", "' OR 1=1 --", "%00", "%s%s%n",
    "\u202e\u200b", "🏗" * 50, "e\u0301" * 100, "a\x00b", "\x1b[31m", "\t\r\n", "x" * 5000, "null", "[]",
    "{}", "true", "on", str(2**31), str(2**63), str(10**40), "2031-02-29", "0001-01-01", "9999-12-31",
    "2026-11-30T25:61", "24:00", "2031-03-14T02:30", "soon", "None", "nan", "1" * 400, "😀", "\ufeff1",
    "١٢", str(uuid.UUID(int=0)),
]  # fmt: skip
PARAMETERS = ("page", "sheet", "device", "correct", "item", "next", "day", "from", "look", "which", "v", "q")


@dataclass(frozen=True)
class Found:
    """A form as somebody met it."""

    role: str
    page: str
    form: PageForm


@pytest.fixture(scope="module")
def in_the_database(django_db_setup: None, django_db_blocker: Any, prepared_demo: Any) -> Iterator[None]:
    with django_db_blocker.unblock():
        connection.ensure_connection()
        with closing(sqlite3.connect(":memory:")) as empty:
            connection.connection.backup(empty)
            prepared_demo.put()
            yield
            empty.backup(connection.connection)


# by the view that a form goes to, and its fields
Forms = dict[str, list[Found]]
_found: tuple[Forms, list[tuple[str, str]]] | None = None


@pytest.fixture
def demo(in_the_database: None, prepared_demo: Any) -> Iterator[None]:
    with override_settings(STORAGES=prepared_demo.storages):
        yield


def walked() -> tuple[Forms, list[tuple[str, str]]]:
    """Every form, and every address with who meets it: walked once for a process."""
    global _found
    if _found is None:
        by_view, addresses = defaultdict[str, list[Found]](list), []
        for role in ROLES:
            for address, text in walk(role):
                addresses.append((role, address))
                for form in forms_of(text, address):
                    by_view[f"{named(form.action)} {sorted(form.names)}"].append(Found(role, address, form))
        _found = by_view, addresses
    return _found


def walk(role: str) -> Iterator[tuple[str, str]]:
    """Pages by their links, from the first one on; of each view so many."""
    client, waiting, seen, met = signed_in(role), [reverse("home")], set[str](), defaultdict[str, int](int)
    while waiting:
        address = waiting.pop(0)
        name = named(address)
        if address in seen or name in LEFT_OUT or not name or met[name] >= PAGES_OF_A_VIEW:
            continue
        seen.add(address)
        answer = client.get(address)
        if answer.status_code == 302:
            waiting.insert(0, answer["Location"])
            continue
        met[name] += 1
        if answer.status_code == 200 and "html" in answer.headers.get("Content-Type", ""):
            text = answer.content.decode()
            yield address, text
            waiting += [link.replace("&amp;", "&") for link in LINK.findall(text)]


def named(address: str) -> str:
    try:
        return resolve(address.partition("?")[0]).url_name or ""
    except Resolver404:
        return ""


def value(luck: random.Random, field: Field) -> Any:
    """Something for the field: odd, of another kind, or its own made larger, smaller, negative."""
    kind = kind_of(field)
    if field.kind == "file":
        name, content = luck.choice(BAD["file"][:5])
        return SimpleUploadedFile(name, content)
    roll = luck.random()
    if roll < 0.35 and kind == "number":
        try:
            return str(float(field.value or 1) * luck.choice([-1, 0, 0.1, 10, 1000, 1e6]))
        except ValueError:
            return luck.choice(ODD)
    if roll < 0.5 and kind in BAD and kind != "file":
        return luck.choice(BAD[kind])
    if roll < 0.65 and field.options:
        return luck.choice(field.options)
    return luck.choice(ODD)


def filled(luck: random.Random, form: PageForm) -> dict[str, Any]:
    """The form as it stands, a button pressed, a few fields changed, now and then one left out or doubled."""
    data: dict[str, Any] = form.filled()
    if form.buttons:
        name, said = luck.choice(form.buttons)
        if name:
            data[name] = [said]
    for field in luck.sample(form.fields, min(len(form.fields), luck.choice([0, 1, 1, 2, 3, 8]))):
        roll = luck.random()
        if roll < 0.1:
            data.pop(field.name, None)
        elif roll < 0.15:
            data.setdefault(field.name, []).append(luck.choice(ODD))
        else:
            given = value(luck, field)
            data[field.name] = given if field.kind == "file" else [given]
    return data


def anything(luck: random.Random, depth: int = 0) -> Any:
    """A JSON value."""
    roll = luck.random()
    if depth < 3 and roll < 0.15:
        return {luck.choice(ODD): anything(luck, depth + 1) for _ in range(luck.randrange(4))}
    if depth < 3 and roll < 0.25:
        return [anything(luck, depth + 1) for _ in range(luck.randrange(4))]
    return luck.choice([None, True, 0, -1, 10**40, 1e300, -1e300, 0.1, *ODD])


def batch(luck: random.Random, job: Job, codes: list[str]) -> dict[str, Any]:
    """What a phone would send, and what one would not."""
    now = timezone.now().isoformat()

    def entry() -> dict[str, Any]:
        whole = {
            "uuid": str(uuid.UUID(int=luck.getrandbits(128))),
            "job": job.number,
            "code": luck.choice(codes),
            "subject": luck.choice(["truck 1", "edge", "joint 1 pass 1 bolt B1", "", luck.choice(ODD)]),
            "number": luck.choice([None, 4.5, 50, -1e300, anything(luck)]),
            "unit": luck.choice(["", "in", "F", luck.choice(ODD)]),
            "text": luck.choice(["", "note", luck.choice(ODD)]),
            "data": {luck.choice(["batched_at", "minutes", "for", "lab", "low_f", "x"]): anything(luck)},
            "taken_at": luck.choice([now, now, "2026-11-30T10:00:00+23:59", luck.choice(ODD)]),
        }
        for name in luck.sample(sorted(whole), luck.choice([0, 0, 1, 2])):
            whole[name] = anything(luck)
        return whole

    sent = {
        "device": str(uuid.UUID(int=7)),
        "now": now,
        "entries": [entry() for _ in range(luck.randrange(4))],
    }
    if luck.random() < 0.2:
        sent[luck.choice([*sent, "waiting", "oldest_waiting_at"])] = anything(luck)
    return sent


def sent(client: Client, luck: random.Random, job: Job, codes: list[str]) -> tuple[str, str, Any]:
    """Send one at random; the page it was sent from, what it was, the answer."""
    by_view, addresses = walked()
    roll = luck.random()
    if roll < 0.12:
        body = json.dumps(batch(luck, job, codes))
        if luck.random() < 0.1:
            body = luck.choice([body[: len(body) // 2], "[" * 9000, '"', "", "NaN"])
        answer = client.post("/api/entries/", body, content_type="application/json")
        return "/day/", f"entries {body[:600]}", answer
    if roll < 0.24:
        _, address = luck.choice(addresses)
        path = address.partition("?")[0]
        asked = {luck.choice(PARAMETERS): luck.choice(ODD) for _ in range(luck.choice([1, 2]))}
        return path, f"GET {path} {asked}", client.get(path, asked)
    found = luck.choice(by_view[luck.choice(sorted(by_view))])
    data = filled(luck, found.form)
    htmx = {"HTTP_HX_REQUEST": "true"} if luck.random() < 0.2 else {}
    shown = {name: str(each)[:80] for name, each in data.items()}
    return (
        found.page,
        f"POST {found.form.action} {htmx} {shown}",
        client.post(found.form.action, data, **htmx),
    )


TOLD = {"installs.SignInAttempt", "installs.FirmEvent"}  # that something was tried and refused is kept


@pytest.mark.parametrize("seed", range(SEEDS))
def test_what_nobody_expects_breaks_nothing(demo: None, seed: int) -> None:
    luck = random.Random(seed)
    clients = {role: signed_in(role) for role in ROLES}
    jobs, codes = list(Job.objects.active()), sorted(set(Item.objects.values_list("code", flat=True)))
    walked()
    before, faults = counts(), []
    for _ in range(REQUESTS):
        role = luck.choices(ROLES, [5, 3, 3, 1, 1])[0]
        wrote: list[str] = []

        def watch(execute: Any, sql: str, params: Any, many: bool, context: Any, wrote: Any = wrote) -> Any:
            if WRITES.match(sql):
                wrote.append(sql)
            return execute(sql, params, many, context)

        with kept_as_before(), transaction.atomic():
            said, pages = "", []
            try:
                with connection.execute_wrapper(watch):
                    page, said, answer = sent(clients[role], luck, luck.choice(jobs), codes)
                if answer.status_code >= 500:
                    faults.append(f"{role} {answer.status_code}: {said}")
                elif wrote and answer.status_code >= 400:
                    now = counts()
                    left = {n: now[n] - before[n] for n in now if now[n] != before[n]}
                    if left.keys() - TOLD:
                        faults.append(f"{role} {answer.status_code} and rows {left}: {said}")
                elif wrote:
                    pages = [page, answer.headers.get("Location", page), *standing(luck, jobs)]
                for address in pages:
                    if clients["office"].get(address).status_code >= 500:
                        faults.append(f"{address} broken after {said}")
            except Exception as error:  # the client hands on what a view let through
                faults.append(f"{role} {type(error).__name__}: {error}: {said} {pages}")
            transaction.set_rollback(True)
    assert not faults, "\n".join(faults)


@contextmanager
def kept_as_before() -> Iterator[None]:
    """What is kept of the record is put back with it: the next change has the same keys and is another."""
    before = [(kept, kept._results.copy()) for kept in Kept.everywhere]
    try:
        yield
    finally:
        for kept, results in before:
            kept._results = results


def standing(luck: random.Random, jobs: list[Job]) -> list[str]:
    """Pages that read what many others wrote."""
    job = luck.choice(jobs)
    return [reverse("look-ahead"), reverse(luck.choice(["job-book", "pour", "papers"]), args=[job.number])]
