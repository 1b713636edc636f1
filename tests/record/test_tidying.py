"""Each night goes what ran out and what nothing names; what anything names, in whatever way, stays."""

from __future__ import annotations

import os
import tempfile
import uuid
from datetime import timedelta
from importlib import import_module

import pytest
from django.apps import apps
from django.conf import settings as configured
from django.contrib.sessions.models import Session
from django.core.files.storage import default_storage

from installs.checklists.models import Device, Entry
from installs.files.models import Sending, StoredFile
from installs.files.services import store_bytes
from installs.files.storage import PRESS
from installs.people.models import SignInAttempt
from installs.record import tidying
from installs.record.files import NAMED_BY, NO_JOBS, unnamed
from installs.record.tidying import remove_expired, remove_leftovers, remove_unnamed
from installs.work.registry import nightly_kinds
from tests.crew.test_api import entry, send
from tests.make import AT, make_job, make_person

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=8)


@pytest.fixture
def photo(ben):
    return store_bytes(b"a photo nobody named", "image/jpeg", "site.jpg", by=ben, at=AT)


def device(person, **fields) -> Device:
    return Device.objects.create(uuid=uuid.uuid4(), person=person, **{"heard_at": AT, **fields})


def test_a_photo_that_stands_in_no_record_goes_after_a_week(photo, caplog):
    assert remove_unnamed(AT + timedelta(days=6)) == []
    assert remove_unnamed(LATER) == [photo.sha256]
    assert photo.sha256 in caplog.text
    assert not StoredFile.objects.exists() and not default_storage.exists(photo.storage_name)


def an_entry(job, person, **fields) -> Entry:
    given = {"job": job, "sequence": 1, "code": "D03", "taken_at": AT, "received_at": AT, "person": person}
    hashes = {"content_hash": "0" * 64, "previous_hash": "", "hash": "0" * 64}
    return Entry.objects.create(**{**given, **hashes, **fields})


def test_every_table_that_names_files_is_asked():
    """All of record/files.py, which another test holds to the models, but who sent one."""
    asked = str(unnamed().query)
    tables = {apps.get_model(label)._meta.db_table for label, *_ in (*NAMED_BY, *NO_JOBS)}
    assert {table for table in tables if f'"{table}"' not in asked} == {"installs_sending"}


def test_a_photo_of_an_entry_stays(client, ben, photo):
    job = make_job(members=(ben,))
    client.force_login(ben)
    [answer] = send(client, {**entry(job), "photo": photo.sha256}).json()["answers"]
    assert answer["state"] == "taken"
    assert remove_unnamed(LATER) == []


def test_a_file_whose_hash_stands_in_the_figures_of_an_entry_stays(ben, photo):
    """As a logger's file is named."""
    job = make_job(members=(ben,))
    an_entry(job, ben, code="E03", subject="edge", data={"file": photo.sha256, "sensors": ["edge"]})
    assert remove_unnamed(LATER) == []


def test_while_a_phone_still_holds_entries_its_senders_photos_stay(ben, photo):
    phone = device(ben, waiting=3, heard_at=AT + timedelta(days=2))
    assert remove_unnamed(LATER) == []
    other = make_person()
    Sending.objects.create(file=photo, person=other)
    phone.person = other
    phone.save()
    assert remove_unnamed(LATER) == []
    phone.waiting = 0
    phone.save()
    assert remove_unnamed(LATER) == [photo.sha256]


def test_a_file_that_is_named_at_the_last_moment_stays(photo, monkeypatch):
    """Between the list and its turn somebody's entry names it."""
    first = iter([tidying.unnamed(), StoredFile.objects.none()])
    monkeypatch.setattr(tidying, "unnamed", lambda: next(first))
    assert remove_unnamed(LATER) == []
    assert default_storage.exists(photo.storage_name)


def test_what_ran_out_goes_and_what_counts_stays(ben, client):
    store = import_module(configured.SESSION_ENGINE).SessionStore
    for expires in (AT - timedelta(days=1), AT + timedelta(days=1)):
        Session.objects.create(
            session_key=store()._get_new_session_key(), session_data="", expire_date=expires
        )
    for days in (91, 89):
        SignInAttempt.objects.create(username="ben", at=AT - timedelta(days=days), succeeded=False)
    old = AT - timedelta(days=366)
    job = make_job(members=(ben,))
    unused, used = device(ben, heard_at=old), device(ben, heard_at=old)
    holds, ended = device(ben, heard_at=old, waiting=1), device(ben, heard_at=old, ended_at=old)
    recent = device(ben, heard_at=AT - timedelta(days=300))
    an_entry(job, ben, device=used)
    assert remove_expired(AT) == {"sessions": 1, "attempts": 1, "devices": 1}
    assert set(Device.objects.all()) == {used, holds, ended, recent}
    assert unused not in Device.objects.all()
    assert Session.objects.get().expire_date > AT and SignInAttempt.objects.count() == 1


def test_what_a_killed_press_left_goes_after_a_day(monkeypatch, tmp_path, settings):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "tmp"))
    settings.BACKUP_DIR = tmp_path / "backups"
    names = [tmp_path / name for name in (f"tmp/{PRESS}abc", "tmp/another-program", "backups/.backup-x")]
    for folder in names:
        folder.mkdir(parents=True)
        (folder / "order.json").write_text("{}")
        os.utime(folder, (AT.timestamp(), AT.timestamp()))
    assert remove_leftovers(AT + timedelta(hours=23)) == 0
    assert remove_leftovers(AT + timedelta(hours=25)) == 2
    assert [path.exists() for path in names] == [False, True, False]


def test_it_is_done_each_night():
    assert "record.tidy" in {kind.name for kind in nightly_kinds()}
