"""Everything that a firm would miss in one file: the database as of one moment, the files, what both are.

A backup is a tar. ``database/`` holds SQLite's own copy of itself, or of PostgreSQL each table as COPY gives
it; ``files/`` each kept file under its hash; ``manifest.json``, the last, names all of them with length and
SHA-256, the migrations that stood, and where each chain of jobs and firm ended, so that a restored record is
known to be whole.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import sqlite3
import tarfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder

from installs.files.keeping import keep, kept_bytes
from installs.files.models import name_of
from installs.record.moment import one_moment
from installs.record.unfinished import folder_for, private

MANIFEST, SQLITE = "manifest.json", "database/mastwright.sqlite3"
FORMAT = 1
ENDS = """SELECT j.number, x.sequence, x.hash FROM {table} x JOIN installs_job j ON j.id = x.job_id
    WHERE x.sequence = (SELECT MAX(y.sequence) FROM {table} y WHERE y.job_id = x.job_id) ORDER BY j.number"""
# of each chain where it ended, by job; the firm's is one
FIRM_END = """SELECT '', sequence, hash FROM installs_firmevent
    WHERE sequence = (SELECT MAX(sequence) FROM installs_firmevent)"""
CHAINS = {
    "log": ENDS.format(table="installs_event"),
    "field record": ENDS.format(table="installs_entry"),
    "firm's log": FIRM_END,
}
FILES = "SELECT sha256, size_bytes FROM installs_storedfile ORDER BY id"
MIGRATIONS = "SELECT app, name FROM django_migrations ORDER BY app, name"
PASSING = ("django_session", "installs_signedin")  # who is signed in just now is nothing to come back to

Ask = Callable[[str], list[tuple[Any, ...]]]


class NotRestored(Exception):
    """Why a backup is not restored, in words."""


@dataclass
class Manifest:
    made_at: str
    engine: str
    migrations: list[str]
    ends: dict[str, dict[str, list[Any]]]
    members: dict[str, list[Any]] = field(default_factory=dict)  # length and SHA-256 by name
    missing: list[str] = field(default_factory=list)  # files that were not whole when it was made
    format: int = FORMAT


def back_up(path: Path, *, at: datetime) -> Manifest:
    """Write a backup to ``path``: all of it or nothing. OSError where the disk does not take it."""
    with folder_for(path.parent) as folder:
        part = folder / "part"
        with (
            private(part) as stream,
            tarfile.open(fileobj=stream, mode="w") as tar,
            _snapshot(folder) as (ask, dumped),
        ):
            manifest = Manifest(
                at.isoformat(),
                connection.vendor,
                _migrations(ask),
                {name: _ends(ask, name) for name in CHAINS},
            )
            for name, file in dumped():
                _add(tar, manifest, name, file.read_bytes())
            for sha256, size in ask(FILES):
                content = kept_bytes(sha256)
                if content is None or len(content) != size or hashlib.sha256(content).hexdigest() != sha256:
                    manifest.missing.append(sha256)
                if content is not None:
                    _add(tar, manifest, f"files/{name_of(sha256)}", content)
            _member(tar, MANIFEST, json.dumps(asdict(manifest)).encode())
            tar.close()
            stream.flush()
            os.fsync(stream.fileno())
        part.rename(path)
    return manifest


@contextmanager
def _snapshot(folder: Path) -> Iterator[tuple[Ask, Callable[[], Iterator[tuple[str, Path]]]]]:
    """The database as of one moment, while others write on: how to ask it, and the files that hold it."""
    if connection.vendor == "sqlite":
        file = folder / "copy.sqlite3"
        name = connection.settings_dict["NAME"]
        with closing(sqlite3.connect(file)) as copy, closing(sqlite3.connect(name, timeout=60)) as source:
            # No writer between, or a reader might wait for ever. What holds the lock is no connection that
            # SQLite copies from.
            with transaction.atomic():
                source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
            copy.executescript("".join(f"DELETE FROM {name};" for name in PASSING))
            yield lambda sql: copy.execute(sql).fetchall(), lambda: iter([(SQLITE, file)])
        return
    with one_moment(), connection.cursor() as cursor:

        def ask(sql: str) -> list[tuple[Any, ...]]:
            cursor.execute(sql)
            rows: list[tuple[Any, ...]] = cursor.fetchall()
            return rows

        def dumped() -> Iterator[tuple[str, Path]]:
            for table in _tables():
                file = folder / table
                with file.open("wb") as out, cursor.copy(f'COPY "{table}" TO STDOUT') as copied:
                    for chunk in copied:
                        out.write(chunk)
                yield f"database/{table}", file

        yield ask, dumped


def _tables() -> list[str]:
    with connection.cursor() as cursor:
        return [t for t in sorted(connection.introspection.table_names(cursor)) if t not in PASSING]


def _migrations(ask: Ask) -> list[str]:
    return [f"{app}.{name}" for app, name in ask(MIGRATIONS)]


def _ends(ask: Ask, chain: str) -> dict[str, list[Any]]:
    return {number: [sequence, end] for number, sequence, end in ask(CHAINS[chain])}


def _add(tar: tarfile.TarFile, manifest: Manifest, name: str, content: bytes) -> None:
    manifest.members[name] = [len(content), hashlib.sha256(content).hexdigest()]
    _member(tar, name, content)


def _member(tar: tarfile.TarFile, name: str, content: bytes) -> None:
    info = tarfile.TarInfo(name)
    info.size, info.mode = len(content), 0o600
    tar.addfile(info, io.BytesIO(content))


def verified(path: Path) -> Manifest:
    """The manifest of a backup whose every byte is as it was written; NotRestored for any other."""
    try:
        with tarfile.open(path) as tar:
            found = {
                member.name: hashlib.sha256(_content(tar, member)).hexdigest()
                for member in tar
                if member.name != MANIFEST
            }
            told = json.loads(_content(tar, tar.getmember(MANIFEST)))
            manifest = Manifest(**told)
    except (tarfile.TarError, KeyError, ValueError, TypeError, EOFError) as error:
        raise NotRestored(f"{path.name} is no backup of ours, or is cut short ({error}).") from error
    if manifest.format != FORMAT:
        raise NotRestored(f"{path.name} is of format {manifest.format}; this program reads {FORMAT}.")
    wrong = [n for n, (_, digest) in manifest.members.items() if found.get(n) != digest]
    wrong += sorted(set(found) - set(manifest.members))
    if wrong:
        raise NotRestored(
            f"{path.name} was altered: {wrong[0]}{f' and {len(wrong) - 1} more' if wrong[1:] else ''}."
        )
    return manifest


def _content(tar: tarfile.TarFile, member: tarfile.TarInfo) -> bytes:
    stream = tar.extractfile(member)
    if stream is None:
        raise ValueError(f"{member.name} is no file")
    return stream.read()


def restore(path: Path) -> Manifest:
    """Put a backup into an empty place, and hold what stands there then to the manifest. Or NotRestored.

    Verified before the first byte is written. On PostgreSQL the tables are those of the same migrations.
    """
    manifest = verified(path)
    if manifest.engine != connection.vendor:
        raise NotRestored(
            f"The backup is of {manifest.engine}, and the database here is {connection.vendor}."
        )
    refuse_unless_empty()
    with tarfile.open(path) as tar:
        if connection.vendor == "sqlite":
            _into_sqlite(_content(tar, tar.getmember(SQLITE)))
        else:
            _into_postgres(tar, manifest)
        for name in manifest.members:
            if name.startswith("files/"):
                keep(_content(tar, tar.getmember(name)))
    refuse_unless_whole(manifest)
    return manifest


def refuse_unless_empty() -> None:
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        for table in tables & {"installs_user", "installs_job"}:
            cursor.execute(f"SELECT COUNT(*) FROM {table}")
            if cursor.fetchone()[0]:
                raise NotRestored(
                    "There are people or jobs here already: a backup goes into an empty place only."
                )


def _into_sqlite(content: bytes) -> None:
    place = Path(connection.settings_dict["NAME"])
    connection.close()
    part = place.with_name(f"{place.name}.part")
    part.unlink(missing_ok=True)
    with private(part) as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    for beside in ("-wal", "-shm", "-journal"):  # of the empty one
        place.with_name(place.name + beside).unlink(missing_ok=True)
    part.replace(place)


@transaction.atomic
def _into_postgres(tar: tarfile.TarFile, manifest: Manifest) -> None:
    """Foreign keys are looked at when the transaction ends, so that the order of tables does not matter."""
    applied = MigrationRecorder(connection).applied_migrations()
    here = sorted(f"{app}.{name}" for app, name in applied)
    if here != sorted(manifest.migrations):
        raise NotRestored(
            "The database here is of another version: migrate it with the program that made the backup."
        )
    tables = _tables()
    with connection.cursor() as cursor:
        # those of who is signed in go too: a session names its person
        named = ", ".join(f'"{table}"' for table in (*tables, *PASSING))
        cursor.execute(f"TRUNCATE {named}")
        for table in tables:
            with cursor.copy(f'COPY "{table}" FROM STDIN') as into:
                into.write(_content(tar, tar.getmember(f"database/{table}")))
        models = connection.introspection.installed_models(tables)
        for sql in connection.ops.sequence_reset_sql(no_style(), list(models)):
            cursor.execute(sql)


def refuse_unless_whole(manifest: Manifest) -> None:
    """NotRestored where a chain does not end as it did, or a file is not there."""

    def ask(sql: str) -> list[tuple[Any, ...]]:
        with connection.cursor() as cursor:
            cursor.execute(sql)
            rows: list[tuple[Any, ...]] = cursor.fetchall()
            return rows

    for chain, ends in manifest.ends.items():
        if _ends(ask, chain) != ends:
            raise NotRestored(f"The {chain} does not end where it ended when the backup was made.")
    lost = [s for s, _ in ask(FILES) if s not in manifest.missing and kept_bytes(s) is None]
    if lost:
        raise NotRestored(f"{len(lost)} files did not arrive.")
