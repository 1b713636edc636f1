from __future__ import annotations

import gc
import sqlite3
import uuid
from collections.abc import Generator, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as configured
from django.db import connection
from django.test import Client, TransactionTestCase
from hypothesis import HealthCheck, is_hypothesis_test, settings
from whitenoise.middleware import WhiteNoiseMiddleware
from xdist.remote import Producer
from xdist.scheduler import LoadScopeScheduling
from xdist.workermanage import WorkerController

from installs.jobs.models import Job
from installs.people.models import User
from tests import prepared
from tests.make import alma, make_job, make_person

# no test here is told by the clock of the machine that runs it: a busy one is slow, not wrong
settings.register_profile("run", deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("prove", settings.get_profile("run"), derandomize=False, max_examples=100)
settings.load_profile("run")

# files that wait for servers of their own longer than they work
WAITING = (
    "house/test_start",
    "people/test_link_in_logs",
    "service/",
    "work/test_worker",
    "crew/test_phones_on_a_server",
)

# each takes longer than any process should be the last with: begun first, its tests shared one by one
# (but for those of a file for which every page is walked through once)
LONG = ("browser/test_every_page", "house/test_fuzz", "gates/test_no_way_past")
SHARED = ("browser/test_every_page", "gates/test_no_way_past")


class WaitingBesideWorking(LoadScopeScheduling):
    """A file at a time; those that wait are one process's share from the beginning, while others work."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.partition("::")[0]
        if file.removeprefix("tests/").startswith(SHARED):
            return nodeid
        return "waiting" if file.removeprefix("tests/").startswith(WAITING) else file

    def _assign_work_unit(self, node: WorkerController) -> None:
        first = [unit for unit in self.workqueue if unit.removeprefix("tests/").startswith(LONG)]
        for unit in [*first, *({"waiting"} & self.workqueue.keys())]:
            self.workqueue.move_to_end(unit, last=False)
        super()._assign_work_unit(node)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> WaitingBesideWorking | None:
    return WaitingBesideWorking(config, log) if config.getvalue("dist") == "loadfile" else None


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is collected stays to the end: nobody looks through it for garbage, now or later.

    Nor is a request's little looked through again and again: memory is not what a run is short of.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(50_000, 20, 20)
        gc.enable()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What is tried with random examples is tried with more of them in "make prove"."""
    for item in items:
        if isinstance(item, pytest.Function) and is_hypothesis_test(item.obj):
            item.add_marker("deep")


@pytest.fixture(scope="session", autouse=True)
def static_files_are_listed_once() -> Iterator[None]:
    """Each test client has a handler of its own, that goes through the static files as it starts."""
    plain, found = WhiteNoiseMiddleware.add_files_from_finders, dict[tuple[str, str], dict[str, Any]]()

    def kept(middleware: WhiteNoiseMiddleware) -> None:
        of = (configured.STATIC_URL, str(configured.STATICFILES_DIRS))
        if of not in found:
            plain(middleware)
            found[of] = dict(middleware.files)
        middleware.files.update(found[of])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", kept)
        yield


@pytest.fixture(scope="session", autouse=True)
def what_a_test_committed_is_put_back() -> Iterator[None]:
    """As the database was made. Django would empty table after table and make every permission anew."""
    plain, made = TransactionTestCase._fixture_teardown, list[sqlite3.Connection]()

    def put_back(case: TransactionTestCase) -> None:
        if connection.vendor != "sqlite":
            plain(case)
            return
        if not made:
            made.append(sqlite3.connect(":memory:"))
            with prepared.schema() as file, closing(sqlite3.connect(file)) as link:
                link.backup(made[0])
        connection.ensure_connection()
        made[0].backup(connection.connection)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", put_back)
        yield
    for link in made:
        link.close()


@pytest.fixture(scope="session")
def django_db_keepdb() -> bool:
    """Django takes the file that it is given, in place of making one."""
    return bool(connection.vendor == "sqlite")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The tests' own database begins as a copy of the prepared one: Django finds nothing to migrate.

    It is a file, as on a machine of the firm: a server under test has connections of its own, which wait for
    one another. In memory it is one connection for all threads, whose half-read rows lock the others out.
    """
    if connection.vendor == "sqlite":
        file = prepared.schema_for(tmp_path_factory.mktemp("database"))
        connection.settings_dict["TEST"]["NAME"] = str(file)
        # nothing here has to outlive a power cut
        options = connection.settings_dict["OPTIONS"]
        options["init_command"] = f"{options['init_command']} PRAGMA synchronous = OFF;"


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
        "BACKEND": "installs.files.storage.WholeFiles",
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


@pytest.fixture
def one_age(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that nothing changed on stays the same page, whatever minute the test runs in."""
    monkeypatch.setattr("installs.jobs.kept.AGE_S", 10**12)


@pytest.fixture
def job(db: None) -> Job:
    """Just opened: nothing designed, nothing recorded."""
    return make_job()


@pytest.fixture
def ben(db: None) -> User:
    """A foreman."""
    return make_person()


@pytest.fixture
def office(client: Client) -> User:
    """Who works at the desk, signed in."""
    person = alma()
    client.force_login(person)
    return person


@pytest.fixture
def at_the_desk(client: Client, db: None) -> Client:
    """Where the office is signed in."""
    client.force_login(alma())
    return client


@pytest.fixture(autouse=True)
def nobody_was_away(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    """Tests set the clock on by years between two requests; a desk that was left is for tests/people."""
    if "tests/people" not in str(request.path):
        monkeypatch.setattr("installs.people.sessions.IDLE", timedelta(days=36_500))


@pytest.fixture(autouse=True)
def every_post_is_of_a_page_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """As a browser sends it: with the id of its form. A test that names ``form_id`` itself is left alone."""
    plain = Client.post

    def post(client: Client, path: str, data: Any = None, *args: Any, **kwargs: Any) -> Any:
        if data is None or (isinstance(data, dict) and "form_id" not in data):
            data = {**(data or {}), "form_id": str(uuid.uuid4())}
        return plain(client, path, data, *args, **kwargs)

    monkeypatch.setattr(Client, "post", post)
