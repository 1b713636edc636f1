"""A file is whole under its name or it is not there; what is kept is held to what was taken."""

from __future__ import annotations

import errno
import os
import time
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import InMemoryStorage, default_storage, storages
from django.urls import reverse
from django.utils import timezone

from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.files.keeping import NotKept, NotWhole, fault_of, keep, read_bytes
from installs.files.models import StoredFile, name_of
from installs.files.services import store_bytes
from installs.files.storage import LEFTOVER
from tests.make import alma, make_job

pytestmark = pytest.mark.django_db
CONTENT = os.urandom(341_850)


def stored(content: bytes = CONTENT) -> StoredFile:
    return store_bytes(content, "image/jpeg", "nacelle.jpg", by=alma(), at=timezone.now())


def path_of(file: StoredFile) -> Path:
    return Path(default_storage.path(file.storage_name))


@pytest.fixture
def full_after(monkeypatch):
    """A disk that takes so many bytes and no more, as write(2) says it."""

    def fill(most: int) -> None:
        taken = 0

        class Chunk(ContentFile):
            def chunks(self, chunk_size=None):
                nonlocal taken
                for at in range(0, self.size, 50_000):
                    if taken >= most:
                        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                    taken += 50_000
                    yield self.file.getvalue()[at : at + 50_000]

        monkeypatch.setattr("installs.files.keeping.ContentFile", Chunk)

    return fill


def test_a_disk_that_fills_in_the_middle_leaves_nothing_and_the_same_photo_is_whole_afterwards(
    full_after, monkeypatch, tmp_path
):
    with monkeypatch.context() as disk:
        full_after(204_800)
        with pytest.raises(OSError, match="No space left"):
            stored()
        assert not StoredFile.objects.exists()
        assert [p for p in tmp_path.rglob("*") if p.is_file()] == []
        disk.undo()
    monkeypatch.undo()
    file = stored()
    assert read_bytes(file) == CONTENT


def test_a_file_that_was_cut_short_is_found_and_mended_by_sending_it_again():
    """As a power cut in the middle of an older program's write left it: 204,800 of 341,850 bytes."""
    file = stored()
    path_of(file).write_bytes(CONTENT[:204_800])
    assert fault_of(file) == "cut short, 204,800 of 341,850 bytes"
    with pytest.raises(NotWhole, match="nacelle"):
        read_bytes(file)
    assert stored() == file
    assert fault_of(file) == "" and read_bytes(file) == CONTENT


def test_other_bytes_of_the_same_length_are_not_those_that_were_taken():
    file = stored()
    path_of(file).write_bytes(bytes([CONTENT[0] ^ 1]) + CONTENT[1:])
    assert fault_of(file) == "its bytes are not those that were taken"
    path_of(file).unlink()
    assert fault_of(file) == "its bytes are gone"


def test_a_writer_that_is_killed_leaves_what_was_there(monkeypatch):
    """Between the last byte and the new name: the name still stands for the whole file."""
    file = stored()

    def killed(*args):
        raise KeyboardInterrupt

    monkeypatch.setattr("installs.files.storage.os.replace", killed)
    with pytest.raises(KeyboardInterrupt):
        default_storage.save(file.storage_name, ContentFile(b"half"))
    assert read_bytes(file) == CONTENT
    assert not [p for p in path_of(file).parent.iterdir() if p.name.startswith(LEFTOVER)]


def test_what_a_killed_writer_left_over_is_taken_away_a_day_later():
    folder = path_of(stored()).parent
    old, new = folder / f"{LEFTOVER}old", folder / f"{LEFTOVER}new"
    for part in (old, new):
        part.write_bytes(b"half")
    two_days_ago = time.time() - 2 * 86_400
    os.utime(old, (two_days_ago, two_days_ago))
    assert storages["default"].remove_leftovers(timezone.now() - timedelta(days=1)) == 1
    assert new.exists() and not old.exists() and fault_of(stored()) == ""


def test_bytes_and_name_are_forced_to_the_disk_before_the_file_counts(monkeypatch):
    done: list[str] = []
    place = os.replace

    def named(part, path) -> None:
        done.append("named")
        place(part, path)

    monkeypatch.setattr(
        "installs.files.storage.os.fsync", lambda number: done.append(os.readlink(f"/proc/self/fd/{number}"))
    )
    monkeypatch.setattr("installs.files.storage.os.replace", named)
    digest = keep(CONTENT)
    folder = str(Path(default_storage.path(name_of(digest))).parent)
    assert LEFTOVER in done[0] and done[1:3] == ["named", folder]


def test_a_storage_that_gives_back_something_else_has_not_kept_it(monkeypatch):
    class Forgets(InMemoryStorage):
        def _save(self, name, content):
            return name

    monkeypatch.setattr("installs.files.keeping.default_storage", Forgets())
    with pytest.raises(NotKept):
        keep(CONTENT)


def test_a_kept_file_that_was_altered_is_not_served(client, db):
    """The answer names it, and is an error of ours that somebody is told of."""
    person = alma()
    job = make_job(by=person)
    now = timezone.now()
    copy_lists(job, by=person, at=now)
    photo = store_bytes(CONTENT, "image/jpeg", "nacelle.jpg", by=person, at=now)
    entry = take_entry(job, by=person, received_at=now, taken_at=now, code="B01", photo=photo).entry
    client.force_login(person)
    client.raise_request_exception = False
    url = reverse("entry-photo", args=[job.number, entry.uuid])
    assert b"".join(client.get(url).streaming_content) == CONTENT
    path_of(photo).write_bytes(b"something else")
    answer = client.get(url)
    assert answer.status_code == 500
    assert "nacelle.jpg" in answer.content.decode() and "Not as it was taken" in answer.content.decode()
