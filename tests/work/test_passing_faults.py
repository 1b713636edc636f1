"""A full disk and a locked database are no fault of the page: 503, in words, with when to come again."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from collections import namedtuple

import psycopg
import pytest
from django.db import DatabaseError, IntegrityError, OperationalError, connection, transaction
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import path

from installs.people.access import allow
from installs.urls import handler500 as handler500  # of this module's own urls
from installs.urls import urlpatterns
from installs.work.passing import AWAY, FULL, LOCKED, passing

pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]
RAISED: list[Exception] = []


@allow("anyone")
def breaks(request: HttpRequest) -> HttpResponse:
    raise RAISED[-1]


urlpatterns = [*urlpatterns, path("breaks/", breaks), path("api/breaks/", breaks)]


def caused(error: Exception, cause: Exception) -> Exception:
    error.__cause__ = cause
    return error


def no_room() -> OSError:
    return OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (no_room(), FULL),
        (caused(OperationalError("database or disk is full"), sqlite3.OperationalError()), FULL),
        (caused(OperationalError("could not extend file"), psycopg.errors.DiskFull()), FULL),
        (OperationalError("database is locked"), LOCKED),
        (caused(OperationalError("deadlock detected"), psycopg.errors.DeadlockDetected()), LOCKED),
        (OperationalError("connection failed"), AWAY),
    ],
)
def test_what_passes_is_said_with_when_to_come_again(error, words) -> None:
    RAISED.append(error)
    client = Client(raise_request_exception=False)
    for page in (client.get("/breaks/"), client.get("/api/breaks/")):
        assert page.status_code == 503 and int(page.headers["Retry-After"]) > 0
    assert words in client.get("/breaks/").content.decode()
    assert client.get("/api/breaks/").json() == {"error": words}


@pytest.mark.parametrize("error", [ValueError("locked"), IntegrityError("disk"), OSError(errno.EACCES, "no")])
def test_any_other_fault_is_ours(error) -> None:
    assert passing(error) == ""
    RAISED.append(error)
    answer = Client(raise_request_exception=False).get("/breaks/")
    assert answer.status_code == 500 and "Retry-After" not in answer.headers


@pytest.mark.django_db(transaction=True)
def test_a_locked_database_says_so_by_itself(tmp_path) -> None:
    """The words that SQLite itself has for it, through Django."""
    if connection.vendor != "sqlite":
        pytest.skip("on PostgreSQL writers wait for one another row by row")
    with sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        connection.ensure_connection()
        connection.connection.execute("PRAGMA busy_timeout = 1")
        with pytest.raises(DatabaseError) as raised, transaction.atomic():
            pass
        other.execute("ROLLBACK")
    connection.close()
    assert passing(raised.value) == LOCKED


Usage = namedtuple("Usage", "total used free")


def test_health_writes_a_row_and_knows_the_free_space(client, monkeypatch) -> None:
    from installs.work.models import Pulse

    assert client.get("/health").content == b"ok"
    assert Pulse.objects.count() == 1
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: Usage(10**12, 10**12, 150_000_000))
    answer = client.get("/health")
    assert (answer.status_code, answer.content) == (503, b"150 MB free on the disk")


def test_a_database_that_takes_nothing_is_not_healthy(client, monkeypatch) -> None:
    from installs.work.models import Pulse

    def full(*args, **kwargs):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(Pulse.objects, "update_or_create", full)
    assert client.get("/health").status_code == 503
