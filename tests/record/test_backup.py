"""A backup is whole or not there; put into an empty place it is the same firm, to the row and to the byte."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tarfile
import threading
from contextlib import closing
from pathlib import Path

import psycopg
import pytest

from tests.bench.office import POSTGRES, postgres_unreachable
from tests.prepared import DATABASE, ROOT, demo_for, plain_environment, postgres_schema, schema_for

PASSING = ("django_session", "installs_signedin")  # who is signed in just now

pytestmark = pytest.mark.slow


def manage(environment: dict[str, str], *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "manage.py", *words]
    return subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)


def rows_of(database: Path) -> dict[str, list[tuple]]:
    """Every row of every table, but for who is signed in."""
    with closing(sqlite3.connect(database)) as link:
        names = [n for (n,) in link.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY 1")]
        return {n: sorted(link.execute(f'SELECT * FROM "{n}"'), key=repr) for n in names if n not in PASSING}


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture(scope="module")
def backed_up(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The folder of a demo, and a backup of it."""
    var = tmp_path_factory.mktemp("from")
    demo_for(var)
    done = manage(plain_environment(var), "backup", str(var / "all.tar"))
    assert done.returncode == 0, done.stderr
    assert "whole" in done.stdout
    return var, var / "all.tar"


def test_what_is_restored_is_the_same_firm(backed_up, tmp_path) -> None:
    var, backup = backed_up
    schema_for(tmp_path)
    done = manage(plain_environment(tmp_path), "restore", str(backup))
    assert done.returncode == 0, done.stderr
    assert rows_but_checks(rows_of(tmp_path / DATABASE)) == rows_but_checks(rows_of(var / DATABASE))
    assert files_of(tmp_path / "files") == files_of(var / "files")


CHECKS = ("installs_recordcheck", "installs_firmlogcheck", "sqlite_sequence", *PASSING)


def rows_but_checks(rows: dict[str, list[tuple]]) -> dict[str, list[tuple]]:
    """Restoring goes over the record, which keeps when that was."""
    return {n: found for n, found in rows.items() if n not in CHECKS}


def test_a_place_where_somebody_works_is_never_written_over(backed_up, tmp_path) -> None:
    _, backup = backed_up
    demo_for(tmp_path)
    before = rows_of(tmp_path / DATABASE)
    done = manage(plain_environment(tmp_path), "restore", str(backup))
    assert done.returncode == 1 and "empty place" in done.stderr
    assert rows_of(tmp_path / DATABASE) == before


