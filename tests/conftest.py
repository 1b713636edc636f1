from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as configured
from django.db import connection

from tests import prepared


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix: None) -> Iterator[None]:
    """The tests' own database begins as a copy of the prepared one: Django finds nothing to migrate."""
    if connection.vendor != "sqlite":
        yield
        return
    in_memory = connection.creation._get_test_db_name()
    with closing(sqlite3.connect(in_memory, uri=True)) as link:
        with prepared.schema() as file, closing(sqlite3.connect(file)) as kept:
            kept.backup(link)
        yield  # it lasts as long as somebody is connected to it


@dataclass(frozen=True)
class Demo:
    """The demo as it was built, to be put into the tests' own database, and the settings of its files."""

    database: sqlite3.Connection
    storages: dict[str, Any]

    def put(self) -> None:
        connection.ensure_connection()
        self.database.backup(connection.connection)


@pytest.fixture(scope="session")
def prepared_demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    """Built once for all workers."""
    folder = tmp_path_factory.mktemp("demo")
    with closing(sqlite3.connect(prepared.demo_for(folder), check_same_thread=False)) as link:
        yield Demo(link, storages_in(folder))


def storages_in(folder: Path) -> dict[str, Any]:
    files = {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": str(folder / "files")},
    }
    return {**configured.STORAGES, "default": files}


@pytest.fixture(autouse=True)
def files_in_a_folder_of_their_own(settings, tmp_path):
    """Tests never write into the folder of a running system."""
    settings.VAR_DIR = tmp_path
    settings.STORAGES = storages_in(tmp_path)
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def no_page_kept_from_another_test():
    """Each test's database is put back under the running process, and its keys begin again."""
    from installs.jobs.kept import Kept

    Kept.forget()
