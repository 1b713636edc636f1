"""The database as of one moment, while others write on."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def one_moment() -> Iterator[None]:
    """Whatever is read in it stood at one moment; nothing is written in it.

    A transaction of PostgreSQL at REPEATABLE READ (its manual, 13.2.2), and of SQLite one that is not begun
    IMMEDIATE as ours are: it holds the database to one state from its first reading on (sqlite.org,
    "Isolation In SQLite"). With a rollback journal a writer waits for its end, so rows alone are read in it:
    what lies in files, and what takes long, is for afterwards.
    """
    if connection.in_atomic_block:  # of one moment already
        yield
    elif connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