@pytest.mark.parametrize(
    "damage", ["byte", *(pytest.param(d, marks=pytest.mark.prove) for d in ("cut", "member", "no tar"))]
)
def test_a_backup_that_is_not_as_it_was_written_is_refused_before_anything_is(
    backed_up, tmp_path, damage
) -> None:
    _, backup = backed_up
    content, spoiled = bytearray(backup.read_bytes()), tmp_path / "spoiled.tar"
    if damage == "cut":
        del content[len(content) // 2 :]
    if damage == "byte":
        content[content.index(b"SQLite format 3") + 5000] ^= 1
    if damage == "no tar":
        content = bytearray(b"hello")
    spoiled.write_bytes(content)
    if damage == "member":
        with tarfile.open(spoiled, "a") as tar:
            tar.add(__file__, arcname="files/aa/other")
    var = tmp_path / "var"
    schema_for(var)
    before = (var / DATABASE).read_bytes()
    done = manage(plain_environment(var), "restore", str(spoiled))
    assert done.returncode == 1 and "spoiled.tar" in done.stderr and "Traceback" not in done.stderr
    assert (var / DATABASE).read_bytes() == before
    assert manage(plain_environment(var), "backup", "--check", str(spoiled)).returncode == 1


def test_a_backup_made_while_others_write_is_of_one_moment(tmp_path) -> None:
    """Each transaction writes two rows that belong together; a plain copy of the file can have one of two."""
    var = tmp_path / "var"
    schema_for(var)
    with closing(sqlite3.connect(var / DATABASE)) as link:
        link.execute("CREATE TABLE pair (side TEXT, n INTEGER)")
    ended = threading.Event()

    def write() -> None:
        with closing(sqlite3.connect(var / DATABASE, timeout=60, isolation_level=None)) as link:
            n = 0
            while not ended.is_set():
                n += 1
                link.execute("BEGIN IMMEDIATE")
                link.executemany("INSERT INTO pair VALUES (?, ?)", [("left", n), ("right", n)])
                link.execute("COMMIT")
                ended.wait(0.005)  # SQLite gives the lock to whoever comes first, and people are no loop

    writers = [threading.Thread(target=write) for _ in range(2)]
    for writer in writers:
        writer.start()
    try:
        done = manage(plain_environment(var), "backup", str(tmp_path / "all.tar"))
    finally:
        ended.set()
        for writer in writers:
            writer.join()
    assert done.returncode == 0, done.stderr
    with tarfile.open(tmp_path / "all.tar") as tar:
        tar.extract("database/mastwright.sqlite3", tmp_path, filter="data")
    with closing(sqlite3.connect(tmp_path / "database" / DATABASE)) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        sides = dict(link.execute("SELECT side, COUNT(*) FROM pair GROUP BY side"))
    assert sides.get("left", 0) == sides.get("right", 0)


def test_one_is_never_written_over_another(backed_up) -> None:
    var, backup = backed_up
    before = backup.read_bytes()
    done = manage(plain_environment(var), "backup", str(backup))
    assert done.returncode == 1 and "never written over" in done.stderr
    assert backup.read_bytes() == before


@pytest.mark.service
def test_on_postgresql_every_row_comes_back(tmp_path) -> None:
    missing = postgres_unreachable()
    if missing and os.environ.get("CI") == "true":
        pytest.fail(missing)
    if missing:
        pytest.skip(missing)

    def environment(url: str, folder: str) -> dict[str, str]:
        return plain_environment(tmp_path / folder) | {"DATABASE_URL": url}

    def rows(url: str) -> dict[str, list[tuple]]:
        with psycopg.connect(url) as link:
            names = link.execute(
                "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"
            ).fetchall()
            told = {n: sorted(link.execute(f'SELECT * FROM "{n}"').fetchall(), key=repr) for (n,) in names}
        return {n: found for n, found in told.items() if n not in CHECKS}

    mark = f"mastwright_backup_{os.getpid()}"
    with postgres_schema(POSTGRES, f"{mark}_a") as one, postgres_schema(POSTGRES, f"{mark}_b") as other:
        made = manage(environment(one, "a"), "shell", "-c", A_RECORD)
        assert made.returncode == 0, made.stderr
        done = manage(environment(one, "a"), "backup", str(tmp_path / "all.tar"))
        assert done.returncode == 0, done.stderr
        done = manage(environment(other, "b"), "restore", str(tmp_path / "all.tar"))
        assert done.returncode == 0, done.stderr
        assert rows(other) == rows(one)
        # a new row takes a key of its own
        again = manage(environment(other, "b"), "shell", "-c", NEW_ROW)
        assert again.returncode == 0, again.stderr


A_RECORD = """
from django.utils import timezone
from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.files.services import store_pdf
from django.core.files.base import ContentFile
from tests.make import alma, make_job
now = timezone.now()
for number in ("2031-101", "2031-102"):
    job = make_job(by=alma(), at=now, number=number, owner='Tab\\t, quote " and \\\\N')
    copy_lists(job, by=alma(), at=now)
    for n in range(3):
        take_entry(job, by=alma(), received_at=now, taken_at=now, code="D06", subject="air", number=40.0 + n)
store_pdf(ContentFile(b"%PDF-1.7 %%EOF", "letter.pdf"), by=alma(), at=now)
"""
NEW_ROW = """
from installs.models import User
User.objects.create_user("new", full_name="New", initials="N", role="crew")
"""
