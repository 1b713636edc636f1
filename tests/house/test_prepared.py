"""What tests start from is what the migrations make, survives a killed run and is made once."""

from __future__ import annotations

import multiprocessing
import os
import re
import shutil
import signal
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from tests.prepared import DATABASE, ROOT, hash_of, kept, migrate, schema_files, schema_for
from tests.served import PATIENCE_S

APART = multiprocessing.get_context("spawn")


def told(file: Path) -> dict[str, object]:
    """Columns, keys, constraints and indexes of every table, content types and permissions, in no order."""
    of: dict[str, object] = {}
    with closing(sqlite3.connect(file)) as link:
        ask = lambda statement: {tuple(row) for row in link.execute(statement)}  # noqa: E731
        for name, sql in ask("SELECT name, sql FROM sqlite_master WHERE type = 'table'"):
            columns = {row[1:] for row in ask(f"PRAGMA table_info('{name}')")}
            keys = {row[2:] for row in ask(f"PRAGMA foreign_key_list('{name}')")}
            of[name] = columns, keys, set(re.findall(r'CONSTRAINT "(\w+)"', sql or ""))
        of["indexes"] = ask("SELECT name, tbl_name FROM sqlite_master WHERE type = 'index'")
        of["content types"] = ask("SELECT app_label, model FROM django_content_type")
        of["permissions"] = ask(
            "SELECT codename, app_label, model FROM auth_permission p JOIN django_content_type c"
            " ON c.id = p.content_type_id"
        )
        assert link.execute("SELECT count(*) FROM installs_user").fetchone() == (0,)
    return of


@pytest.mark.prove
def test_what_tests_start_from_is_what_every_migration_from_zero_makes(tmp_path: Path) -> None:
    """A new database begins with one migration in place of all; those that stand run each of them."""
    prepared, tree = tmp_path / "prepared", tmp_path / "tree"
    for name in ("installs", "crew", "sitecalc", "templates", "static", "manage.py"):
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copyfile
        tree.mkdir(exist_ok=True)
        copy(ROOT / name, tree / name)
    in_one = list((tree / "installs" / "migrations").glob("*_squashed_*.py"))
    assert len(in_one) == 1
    in_one[0].unlink()
    migrate(tmp_path / "zero", root=tree)
    schema_for(prepared)
    zero, made = told(tmp_path / "zero" / DATABASE), told(prepared / DATABASE)
    assert {name for name in zero.keys() | made.keys() if zero.get(name) != made.get(name)} == set()


def test_the_migrations_and_all_that_the_models_stand_on_are_in_the_key() -> None:
    files = {str(file.relative_to(ROOT)) for file in schema_files()}
    assert {"installs/migrations/0001_initial.py", "crew/migrations/0001_initial.py"} <= files
    assert {
        "installs/models.py",
        "installs/jobs/models.py",
        "installs/measures.py",
        "crew/models.py",
    } <= files


def test_a_changed_or_added_migration_has_another_key(tmp_path: Path) -> None:
    room = tmp_path / "installs" / "migrations"
    room.mkdir(parents=True)
    first = room / "0001_initial.py"
    first.write_text("a")
    keys = {hash_of(schema_files(tmp_path))}
    first.write_text("b")
    keys.add(hash_of(schema_files(tmp_path)))
    (room / "0002_more.py").write_text("c")
    keys.add(hash_of(schema_files(tmp_path)))
    keys.add(hash_of(schema_files(tmp_path), "another Django"))
    assert len(keys) == 4


def count(folder: Path) -> None:
    """A thing that takes a moment to make and says how often it was made."""
    with (folder.parent / "made.txt").open("a") as made:
        made.write("x")
    time.sleep(0.3)
    (folder / "file").write_text("ready")


def use(folder: Path, key: str = "1") -> None:
    with kept(folder, "thing", key, count) as ready:
        assert (ready / "file").read_text() == "ready"


def never_ready(folder: Path) -> None:
    (folder / "file").write_text("half")
    (folder.parent / "begun").touch()
    time.sleep(3600)


def begin(folder: Path) -> None:
    with kept(folder, "thing", "1", never_ready):
        raise AssertionError("it cannot be ready")


def test_two_runs_side_by_side_make_it_once(tmp_path: Path) -> None:
    runs = [APART.Process(target=use, args=[tmp_path]) for _ in range(3)]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert [run.exitcode for run in runs] == [0, 0, 0]
    assert (tmp_path / "made.txt").read_text() == "x"


def test_a_run_that_was_killed_while_it_made_it_leaves_nothing_taken_for_it(tmp_path: Path) -> None:
    run = APART.Process(target=begin, args=[tmp_path])
    run.start()
    give_up = time.monotonic() + PATIENCE_S
    while not (tmp_path / "begun").exists():
        assert time.monotonic() < give_up
        time.sleep(0.02)
    os.kill(run.pid, signal.SIGKILL)
    run.join()
    use(tmp_path)


def test_another_key_takes_the_place_of_what_was_kept(tmp_path: Path) -> None:
    use(tmp_path)
    use(tmp_path, "2")
    assert {folder.name for folder in tmp_path.iterdir() if folder.is_dir()} == {"thing-2"}
    use(tmp_path, "2")
    assert (tmp_path / "made.txt").read_text() == "xx"


def test_what_was_made_without_success_is_made_again(tmp_path: Path) -> None:
    def failing(folder: Path) -> None:
        raise OSError("disk full")

    with pytest.raises(OSError, match="disk full"), kept(tmp_path, "thing", "1", failing):
        pass
    use(tmp_path)
