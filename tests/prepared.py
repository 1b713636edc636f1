"""What tests start from: made once, kept by the hash of what it is made of, copied to whoever asks.

Whoever makes or copies it holds a lock, so that two runs side by side make it once; it gets its name only
when it is ready, so that a killed run leaves nothing that is taken for it. The lock ends with its process.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import django
import psycopg

ROOT = Path(__file__).resolve().parents[1]
KEPT = ROOT / ".pytest_cache" / "prepared"
DATABASE = "mastwright.sqlite3"
TEMPLATES = "mastwright_prepared_"  # names of databases on a PostgreSQL server
PREPARE = "import django; django.setup(); from installs.management.commands import run; run.prepare()"


@contextmanager
def kept(folder: Path, name: str, key: str, make: Callable[[Path], None]) -> Iterator[Path]:
    """The folder that ``make`` fills for this key: nobody changes or removes it meanwhile."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        ready = folder / f"{name}-{key}"
        for other in folder.glob(f"{name}-*"):
            if other != ready:
                shutil.rmtree(other)
        if not ready.exists():
            unready = folder / f"{name}-unready"
            unready.mkdir()
            make(unready)
            unready.rename(ready)
        yield ready


def hash_of(files: Iterable[Path], *words: str) -> str:
    """Of names and contents; ``words`` say what else it stands on."""
    total = hashlib.sha256("\0".join(words).encode())
    for file in sorted(files):
        total.update(f"\0{file}\0".encode() + hashlib.sha256(file.read_bytes()).digest())
    return total.hexdigest()[:16]


def schema_files(root: Path = ROOT) -> list[Path]:
    """Migrations, what they are generated from, and the one module of ours whose code they call."""
    rooms = [file for room in ("installs", "crew") for file in (root / room).rglob("*.py")]
    return [file for file in rooms if file.parent.name == "migrations" or file.stem in ("models", "measures")]


def schema_key(engine: str) -> str:
    return hash_of(schema_files(), django.get_version(), engine)


def plain_environment(folder: Path) -> dict[str, str]:
    """With nothing set but the folder to write to: SQLite."""
    ours = ("DATABASE_URL", "REDIS_URL", "PRODUCTION", "DEBUG")
    others = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    return {**others, "VAR_DIR": str(folder), "DJANGO_SETTINGS_MODULE": "installs.settings"}


def run(environment: dict[str, str], *words: str, root: Path = ROOT) -> None:
    command = [sys.executable, *words]
    done = subprocess.run(command, cwd=root, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def migrate(folder: Path, root: Path = ROOT) -> None:
    """Run the migrations of this tree on the SQLite database of this folder."""
    folder.mkdir(parents=True, exist_ok=True)
    run(plain_environment(folder), "manage.py", "migrate", "--no-input", "--verbosity", "0", root=root)
    one_file(folder / DATABASE)


def one_file(database: Path) -> None:
    """Nothing of it in a log beside it, so that the file alone can be copied."""
    with closing(sqlite3.connect(database)) as link:
        link.execute("PRAGMA journal_mode = DELETE")


@contextmanager
def schema() -> Iterator[Path]:
    """An empty database that is up to date, to be copied; ready in 5 s the first time, then at once."""
    with kept(KEPT, "schema", schema_key(sqlite3.sqlite_version), migrate) as folder:
        yield folder / DATABASE


def schema_for(folder: Path) -> Path:
    """Give a server's folder (VAR_DIR) its own empty database, as it stands after ``migrate``."""
    folder.mkdir(parents=True, exist_ok=True)
    with schema() as file:
        return Path(shutil.copyfile(file, folder / DATABASE))


def demo_files(root: Path = ROOT) -> list[Path]:
    """Everything that the demo is made by: code, tables, lists, templates of what is frozen in it."""
    rooms = ("installs", "crew", "sitecalc", "templates")
    files = [file for room in rooms for file in (root / room).rglob("*") if file.is_file()]
    return [file for file in files if "__pycache__" not in file.parts]


def build_demo(folder: Path) -> None:
    """The demo as ``make demo`` puts it into an empty database."""
    schema_for(folder)
    run(plain_environment(folder) | {"DEMO": "True"}, "-c", PREPARE)
    one_file(folder / DATABASE)


def demo_for(folder: Path) -> Path:
    """Give a server's folder (VAR_DIR) the demo, database and files; gives the database.

    Its dates are counted from its hour, so that each hour has its own.
    """
    key = hash_of(demo_files(), django.get_version(), sqlite3.sqlite_version, f"{datetime.now(UTC):%F %H}")
    with kept(KEPT, "demo", key, build_demo) as ready:
        folder.mkdir(parents=True, exist_ok=True)
        shutil.copytree(ready / "files", folder / "files")
        return Path(shutil.copyfile(ready / DATABASE, folder / DATABASE))


@contextmanager
def postgres_schema(server: str, name: str) -> Iterator[str]:
    """The URL of an empty PostgreSQL database that is up to date, taken away again.

    It is copied from a template that stays on the server for the next run, made by every migration from zero.
    The advisory lock ends with its connection.
    """
    with psycopg.connect(server, autocommit=True) as link:
        link.execute("SELECT pg_advisory_lock(hashtext(%s))", [TEMPLATES])
        link.execute(f'CREATE DATABASE "{name}" TEMPLATE "{_template(link, server)}"')
    try:
        yield database_url(server, name)
    finally:
        with psycopg.connect(server, autocommit=True) as link:
            link.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def _template(link: psycopg.Connection[Any], server: str) -> str:
    """The name of the migrated database, made if it is not there; the caller holds the lock."""
    ready = TEMPLATES + schema_key(f"PostgreSQL {link.info.server_version}")
    names = link.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [TEMPLATES])
    there = {name for (name,) in names}
    for other in there - {ready}:
        link.execute(f'DROP DATABASE "{other}" WITH (FORCE)')
    if ready not in there:
        unready = f"{ready}_unready"
        link.execute(f'CREATE DATABASE "{unready}"')
        with tempfile.TemporaryDirectory() as folder:
            environment = plain_environment(Path(folder)) | {"DATABASE_URL": database_url(server, unready)}
            run(environment, "manage.py", "migrate", "--no-input", "--verbosity", "0")
        link.execute(f'ALTER DATABASE "{unready}" RENAME TO "{ready}"')
    return ready


def database_url(server: str, name: str) -> str:
    return urlunsplit(urlsplit(server)._replace(path=f"/{name}"))
