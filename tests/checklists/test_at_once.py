"""The same entry sent twice at the same moment, on a database file as a small firm has it."""

from __future__ import annotations

import sqlite3
import threading
import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, connections

from installs.checklists.models import Entry
from installs.checklists.services import chain_faults
from installs.checklists.taking import take_entry
from installs.jobs.models import Job
from installs.people.models import User
from tests.make import AT, make_job, make_person

TWICE, DIFFERENT = 6, 12


@pytest.fixture
def database_file(transactional_db, tmp_path):
    """The test's database in a file of its own, so that each thread has its own connection to it."""
    if connection.vendor != "sqlite":
        yield
        return
    settings, name = connection.settings_dict, connection.settings_dict["NAME"]
    copy = sqlite3.connect(tmp_path / "jobs.sqlite3")
    connection.ensure_connection()
    connection.connection.backup(copy)
    copy.execute("PRAGMA journal_mode=WAL")
    copy.close()
    kept, connection.connection = connection.connection, None
    settings["NAME"] = str(tmp_path / "jobs.sqlite3")
    yield
    connection.close()
    connection.connection, settings["NAME"] = kept, name


def test_entries_sent_twice_at_once_are_kept_once_and_in_one_chain(database_file):
    job, ben = make_job(), make_person()
    sent = [uuid.uuid4() for _ in range(DIFFERENT)]
    ready = threading.Barrier(TWICE)

    def send(one: uuid.UUID) -> bool:
        try:
            ready.wait(20)
            return take_entry(
                Job.objects.get(pk=job.pk),
                by=User.objects.get(pk=ben.pk),
                received_at=AT,
                taken_at=AT,
                uuid=one,
                code="Z99",
                text="sent again by a phone that heard no answer",
            ).new
        finally:
            connections.close_all()

    with ThreadPoolExecutor(TWICE) as threads:
        new = list(threads.map(send, [one for one in sent for _ in range(TWICE)]))
    assert sum(new) == Entry.objects.filter(job=job).count() == DIFFERENT
    assert chain_faults(job) == []
