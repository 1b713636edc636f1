"""Each night a backup is made and the oldest goes; the office sees when the last one was."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import timedelta

import pytest
from django.db.migrations.recorder import MigrationRecorder
from django.urls import reverse
from django.utils import timezone

from installs.jobs.kept import Kept
from installs.record.backup import back_up, verified
from installs.record.backups import backup_fault, name_at, place
from installs.work.models import WorkRequest
from installs.work.runner import work_one
from installs.work.services import request_nightly
from tests.make import alma, make_job
from tests.prepared import ROOT

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.BACKUP_DIR = tmp_path / "backups"


def a_night(at) -> None:
    request_nightly(at=at)
    while work_one("papers"):
        pass


def test_each_night_a_whole_one_is_made_and_the_oldest_goes(settings) -> None:
    settings.BACKUPS_KEPT = 2
    make_job(by=alma())
    now = timezone.now()
    for days in (4, 3):
        (place() / name_at(now - timedelta(days=days))).write_bytes(b"an older one")
    a_night(now)
    older, newest = sorted(place().iterdir())
    assert older.name == name_at(now - timedelta(days=3))
    assert verified(newest).ends["log"]
    done = WorkRequest.objects.get(kind="record.backup").result
    assert done["removed"] == [name_at(now - timedelta(days=4))]


def set_up(ago: timedelta) -> None:
    MigrationRecorder.Migration.objects.update(applied=timezone.now() - ago)


def test_a_new_server_without_a_backup_is_no_fault_and_an_older_one_is(client) -> None:
    client.force_login(alma())
    set_up(timedelta(minutes=1))
    page = client.get(reverse("look-ahead")).content.decode()
    assert "No backup yet: the first one is made by itself" in page and "No backup was made yet." not in page
    set_up(timedelta(days=2, minutes=1))
    Kept.forget()
    assert "No backup was made yet." in client.get(reverse("look-ahead")).content.decode()


def test_the_office_is_told_when_it_is_old() -> None:
    a_night(timezone.now())
    now = timezone.now()
    assert backup_fault(now) == ""
    assert backup_fault(now + timedelta(days=2, hours=1)) == "The last backup was made 2 days ago."


def test_on_a_full_disk_the_old_ones_stay(monkeypatch) -> None:
    """The oldest is taken away only after the new one is whole."""
    (place() / name_at(timezone.now() - timedelta(days=9))).write_bytes(b"an older one")

    def full(*args, **kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("installs.record.backup.tarfile.TarFile.addfile", full)
    a_night(timezone.now())
    assert [p.read_bytes() for p in place().iterdir()] == [b"an older one"]
    assert backup_fault(timezone.now() + timedelta(days=3)) == "No backup was made yet."


def test_what_a_killed_backup_left_goes_with_the_next_one_and_what_a_living_one_writes_stays() -> None:
    writes = "import sys; from pathlib import Path; from installs.record.unfinished import folder_for\n"
    writes += (
        "with folder_for(Path(sys.argv[1])) as folder:\n (folder / 'part').touch()\n print(folder.name, "
    )
    writes += "flush=True)\n input()"
    command = [sys.executable, "-c", writes, str(place())]

    def begun() -> tuple[subprocess.Popen[str], str]:
        writer = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        return writer, writer.stdout.readline().strip()

    killed, _ = begun()
    killed.kill()
    killed.communicate()
    (place() / f"{name_at(timezone.now())}.part").touch()  # as an earlier version left it
    assert len(list(place().iterdir())) == 2
    living, its_own = begun()
    a_night(timezone.now())
    backup, other = sorted(place().iterdir(), key=lambda path: path.is_dir())
    assert other.name == its_own and verified(backup).ends["log"] == {}
    living.communicate("done\n")
    assert [path.name for path in place().iterdir()] == [backup.name]


@pytest.mark.parametrize("umask", [0o000, 0o277])
def test_a_backup_is_its_owners_alone_whatever_the_umask(umask) -> None:
    before = os.umask(umask)
    try:
        path = place().parent / "all.tar"
        back_up(path, at=timezone.now())
    finally:
        os.umask(before)
    assert path.stat().st_mode & 0o777 == 0o600
